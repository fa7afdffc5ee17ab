//! The whole way from the photo of a public case to cut contours, and how far those are from the truth.

use crate::edges::{apart_mm, true_contour};
use crate::{Case, TruePiece, rigid_move};
use image::RgbImage;
use platewright_core::camera::PlateMap;
use platewright_core::edge::{FaceSide, FollowedEdge, Picture, follow_edge};
use platewright_core::fair::{EdgePoint, Faired, Wanted, fair};
use platewright_core::geom::{Contour, contour_crossings};
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, solve_photo};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_synth::Random;
use std::f64::consts::TAU;

/// A case as the program knows it before its outline is drawn: the photo, the camera from clicks and measures, the holes.
pub struct Known {
    /// The case.
    pub case: Case,
    /// The photo's pixels.
    pub image: RgbImage,
    /// The camera that was found, its plate frame laid over the truth's by the holes' centres.
    pub map: PlateMap,
    /// Centre and radius of each hole as found, mm, in that frame.
    pub holes: Vec<(PlatePoint, f64)>,
}

impl Known {
    /// # Panics
    /// Where the case gives no camera.
    pub fn of(case: Case) -> Self {
        let image = case.pixels();
        let job = case.job();
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let (_, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        let centres: Vec<PlatePoint> = solution.holes.iter().map(|hole| hole.centre).collect();
        let best = rigid_move(&centres, &case.true_centres(&job));
        let mut map = solution.map.expect("the clicks and measures give a camera").with_datum(&best); if std::env::var_os("TRUECAM").is_some() { map = crate::map_of(&case.camera()); }
        let holes = solution.holes.iter().map(|hole| (best.apply(hole.centre), 0.5 * hole.rim_diameter_mm)).collect();
        Self { case, image, map, holes }
    }

    /// The photo as the core looks at it.
    ///
    /// # Panics
    /// Never: the renderer made whole pictures.
    pub fn picture(&self) -> Picture<'_> {
        Picture::from_srgb([self.image.width(), self.image.height()], self.image.as_raw()).expect("a whole picture")
    }

    /// The corners and the middles of the pieces of a true contour, each displaced by `off_px` in a direction of chance.
    pub fn rough_nodes(&self, truth: &[TruePiece], off_px: f64, seed: u64) -> Vec<PhotoPoint> {
        let (mut random, camera) = (Random::new(seed), self.case.camera());
        let mut rough = |place: PlatePoint| {
            let [u, v] = camera.photo_from_plate([place.x, place.y, 0.0]);
            let (sine, cosine) = random.between(0.0, TAU).sin_cos();
            PhotoPoint::new(u + off_px * cosine, v + off_px * sine)
        };
        truth.iter().flat_map(|piece| [piece.from(), piece.middle()]).map(&mut rough).collect()
    }

    /// The edge along nodes with the face on their left.
    pub fn followed(&self, nodes: &[PhotoPoint], reach_px: f64) -> FollowedEdge {
        follow_edge(&self.picture(), &self.map, nodes, true, FaceSide::Left, reach_px)
    }

    /// What was measured, on the plate.
    pub fn edge_points(&self, edge: &FollowedEdge) -> Vec<EdgePoint> {
        let points = edge.pieces.iter().flat_map(|piece| &piece.points);
        let on_plate = points.filter_map(|point| {
            let at = self.map.plate_from_photo(point.at)?;
            Some(EdgePoint { at, sigma_mm: point.sigma_px / self.map.px_per_mm(at), pinned: false })
        });
        on_plate.collect()
    }

    /// The cut contour along nodes: counter-clockwise an outline, clockwise an opening.
    pub fn cut(&self, nodes: &[PhotoPoint], reach_px: f64, is_outline: bool) -> Option<Faired> {
        let points = self.edge_points(&self.followed(nodes, reach_px));
        fair(&points, &Wanted { counter_clockwise: Some(is_outline), ..Wanted::closed_outer() })
    }
}

/// How far a cut contour is from the true one.
#[derive(Debug, Clone, Copy)]
pub struct Against {
    /// The largest distance, either way, mm.
    pub apart_mm: f64,
    /// Area over the true area, less one.
    pub area_share: f64,
    /// Segments, and those of the truth.
    pub segments: [usize; 2],
    /// It hangs together, goes round the right way and crosses itself nowhere.
    pub is_sound: bool,
}

impl Against {
    /// Compares a contour with the pieces of the truth.
    pub fn of(contour: &Contour, truth: &[TruePiece]) -> Self {
        let true_one = true_contour(truth);
        Self {
            apart_mm: apart_mm(contour, &true_one, 0.1),
            area_share: contour.signed_area_mm2() / true_one.signed_area_mm2() - 1.0,
            segments: [contour.segments.len(), truth.len()],
            is_sound: contour.is_closed_exactly()
                && contour.is_counter_clockwise() == true_one.is_counter_clockwise()
                && contour_crossings(contour).is_empty(),
        }
    }
}
