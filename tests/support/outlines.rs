//! The whole way from the photo of a public case to cut contours, and how far those are from the truth.

use crate::edges::{apart_mm, true_contour};
use crate::{Case, TruePiece, map_of, rigid_move};
use image::{RgbImage, imageops};
use platewright_core::camera::PlateMap;
use platewright_core::edge::{FaceSide, FollowedEdge, Picture, Walls, follow_edge, propose_outline};
use platewright_core::fair::{EdgePoint, Faired, Wanted, fair};
use platewright_core::geom::{Contour, contour_crossings};
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, solve, solve_photo};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use platewright_synth::{Camera, Random};
use std::f64::consts::TAU;

/// Nodes are told to be good to this, px.
pub const REACH_PX: f64 = 10.0;

/// A case as the program knows it before its outline is drawn: the photo, the camera from clicks and measures, the holes.
#[expect(missing_debug_implementations, reason = "twelve million pixels")]
pub struct Known {
    /// The case.
    pub case: Case,
    /// The photo's pixels.
    pub image: RgbImage,
    /// The camera that was found, its plate frame laid over the truth's by the holes' centres.
    pub map: PlateMap,
    /// Centre and radius of each hole as found, mm, in that frame.
    pub holes: Vec<(PlatePoint, f64)>,
    /// Its walls, if the rims tell.
    pub walls: Option<Walls>,
}

impl Known {
    /// # Panics
    /// Where the case gives no camera.
    pub fn of(case: Case) -> Self {
        let image = case.pixels();
        let job = case.job();
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let (seen, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        let centres: Vec<PlatePoint> = solution.holes.iter().map(|hole| hole.centre).collect();
        let best = rigid_move(&centres, &case.true_centres(&job));
        let map = solution.map.expect("the clicks and measures give a camera").with_datum(&best);
        let holes = solution.holes.iter().map(|hole| (best.apply(hole.centre), 0.5 * hole.rim_diameter_mm)).collect();
        Self { walls: seen.walls(), case, image, map, holes }
    }

    /// The same with the camera that took the photo: what is left is the outline's own error.
    #[must_use]
    pub fn by_true_camera(self) -> Self {
        Self { map: map_of(&self.case.camera()), ..self }
    }

    /// The photo turned by a quarter, clockwise as it is seen, and taken by the true camera turned alike: the plate's frame
    /// stays.
    #[must_use]
    pub fn turned(self) -> Self {
        let Camera { focal_px, principal_px: [cx, cy], distortion: [k1, k2, p1, p2], rotation: r, translation: t } =
            self.case.camera();
        let camera = Camera {
            focal_px,
            principal_px: [f64::from(self.image.height()) - 1.0 - cy, cx],
            distortion: [k1, k2, p2, -p1],
            rotation: [r[1].map(|value| -value), r[0], r[2]],
            translation: [-t[1], t[0], t[2]],
        };
        Self { image: imageops::rotate90(&self.image), map: map_of(&camera), ..self }
    }

    /// The photo mirrored left to right, and taken by the true camera mirrored alike: the plate's x runs the other way.
    #[must_use]
    pub fn mirrored(self) -> Self {
        let Camera { focal_px, principal_px: [cx, cy], distortion: [k1, k2, p1, p2], rotation: r, translation: t } =
            self.case.camera();
        let sign = |row: usize, column: usize| if (row == 0) == (column == 0) { 1.0 } else { -1.0 };
        let camera = Camera {
            focal_px,
            principal_px: [f64::from(self.image.width()) - 1.0 - cx, cy],
            distortion: [k1, k2, p1, -p2],
            rotation: std::array::from_fn(|row| std::array::from_fn(|column| sign(row, column) * r[row][column])),
            translation: [-t[0], t[1], t[2]],
        };
        Self { image: imageops::flip_horizontal(&self.image), map: map_of(&camera), ..self }
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

    /// The edge along nodes.
    pub fn followed(&self, nodes: &[PhotoPoint], face: FaceSide) -> FollowedEdge {
        follow_edge(&self.picture(), &self.map, nodes, true, face, REACH_PX, self.walls)
    }

    /// The nodes that come of one click beside the first hole: those of the outline, and of each opening.
    pub fn nodes_from_one_click(&self) -> Option<Vec<Vec<PhotoPoint>>> {
        let (centre, radius_mm) = *self.holes.first()?;
        let truth: Vec<Contour> = self.case.true_outlines().iter().map(|pieces| true_contour(pieces)).collect();
        let beside = |turn: i32| {
            let (sine, cosine) = (f64::from(turn) * TAU / 16.0).sin_cos();
            centre + PlateVec::new(cosine, sine) * (radius_mm + 2.5)
        };
        let room_mm = |place: &PlatePoint| truth.iter().map(|c| c.distance_mm(*place)).fold(f64::INFINITY, f64::min);
        let place = (0..16).map(beside).max_by(|a, b| room_mm(a).total_cmp(&room_mm(b)))?;
        let click = self.map.photo_from_plate(place)?;
        let proposal = propose_outline(&self.picture(), &self.map, click, &self.holes, self.walls, &mut |_| true)?;
        Some(proposal.nodes())
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

    /// The cut contour along nodes with the face on their left: counter-clockwise an outline, clockwise an opening.
    pub fn cut(&self, nodes: &[PhotoPoint], is_outline: bool) -> Option<Faired> {
        let points = self.edge_points(&self.followed(nodes, FaceSide::Left));
        fair(&points, &Wanted { counter_clockwise: Some(is_outline), ..Wanted::closed_outer() })
    }
}

/// Picks on the true rims are good to this, px.
const EXACT_PX: f64 = 0.01;

/// What the hand measures of a case leave of a contour's area, over the true area, less one: every rim is handed in where it
/// truly is, and the true contour is seen through the camera that follows from these and the measures as they were read.
///
/// # Panics
/// Where the case gives no camera.
pub fn area_left_by_hand(case: &Case, contour: &[TruePiece]) -> f64 {
    let mut job = case.job();
    for hole in &mut job.holes {
        (hole.rim, hole.sigma_px) = (case.true_rim(&hole.id), Some(EXACT_PX));
    }
    let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let map = solve(&inputs).map.expect("the rims and measures give a camera");
    let camera = case.camera();
    let seen = |place: &PlatePoint| {
        let photo = PhotoPoint::from(camera.photo_from_plate([place.x, place.y, 0.0]));
        map.plate_from_photo(photo).expect("the camera sees the outline")
    };
    let truth: Vec<PlatePoint> = contour.iter().flat_map(|piece| piece.sampled(1e-4, 1.0)).collect();
    let area = |ring: &[PlatePoint]| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| 0.5 * (a.x * b.y - b.x * a.y)).sum::<f64>()
    };
    area(&truth.iter().map(seen).collect::<Vec<_>>()) / area(&truth) - 1.0
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
