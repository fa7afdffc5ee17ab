//! The figures beside the real photographs of known grids.

use platewright_synth::Camera;
use serde::Deserialize;
use std::path::Path;

/// What the set's page says of a photo.
#[derive(Debug, Deserialize)]
pub struct Sheet {
    /// What was found on it.
    pub points: Vec<GridPoint>,
    intrinsics: Intrinsics,
    distortion: Vec<f64>,
    rvec: [f64; 3],
    /// Translation of OpenCV's calibration, mm.
    pub tvec: [f64; 3],
}

/// A corner or disc of a grid.
#[derive(Debug, Deserialize)]
pub struct GridPoint {
    /// Where OpenCV found it in the photo, px.
    pub px: [f64; 2],
    /// Where it is on the sheet, mm, y down.
    pub plane: [f64; 2],
    col: i32,
    row: i32,
}

#[derive(Debug, Deserialize)]
struct Intrinsics {
    fx: f64,
    fy: f64,
    cx: f64,
    cy: f64,
}

impl Sheet {
    /// Reads the figures beside `photo`.
    ///
    /// # Panics
    /// Where they are not as their page says.
    pub fn read(photo: &Path) -> Self {
        let text = std::fs::read_to_string(format!("{}.json", photo.display())).expect("the photo has its figures");
        serde_json::from_str(&text).expect("the figures are as their page says")
    }

    /// Rows of the rotation of OpenCV's calibration, camera from sheet (Rodrigues 1840).
    pub fn rotation(&self) -> [[f64; 3]; 3] {
        let angle = self.rvec.iter().map(|part| part * part).sum::<f64>().sqrt();
        let [x, y, z] = self.rvec.map(|part| part / angle);
        let (s, c) = angle.sin_cos();
        let v = 1.0 - c;
        [
            [c + x * x * v, x * y * v - z * s, x * z * v + y * s],
            [y * x * v + z * s, c + y * y * v, y * z * v - x * s],
            [z * x * v - y * s, z * y * v + x * s, c + z * z * v],
        ]
    }

    /// The camera that OpenCV calibrated, of the plate: its y runs up and its z towards the camera, the sheet's the other
    /// ways. A third radial term, where there is one, is left out: it moves what lies close together alike.
    pub fn camera(&self) -> Camera {
        let Intrinsics { fx, fy, cx, cy } = self.intrinsics;
        Camera {
            focal_px: (fx * fy).sqrt(),
            principal_px: [cx, cy],
            distortion: std::array::from_fn(|term| self.distortion[term]),
            rotation: self.rotation().map(|[x, y, z]| [x, -y, -z]),
            translation: self.tvec,
        }
    }

    /// Pairs of points that are next to each other in a row or a column, px.
    pub fn neighbours(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
        let at = |col: i32, row: i32| self.points.iter().find(move |p| p.col == col && p.row == row);
        let beside = move |p: &GridPoint| [at(p.col + 1, p.row), at(p.col, p.row + 1)];
        self.points.iter().flat_map(move |p| beside(p).into_iter().flatten().map(|next| (p.px, next.px)))
    }
}
