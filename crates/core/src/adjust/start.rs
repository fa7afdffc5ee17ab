//! Where the search starts.

use super::evaluate::FootPoints;
use super::layout::Layout;
use super::length::length;
use super::problem::{BREAK_WIDTH, Problem};
use super::state::State;
use crate::camera::{CAMERA_UNKNOWNS, CameraUnknown, View};
use crate::fit::{geometric, kasa, orthogonal_line};
use crate::space::{PlatePoint, PlateVec};

/// The smallest tilt that is worth a start of its own, radians (4 degrees).
const SMALLEST_TILT_RAD: f64 = 0.07;

/// Lens unknowns, which are zero in the start of last resort.
const DISTORTION: std::ops::Range<usize> = CameraUnknown::K1 as usize..CAMERA_UNKNOWNS;

/// A start with the camera as believed, then one in each quadrant of the tilts.
pub(super) fn starts(problem: &Problem, layout: &Layout) -> Vec<Vec<f64>> {
    let believed = problem.priors.0.map(|prior| prior.value);
    let [tilt_a, tilt_b] = [CameraUnknown::TiltA, CameraUnknown::TiltB].map(|unknown| unknown as usize);
    let size = |i: usize| problem.priors.0[i].sigma.max(SMALLEST_TILT_RAD);
    let mut cameras = vec![believed];
    for (sign_a, sign_b) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
        let mut camera = believed;
        camera[tilt_a] += sign_a * size(tilt_a);
        camera[tilt_b] += sign_b * size(tilt_b);
        cameras.push(camera);
    }
    let mut starts: Vec<_> = cameras.iter().filter_map(|camera| start(problem, layout, camera)).collect();
    if starts.is_empty() {
        // Beliefs under which the picks are not seen at all: a square pinhole sees everything.
        let mut camera = believed;
        camera[tilt_a] = 0.0;
        camera[tilt_b] = 0.0;
        camera[DISTORTION].fill(0.0);
        starts.extend(start(problem, layout, &camera));
    }
    starts
}

/// All unknowns for one camera: features where their picks say, sizes by the longest length.
fn start(problem: &Problem, layout: &Layout, camera: &[f64; CAMERA_UNKNOWNS]) -> Option<Vec<f64>> {
    let view = View::from_unknowns(camera);
    let mut values = vec![0.0; layout.size];
    values[layout.camera..].copy_from_slice(camera);
    values[layout.breaks..layout.camera].fill(BREAK_WIDTH.value);
    let mut feet = FootPoints::new(problem);
    for (rim, at) in problem.rims.iter().zip(&layout.rims) {
        let picks: Option<Vec<PlatePoint>> = rim.picks.iter().map(|pick| view.back_project(*pick)).collect();
        let picks = picks?;
        let circle = geometric(&picks).map(|fit| fit.circle).or_else(|| kasa(&picks))?;
        values[*at..at + 3].copy_from_slice(&[circle.centre[0], circle.centre[1], circle.radius]);
    }
    for (spot, at) in problem.spots.iter().zip(&layout.spots) {
        let place = view.back_project(spot.pick)?;
        values[*at..at + 2].copy_from_slice(&[place.x, place.y]);
    }
    for (number, (side, at)) in problem.sides.iter().zip(&layout.sides).enumerate() {
        let picks: Option<Vec<PlatePoint>> = side.picks.iter().map(|pick| view.back_project(*pick)).collect();
        let line = orthogonal_line(&picks?)?;
        let normal = -PlateVec::from(line.direction).perp();
        let through = PlatePoint::from(line.through) - PlatePoint::default();
        values[*at..at + 2].copy_from_slice(&[normal.angle_rad(), normal.dot(through)]);
        feet.middles[number] = normal.perp().dot(through);
    }
    scale(problem, layout, &mut values, &feet);
    Some(values)
}

/// Scales the plate and the camera's distance to the longest length. The photo stays as it is.
fn scale(problem: &Problem, layout: &Layout, values: &mut [f64], feet: &FootPoints) {
    let Some(longest) = problem.lengths.iter().max_by(|a, b| a.mm.total_cmp(&b.mm)) else { return };
    // Widths of broken edges are lengths of their own, so two rounds meet the reading where one would not.
    let mut total = 1.0;
    for _ in 0..3 {
        let state = State { layout, values };
        let middles: Vec<f64> = feet.middles.iter().map(|middle| middle * total).collect();
        let (present, _) = length(problem, &state, &middles, longest.span);
        let factor = longest.mm / present;
        if !(factor.is_finite() && factor > 0.0) {
            return;
        }
        total *= factor;
        for (at, lengths) in layout
            .rims
            .iter()
            .map(|at| (*at, 0..3))
            .chain(layout.spots.iter().map(|at| (*at, 0..2)))
            .chain(layout.sides.iter().map(|at| (*at, 1..2)))
        {
            for value in &mut values[at + lengths.start..at + lengths.end] {
                *value *= factor;
            }
        }
        values[layout.camera + CameraUnknown::LnDistance as usize] += factor.ln();
    }
}
