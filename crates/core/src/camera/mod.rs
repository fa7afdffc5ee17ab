//! From plate to photo and back.

use crate::space::{PhotoPoint, PlatePoint};

/// The camera with the datum: turns photo points into plate points in the datum's frame and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateMap {
    /// Focal length, px.
    pub focal_px: f64,
}

impl PlateMap {
    /// Where the ray through a photo point meets the face; `None` where it does not, or the lens model folds over.
    pub fn plate_from_photo(&self, _photo: PhotoPoint) -> Option<PlatePoint> {
        None
    }

    /// Where a point of the face is seen in the photo; `None` behind the camera or where the lens model folds over.
    pub fn photo_from_plate(&self, _plate: PlatePoint) -> Option<PhotoPoint> {
        None
    }

    /// Local scale at a point of the face: square root of the area ratio, px per mm.
    pub fn px_per_mm(&self, _plate: PlatePoint) -> f64 {
        self.focal_px
    }
}
