//! How far a pick lies from a rim or an edge, as seen in the photo.
//!
//! The misfit is the true distance in the photo between the pick and the projected curve, in px: pick minus foot
//! point, along the curve's outward normal. The foot point is where the distance is smallest, so a change of the
//! unknowns moves it along the curve only, which changes the distance by nothing of first order (envelope theorem).
//! The derivative by any unknown is therefore minus the normal times the projection's derivative with the foot point
//! held, and it is exact. An algebraic distance, or a distance on the plate times a local scale, has neither merit.
#![expect(clippy::inline_always, reason = "this runs once or twice per pick and round, and its parts are shared")]

use crate::camera::{CAMERA_UNKNOWNS, Ray, View};
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

/// A foot point within this angle, radians, is where it belongs: the distance differs by its square.
const SAME_ANGLE: f64 = 1e-10;

/// After a turn by less than this angle the foot point is where it belongs: each move is as small as the square of the
/// one before, or as its product with the misfit over the focal length, which is less.
const LAST_TURN: f64 = 3e-5;

/// A foot point on a straight edge that was moved by less than this, mm, is where it belongs.
const SAME_PLACE_MM: f64 = 1e-9;

/// The most that a foot point moves in one round, radians.
const LARGEST_TURN: f64 = 0.7;

fn times([[a, b], [c, d]]: [[f64; 2]; 2], step: PlateVec) -> PhotoVec {
    PhotoVec::new(a * step.x + b * step.y, c * step.x + d * step.y)
}

/// The misfit of a pick whose foot point lies at the end of `ray`, on a curve with this normal on the plate.
#[inline(always)]
fn misfit(view: &View, pick: PhotoPoint, ray: &Ray, normal: PlateVec) -> Misfit {
    let by_plate = view.by_plate(ray);
    let outward_on_plate = times(by_plate, normal);
    // Where the curve is seen edge-on it has no normal, and any will do.
    let across = times(by_plate, normal.perp()).perp();
    let length = across.dot(across).sqrt();
    let side = if length > 0.0 { across * (1.0 / length) } else { PhotoVec::new(1.0, 0.0) };
    let outward = if side.dot(outward_on_plate) < 0.0 { -side } else { side };
    Misfit {
        px: outward.dot(pick - view.arrival(ray)),
        by_normal: -outward.dot(outward_on_plate),
        by_camera: view.along_by_camera(ray, -outward),
    }
}

/// A hole's centre as it is seen, to tell in which direction from it picks lie.
#[derive(Debug, Clone, Copy)]
pub(super) struct Middle {
    at: PhotoPoint,
    /// The plate by the photo, mm per px.
    by_photo: [[f64; 2]; 2],
}

impl Middle {
    /// `None` where it is not seen.
    pub(super) fn of(view: &View, centre: PlatePoint) -> Option<Self> {
        let (at, [[a, b], [c, d]]) = view.project_by_plate(centre)?;
        let share = 1.0 / (a * d - b * c);
        Some(Self { at, by_photo: [[d * share, -b * share], [-c * share, a * share]] })
    }

    /// The direction from the centre in which a pick lies, by the projection's derivative there.
    pub(super) fn direction(&self, pick: PhotoPoint) -> PlateVec {
        let ([[a, b], [c, d]], off) = (self.by_photo, pick - self.at);
        let towards = PlateVec::new(a * off.x + b * off.y, c * off.x + d * off.y);
        let length = towards.dot(towards).sqrt();
        // A pick at the centre lies in no direction; any will do.
        if length > 0.0 && length.is_finite() { towards * (1.0 / length) } else { PlateVec::new(1.0, 0.0) }
    }
}

/// The misfit of a pick on the rim of the circle about `centre`, `radius` in mm. `towards` is the direction of the
/// foot point from the centre: a first guess that is improved in place. `None` where the rim is not seen.
#[inline(always)]
pub(super) fn rim_misfit(
    view: &View,
    centre: PlatePoint,
    radius: f64,
    pick: PhotoPoint,
    towards: &mut PlateVec,
) -> Option<Misfit> {
    let mut ray = view.ray(centre + *towards * radius)?;
    for _ in 0..MAX_ROUNDS {
        let (by_plate, off) = (view.by_plate(&ray), pick - view.arrival(&ray));
        let tangent = times(by_plate, towards.perp() * radius);
        // Newton's method on (pick - F) . F' = 0, with the circle's own second derivative -r J u for F''. Where the
        // pick lies near the centre that goes to zero and the plain Gauss-Newton step is kept.
        let square = tangent.dot(tangent);
        let curvature = square + off.dot(times(by_plate, *towards * radius));
        let turn = off.dot(tangent) / curvature.max(0.25 * square);
        if !turn.is_finite() {
            return None;
        }
        if turn.abs() < SAME_ANGLE {
            break;
        }
        let turn = turn.clamp(-LARGEST_TURN, LARGEST_TURN);
        let turned = *towards + towards.perp() * turn;
        *towards = turned * (1.0 / (1.0 + turn * turn).sqrt());
        ray = view.ray(centre + *towards * radius)?;
        if turn.abs() < LAST_TURN {
            break;
        }
    }
    // Rounding adds up over many small turns.
    *towards = *towards * (1.5 - 0.5 * towards.dot(*towards));
    Some(misfit(view, pick, &ray, *towards))
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
        if step.abs() < SAME_PLACE_MM {
            break;
        }
    }
    let ray = view.ray(place(*along))?;
    Some(misfit(view, pick, &ray, normal))
}
