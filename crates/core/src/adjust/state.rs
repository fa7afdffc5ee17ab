//! The unknowns by name.

use super::layout::Layout;
use super::problem::{Feature, Problem};
use crate::camera::{CAMERA_UNKNOWNS, RigidMove, View};
use crate::space::{PlatePoint, PlateVec};

/// The unknowns' values, read through the layout; plate coordinates in the solve frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct State<'a> {
    pub(super) layout: &'a Layout,
    pub(super) values: &'a [f64],
}

impl State<'_> {
    pub(super) fn view(&self) -> View {
        let from = self.layout.camera;
        View::from_unknowns(&std::array::from_fn::<_, CAMERA_UNKNOWNS, _>(|i| self.values[from + i]))
    }

    pub(super) fn centre(&self, rim: usize) -> PlatePoint {
        let at = self.layout.rims[rim];
        PlatePoint::new(self.values[at], self.values[at + 1])
    }

    pub(super) fn rim_radius(&self, rim: usize) -> f64 {
        self.values[self.layout.rims[rim] + 2]
    }

    /// Radius of the bore that jaws touch, mm.
    pub(super) fn bore_radius(&self, problem: &Problem, rim: usize) -> f64 {
        let width = problem.rims[rim].edge_break.map_or(0.0, |number| self.break_width(number));
        self.rim_radius(rim) - width
    }

    pub(super) fn break_width(&self, number: usize) -> f64 {
        self.values[self.layout.breaks + number]
    }

    /// A size that several holes have in common, mm.
    pub(super) fn common_size(&self, number: usize) -> f64 {
        self.values[self.layout.sizes + number]
    }

    /// How an overlay lies on the face.
    pub(super) fn overlay(&self, number: usize) -> RigidMove {
        let at = self.layout.overlay(number);
        RigidMove::new(self.values[at + 2], PlateVec::new(self.values[at], self.values[at + 1]))
    }

    /// The place of a hole or point.
    pub(super) fn place(&self, feature: Feature) -> PlatePoint {
        match feature {
            Feature::Rim(rim) => self.centre(rim),
            Feature::Spot(spot) => self.spot(spot),
        }
    }

    pub(super) fn spot(&self, spot: usize) -> PlatePoint {
        let at = self.layout.spots[spot];
        PlatePoint::new(self.values[at], self.values[at + 1])
    }

    /// Normal and offset of a straight edge.
    pub(super) fn side(&self, side: usize) -> (PlateVec, f64) {
        let at = self.layout.sides[side];
        (PlateVec::from_angle(self.values[at]), self.values[at + 1])
    }
}
