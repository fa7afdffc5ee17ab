//! The unknowns in the order in which a reader would write them down.

use super::adjusted::Adjusted;
use super::layout::{Layout, RIM_UNKNOWNS, SIDE_UNKNOWNS, SPOT_UNKNOWNS};
use crate::camera::CAMERA_UNKNOWNS;

/// All unknowns and their covariance in plain order: the camera's, in the order of
/// [`crate::camera::CameraUnknown`]; the widths of broken edges, mm; common sizes, mm; shift and turn of each overlay,
/// mm and radians; X, Y and rim radius of each hole, mm; X and Y of
/// each point, mm; angle (radians) and offset (mm) of each straight edge. Plate coordinates are of the solve frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Plain {
    /// The unknowns.
    pub unknowns: Vec<f64>,
    /// Their covariance, a row for each.
    pub covariance: Vec<Vec<f64>>,
}

/// For each number of the plain order where the unknown stands.
pub(super) fn order(layout: &Layout) -> Vec<usize> {
    let camera = layout.camera..layout.camera + CAMERA_UNKNOWNS;
    let shared = layout.breaks..layout.camera;
    let of = |starts: &[usize], count| starts.iter().flat_map(move |s| *s..s + count).collect::<Vec<_>>();
    camera
        .chain(shared)
        .chain(of(&layout.rims, RIM_UNKNOWNS))
        .chain(of(&layout.spots, SPOT_UNKNOWNS))
        .chain(of(&layout.sides, SIDE_UNKNOWNS))
        .collect()
}

impl Adjusted<'_> {
    /// Everything that was found, for comparison with another solver.
    pub fn plain(&self) -> Plain {
        let (order, covariance) = (order(self.layout()), self.covariance());
        let row = |i: &usize| order.iter().map(|j| covariance.row(*i)[*j]).collect();
        Plain {
            unknowns: order.iter().map(|i| self.values()[*i]).collect(),
            covariance: order.iter().map(row).collect(),
        }
    }
}
