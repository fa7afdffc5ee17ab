//! Where each unknown stands in the vector of unknowns, and which of them meet in the normal matrix.

use super::problem::{Feature as Placed, OVERLAY_SIGMA, Problem, Span};
use crate::camera::CAMERA_UNKNOWNS;

/// Unknowns of a hole: centre X, Y and rim radius, mm.
pub(super) const RIM_UNKNOWNS: usize = 3;
/// Unknowns of a named point: X, Y, mm.
pub(super) const SPOT_UNKNOWNS: usize = 2;
/// Unknowns of a straight edge: angle of its normal, radians, and its offset along it, mm.
pub(super) const SIDE_UNKNOWNS: usize = 2;

/// Unknowns of an overlay: shift x and y, mm, and turn, radians.
pub(super) const OVERLAY_UNKNOWNS: usize = OVERLAY_SIGMA.len();

/// Features first, those that no length ties to another before the rest, then what many of them share (widths of broken
/// edges, common sizes, overlays), then the camera.
/// In this order the factor of the normal matrix keeps the matrix's own outline, so that the untied features cost
/// next to nothing however many there are.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    pub(super) rims: Vec<usize>,
    pub(super) spots: Vec<usize>,
    pub(super) sides: Vec<usize>,
    pub(super) breaks: usize,
    pub(super) sizes: usize,
    pub(super) overlays: usize,
    pub(super) camera: usize,
    pub(super) size: usize,
    /// For each row of the lower triangle, its first column that is not empty.
    pub(super) first: Vec<usize>,
}

#[derive(Clone, Copy, PartialEq)]
enum Feature {
    Rim(usize),
    Spot(usize),
    Side(usize),
}

fn ends(span: Span) -> Option<[Feature; 2]> {
    match span {
        Span::Centres(a, b) | Span::FarRims(a, b) | Span::NearRims(a, b) => Some([Feature::Rim(a), Feature::Rim(b)]),
        Span::Points(a, b) => Some([Feature::Spot(a), Feature::Spot(b)]),
        Span::Sides(a, b) | Span::Square(a, b) => Some([Feature::Side(a), Feature::Side(b)]),
        Span::RimToSide(a, b) => Some([Feature::Rim(a), Feature::Side(b)]),
        Span::OnSide(a, b) => Some([Feature::Spot(a), Feature::Side(b)]),
        Span::Diameter(_) | Span::SameSize(..) => None,
    }
}

impl Layout {
    pub(super) fn of(problem: &Problem) -> Self {
        let mut layout = Self {
            rims: vec![0; problem.rims.len()],
            spots: vec![0; problem.spots.len()],
            sides: vec![0; problem.sides.len()],
            breaks: 0,
            sizes: 0,
            overlays: 0,
            camera: 0,
            size: 0,
            first: Vec::new(),
        };
        let pairs: Vec<_> = problem.lengths.iter().filter_map(|length| ends(length.span)).collect();
        let mut tied = Self { first: Vec::new(), ..layout.clone() };
        for feature in pairs.iter().flatten() {
            *tied.slot(*feature).0 = 1;
        }
        let features = (0..problem.rims.len())
            .map(Feature::Rim)
            .chain((0..problem.spots.len()).map(Feature::Spot))
            .chain((0..problem.sides.len()).map(Feature::Side));
        let (last, early): (Vec<_>, Vec<_>) = features.partition(|feature| *tied.slot(*feature).0 == 1);
        for feature in early.into_iter().chain(last) {
            let base = layout.size;
            let (slot, count) = layout.slot(feature);
            *slot = base;
            layout.size += count;
            layout.first.extend(std::iter::repeat_n(base, count));
        }
        for [a, b] in pairs {
            let (a, b) = (layout.rows(a), layout.rows(b));
            let (lower, upper) = if a.start < b.start { (a, b) } else { (b, a) };
            for row in upper {
                layout.first[row] = layout.first[row].min(lower.start);
            }
        }
        layout.breaks = layout.size;
        layout.sizes = layout.breaks + problem.breaks;
        layout.overlays = layout.sizes + problem.sizes;
        layout.camera = layout.overlays + OVERLAY_UNKNOWNS * problem.overlays.len();
        layout.size = layout.camera + CAMERA_UNKNOWNS;
        layout.first.resize(layout.size, 0);
        layout
    }

    /// Where an overlay's unknowns stand.
    pub(super) fn overlay(&self, number: usize) -> usize {
        self.overlays + OVERLAY_UNKNOWNS * number
    }

    /// Where the coordinates of a hole or point stand.
    pub(super) fn place(&self, feature: Placed) -> usize {
        match feature {
            Placed::Rim(rim) => self.rims[rim],
            Placed::Spot(spot) => self.spots[spot],
        }
    }

    fn slot(&mut self, feature: Feature) -> (&mut usize, usize) {
        match feature {
            Feature::Rim(i) => (&mut self.rims[i], RIM_UNKNOWNS),
            Feature::Spot(i) => (&mut self.spots[i], SPOT_UNKNOWNS),
            Feature::Side(i) => (&mut self.sides[i], SIDE_UNKNOWNS),
        }
    }

    fn rows(&mut self, feature: Feature) -> std::ops::Range<usize> {
        let (slot, count) = self.slot(feature);
        *slot..*slot + count
    }
}
