//! Where each unknown stands in the vector of unknowns, and which of them meet in the normal matrix.

use super::problem::{Corner, Feature, OVERLAY_SIGMA, Problem, Span};
use super::structure::{Groups, Structure};
use crate::camera::CAMERA_UNKNOWNS;
use std::sync::Arc;

/// Unknowns of a hole: centre X, Y and rim radius, mm.
pub(super) const RIM_UNKNOWNS: usize = 3;
/// Unknowns of a named point: X, Y, mm.
pub(super) const SPOT_UNKNOWNS: usize = 2;
/// Unknowns of a straight edge: angle of its normal, radians, and its offset along it, mm.
pub(super) const SIDE_UNKNOWNS: usize = 2;

/// Unknowns of an overlay: shift x and y, mm, and turn, radians.
pub(super) const OVERLAY_UNKNOWNS: usize = OVERLAY_SIGMA.len();

/// Features first, in an order in which the factor of the normal matrix stays sparse, then what many of them share (widths
/// of broken edges, common sizes, overlays), then the camera.
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
    pub(super) structure: Arc<Structure>,
}

/// The numbers of a problem's groups of unknowns, in the order of [`Layout`]'s lists.
struct Numbers<'a> {
    problem: &'a Problem,
    spots: usize,
    sides: usize,
    breaks: usize,
    sizes: usize,
    overlays: usize,
}

impl<'a> Numbers<'a> {
    fn of(problem: &'a Problem) -> Self {
        let spots = problem.rims.len();
        let sides = spots + problem.spots.len();
        let breaks = sides + problem.sides.len();
        let sizes = breaks + problem.breaks.len();
        Self { problem, spots, sides, breaks, sizes, overlays: sizes + problem.sizes }
    }

    /// Ties a hole with its broken edge, as bores are.
    fn bore(&self, rim: usize) -> [usize; 2] {
        [rim, self.problem.rims[rim].edge_break.map_or(rim, |number| self.breaks + number)]
    }

    /// Ties the groups that meet in a length.
    fn tie(&self, span: Span, groups: &mut Groups) {
        match span {
            Span::Centres(a, b) => groups.tie(&[a, b]),
            Span::FarRims(a, b) | Span::NearRims(a, b) => groups.tie(&[self.bore(a), self.bore(b)].concat()),
            Span::Points(a, b) => groups.tie(&[self.spots + a, self.spots + b]),
            Span::Sides(a, b) | Span::Square(a, b) => groups.tie(&[self.sides + a, self.sides + b]),
            Span::RimToSide(a, b) => groups.tie(&[&self.bore(a)[..], &[self.sides + b]].concat()),
            Span::OnSide(a, b) => groups.tie(&[self.spots + a, self.sides + b]),
            Span::Diameter(rim) => groups.tie(&self.bore(rim)),
            Span::SameSize(rim, size) => groups.tie(&[&self.bore(rim)[..], &[self.sizes + size]].concat()),
        }
    }

    fn place(&self, feature: Feature) -> usize {
        match feature {
            Feature::Rim(rim) => rim,
            Feature::Spot(spot) => self.spots + spot,
        }
    }
}

impl Layout {
    pub(super) fn of(problem: &Problem) -> Self {
        let Problem { rims, spots, sides, overlays, .. } = problem;
        let sizes = [(RIM_UNKNOWNS, rims.len()), (SPOT_UNKNOWNS, spots.len()), (SIDE_UNKNOWNS, sides.len())];
        let shared =
            [(1, problem.breaks.len() + problem.sizes), (OVERLAY_UNKNOWNS, overlays.len()), (CAMERA_UNKNOWNS, 1)];
        let list = |of: [(usize, usize); 3]| of.into_iter().flat_map(|(size, count)| std::iter::repeat_n(size, count));
        let mut groups = Groups::new(list(sizes).collect(), list(shared));
        let numbers = Numbers::of(problem);
        for length in &problem.lengths {
            numbers.tie(length.span, &mut groups);
        }
        for Corner { spot, sides, .. } in &problem.corners {
            for side in sides {
                numbers.tie(Span::OnSide(*spot, *side), &mut groups);
            }
        }
        for (number, overlay) in overlays.iter().enumerate() {
            for known in &overlay.places {
                groups.tie(&[numbers.place(known.feature), numbers.overlays + number]);
            }
        }
        let (starts, structure) = groups.order();
        let (breaks, sizes) = (starts[numbers.breaks], starts[numbers.sizes]);
        let size = structure.size();
        Self {
            rims: starts[..numbers.spots].to_vec(),
            spots: starts[numbers.spots..numbers.sides].to_vec(),
            sides: starts[numbers.sides..numbers.breaks].to_vec(),
            breaks,
            sizes,
            overlays: starts[numbers.overlays],
            camera: size - CAMERA_UNKNOWNS,
            size,
            structure: Arc::new(structure),
        }
    }

    /// Where an overlay's unknowns stand.
    pub(super) fn overlay(&self, number: usize) -> usize {
        self.overlays + OVERLAY_UNKNOWNS * number
    }

    /// Where the coordinates of a hole or point stand.
    pub(super) fn place(&self, feature: Feature) -> usize {
        match feature {
            Feature::Rim(rim) => self.rims[rim],
            Feature::Spot(spot) => self.spots[spot],
        }
    }
}
