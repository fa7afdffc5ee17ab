//! How far a pick lies from a rim or an edge, as seen in the photo.
//!
//! The misfit is the true distance in the photo between the pick and the projected curve, in px: pick minus foot
//! point, along the curve's outward normal. The foot point is where the distance is smallest, so a change of the
//! unknowns moves it along the curve only, which changes the distance by nothing of first order (envelope theorem).
//! The derivative by any unknown is therefore minus the normal times the projection's derivative with the foot point
//! held, and it is exact. An algebraic distance, or a distance on the plate times a local scale, has neither merit.

use crate::camera::{CAMERA_UNKNOWNS, Projection, View};
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};

/// A pick's distance outward from a projected curve, px, and its exact derivatives.
#[derive(Debug, Clone, Copy)]
pub(super) struct Misfit {
    pub(super) px: f64,
    /// By a movement of the curve along its normal on the plate, px per mm.
    pub(super) by_normal: f64,
    pub(super) by_camera: [f64; CAMERA_UNKNOWNS],
}

/// Rounds of the search for a foot point: three are usual, and a pick that is nowhere near its rim gets a good answer.
const MAX_ROUNDS: usize = 40;

/// A foot point that moves by less than this angle stays: the distance has changed by its square.
const SAME_ANGLE: f64 = 1e-9;

/// The most that a foot point moves in one round, radians.
const LARGEST_TURN: f64 = 0.7;

fn times([[a, b], [c, d]]: [[f64; 2]; 2], step: PlateVec) -> PhotoVec {
    PhotoVec::new(a * step.x + b * step.y, c * step.x + d * step.y)
}

fn misfit(pick: PhotoPoint, foot: &Projection, normal: PlateVec) -> Misfit {
    let outward_on_plate = times(foot.by_plate, normal);
    let tangent = times(foot.by_plate, normal.perp());
    // Where the curve is seen edge-on it has no normal, and any will do.
    let across = tangent.perp();
    let length = across.dot(across).sqrt();
    let side = if length > 0.0 { across * (1.0 / length) } else { PhotoVec::new(1.0, 0.0) };
    let outward = if side.dot(outward_on_plate) < 0.0 { -side } else { side };
    let [by_x, by_y] = foot.by_camera;
    Misfit {
        px: outward.dot(pick - foot.at),
        by_normal: -outward.dot(outward_on_plate),
        by_camera: std::array::from_fn(|i| -(outward.x * by_x[i] + outward.y * by_y[i])),
    }
}

/// The direction from the centre in which a pick lies, by the projection's derivative at the centre.
pub(super) fn direction(view: &View, centre: PlatePoint, pick: PhotoPoint) -> Option<PlateVec> {
    let (at, [[a, b], [c, d]]) = view.project_by_plate(centre)?;
    let (off, det) = (pick - at, a * d - b * c);
    let towards = PlateVec::new((d * off.x - b * off.y) / det, (a * off.y - c * off.x) / det);
    // A pick at the centre lies in no direction; any will do.
    Some(towards.unit().unwrap_or(PlateVec::new(1.0, 0.0)))
}

/// The misfit of a pick on the rim of the circle about `centre`, `radius` in mm. `towards` is the direction of the
/// foot point from the centre: a first guess that is improved in place. `None` where the rim is not seen.
pub(super) fn rim_misfit(
    view: &View,
    centre: PlatePoint,
    radius: f64,
    pick: PhotoPoint,
    towards: &mut PlateVec,
) -> Option<Misfit> {
    for _ in 0..MAX_ROUNDS {
        let (at, by_plate) = view.project_by_plate(centre + *towards * radius)?;
        let (off, tangent) = (pick - at, times(by_plate, towards.perp() * radius));
        // Newton's method on (pick - F) . F' = 0, with the circle's own second derivative -r J u for F''. Where the
        // pick lies near the centre that goes to zero and the plain Gauss-Newton step is kept.
        let square = tangent.dot(tangent);
        let curvature = square + off.dot(times(by_plate, *towards * radius));
        let turn = off.dot(tangent) / curvature.max(0.25 * square);
        if !turn.is_finite() {
            return None;
        }
        let turn = turn.clamp(-LARGEST_TURN, LARGEST_TURN);
        let turned = *towards + towards.perp() * turn;
        *towards = turned * (1.0 / turned.dot(turned).sqrt());
        if turn.abs() < SAME_ANGLE {
            break;
        }
    }
    let foot = view.project_with_derivatives(centre + *towards * radius)?;
    Some(misfit(pick, &foot, *towards))
}

/// The misfit of a pick on the straight edge `normal . X = offset_mm`. `along` is the foot point's place along the
/// edge, mm: a first guess that is improved in place. `None` where the edge is not seen.
pub(super) fn side_misfit(
    view: &View,
    normal: PlateVec,
    offset_mm: f64,
    pick: PhotoPoint,
    along: &mut f64,
) -> Option<Misfit> {
    let direction = normal.perp();
    let place = |along: f64| PlatePoint::default() + normal * offset_mm + direction * along;
    for _ in 0..MAX_ROUNDS {
        let (at, by_plate) = view.project_by_plate(place(*along))?;
        let tangent = times(by_plate, direction);
        let step = (pick - at).dot(tangent) / tangent.dot(tangent);
        if !step.is_finite() {
            return None;
        }
        *along += step;
        if step.abs() < SAME_ANGLE {
            break;
        }
    }
    let foot = view.project_with_derivatives(place(*along))?;
    Some(misfit(pick, &foot, normal))
}
