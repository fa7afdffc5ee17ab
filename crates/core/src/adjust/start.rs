//! Where the search starts.

use super::adjusted::best_move;
use super::evaluate::FootPoints;
use super::layout::{Layout, OVERLAY_UNKNOWNS};
use super::length::length;
use super::problem::{BREAK_WIDTH, Overlay, Problem, Span};
use super::state::State;
use crate::camera::{CAMERA_UNKNOWNS, CameraUnknown, View};
use crate::fit::{kasa, orthogonal_line, taubin};
use crate::space::{PlatePoint, PlateVec};

/// The smallest tilt that is worth a start of its own, radians (4 degrees).
const SMALLEST_TILT_RAD: f64 = 0.07;

/// Lens unknowns, which are zero in the start of last resort.
const DISTORTION: std::ops::Range<usize> = CameraUnknown::K1 as usize..CAMERA_UNKNOWNS;

/// A start with the camera as believed, then one in each quadrant of the tilts. Where none of these sees all picks, a
/// square pinhole, which sees everything.
pub(super) fn starts<'a>(problem: &'a Problem, layout: &'a Layout) -> impl Iterator<Item = Vec<f64>> + 'a {
    let believed = problem.priors.0.map(|prior| prior.value);
    let [tilt_a, tilt_b] = [CameraUnknown::TiltA, CameraUnknown::TiltB].map(|unknown| unknown as usize);
    let size = move |i: usize| problem.priors.0[i].sigma.max(SMALLEST_TILT_RAD);
    let signs = [(0.0, 0.0), (1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
    let cameras = signs.into_iter().map(move |(sign_a, sign_b)| {
        let mut camera = believed;
        camera[tilt_a] += sign_a * size(tilt_a);
        camera[tilt_b] += sign_b * size(tilt_b);
        camera
    });
    let mut pinhole = believed;
    (pinhole[tilt_a], pinhole[tilt_b]) = (0.0, 0.0);
    pinhole[DISTORTION].fill(0.0);
    let mut any = false;
    cameras.map(Some).chain([None]).filter_map(move |camera| {
        let found = match camera {
            Some(camera) => start(problem, layout, &camera),
            None if any => None,
            None => start(problem, layout, &pinhole),
        };
        any |= found.is_some();
        found
    })
}

/// All unknowns for one camera: features where their picks say, sizes by the longest length.
fn start(problem: &Problem, layout: &Layout, camera: &[f64; CAMERA_UNKNOWNS]) -> Option<Vec<f64>> {
    let view = View::from_unknowns(camera);
    let mut values = vec![0.0; layout.size];
    values[layout.camera..].copy_from_slice(camera);
    values[layout.breaks..layout.sizes].fill(BREAK_WIDTH.value);
    let mut feet = FootPoints::new(problem);
    for (rim, at) in problem.rims.iter().zip(&layout.rims) {
        let picks: Option<Vec<PlatePoint>> = rim.picks.iter().map(|pick| view.back_project(*pick)).collect();
        let picks = picks?;
        let circle = taubin(&picks).or_else(|| kasa(&picks))?;
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
    share(problem, layout, &mut values);
    Some(values)
}

/// Common sizes and overlays, where the features that have them say.
fn share(problem: &Problem, layout: &Layout, values: &mut [f64]) {
    for size in 0..problem.sizes {
        let state = State { layout, values };
        let members = problem.lengths.iter().filter_map(|each| match each.span {
            Span::SameSize(rim, of) if of == size => Some(2.0 * state.bore_radius(problem, rim)),
            _ => None,
        });
        let (count, sum) = members.fold((0.0, 0.0), |(count, sum), diameter| (count + 1.0, sum + diameter));
        if count > 0.0 {
            values[layout.sizes + size] = sum / count;
        }
    }
    for (number, overlay) in problem.overlays.iter().enumerate() {
        let state = State { layout, values };
        let pairs: Vec<_> = overlay.places.iter().map(|known| (state.place(known.feature), known.at)).collect();
        if let Some(lies) = best_move(&pairs) {
            let (at, shift) = (layout.overlay(number), lies.apply(PlatePoint::default()));
            values[at..at + OVERLAY_UNKNOWNS].copy_from_slice(&[shift.x, shift.y, lies.angle_rad()]);
        }
    }
}

/// Scales the plate and the camera's distance to the longest length, or where there is none to an overlay. The photo
/// stays as it is.
fn scale(problem: &Problem, layout: &Layout, values: &mut [f64], feet: &FootPoints) {
    let lengths = problem.lengths.iter().filter(|each| !each.span.is_statement());
    let Some(longest) = lengths.max_by(|a, b| a.mm.total_cmp(&b.mm)) else {
        let widest = problem.overlays.iter().map(|overlay| overlay_scale(overlay, &State { layout, values }));
        if let Some(factor) = widest.flatten().next() {
            scale_by(factor, layout, values);
        }
        return;
    };
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
        scale_by(factor, layout, values);
    }
}

/// How much larger an overlay's places lie apart than the features as they are: from its first place to the farthest.
fn overlay_scale(overlay: &Overlay, state: &State<'_>) -> Option<f64> {
    let first = overlay.places.first()?;
    let apart = overlay.places.iter().map(|known| (first.at.distance(known.at), known.feature));
    let (wanted, farthest) = apart.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let factor = wanted / state.place(first.feature).distance(state.place(farthest));
    (factor.is_finite() && factor > 0.0).then_some(factor)
}

/// Makes everything on the face larger and the camera as much farther away.
fn scale_by(factor: f64, layout: &Layout, values: &mut [f64]) {
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
