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

    /// Pixels a millimetre there, of the middle direction.
    pub(super) fn px_per_mm(&self) -> f64 {
        let [[a, b], [c, d]] = self.by_photo;
        (a * d - b * c).abs().sqrt().recip()
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

/// Picks that are worked on side by side, so that the processor's vector registers are full.
const LANES: usize = 8;

/// Rim picks side by side; where there are fewer the last is repeated.
struct Lanes {
    picks: [[f64; LANES]; 2],
    /// Directions of the foot points from the centre.
    towards: [[f64; LANES]; 2],
    /// By which angles the foot points were last turned; not a number where the rim is not seen.
    turns: [f64; LANES],
}

impl Lanes {
    fn of(picks: &[PhotoPoint], feet: &[PlateVec]) -> Self {
        let last = picks.len().min(feet.len()) - 1;
        let picks: [PhotoPoint; LANES] = std::array::from_fn(|i| picks[i.min(last)]);
        let feet: [PlateVec; LANES] = std::array::from_fn(|i| feet[i.min(last)]);
        Self {
            picks: [picks.map(|pick| pick.x), picks.map(|pick| pick.y)],
            towards: [feet.map(|foot| foot.x), feet.map(|foot| foot.y)],
            turns: [0.0; LANES],
        }
    }

    #[inline(always)]
    fn pick(&self, i: usize) -> PhotoPoint {
        PhotoPoint::new(self.picks[0][i], self.picks[1][i])
    }

    #[inline(always)]
    fn towards(&self, i: usize) -> PlateVec {
        PlateVec::new(self.towards[0][i], self.towards[1][i])
    }

    /// Newton's method on (pick - F) . F' = 0, with the circle's own second derivative -r J u for F''. Where the pick
    /// lies near the centre that goes to zero and the plain Gauss-Newton step is kept.
    fn turn(&mut self, view: &View, circle: &Circle) {
        for i in 0..LANES {
            let towards = self.towards(i);
            let (ray, seen) = view.ray_anywhere(circle.place(towards));
            let (by_plate, off) = (view.by_plate(&ray), self.pick(i) - view.arrival(&ray));
            let tangent = times(by_plate, towards.perp() * circle.radius);
            let square = tangent.dot(tangent);
            let curvature = square + off.dot(times(by_plate, towards * circle.radius));
            let turn = off.dot(tangent) / curvature.max(0.25 * square);
            self.turns[i] = if seen { turn } else { f64::NAN };
            // A turn by twice the angle whose tangent is half of this, which needs no root.
            let half = 0.5 * turn.clamp(-LARGEST_TURN, LARGEST_TURN);
            let share = 1.0 / (1.0 + half * half);
            let turned = towards * ((1.0 - half * half) * share) + towards.perp() * (2.0 * half * share);
            // Rounding adds up over many small turns.
            let turned = turned * (1.5 - 0.5 * turned.dot(turned));
            (self.towards[0][i], self.towards[1][i]) = (turned.x, turned.y);
        }
    }

    /// Brings the foot points to where they belong; `None` where the rim is not seen.
    fn settle(&mut self, view: &View, circle: &Circle) -> Option<()> {
        for _ in 0..MAX_ROUNDS {
            self.turn(view, circle);
            let largest = self.turns.iter().fold(0.0, |largest: f64, turn| {
                // The larger of two, where not a number is larger than any.
                if turn.abs() <= largest { largest } else { turn.abs() }
            });
            if !largest.is_finite() {
                return None;
            }
            if largest < LAST_TURN {
                break;
            }
        }
        Some(())
    }
}

/// The derivatives by a rim's own unknowns: centre x, centre y, radius.
const OWN: usize = 3;

/// Misfits side by side, with their derivatives.
struct Misfits {
    /// Not a number where the rim is not seen.
    off: [f64; LANES],
    own: [[f64; LANES]; OWN],
    camera: [[f64; LANES]; CAMERA_UNKNOWNS],
}

impl Misfits {
    fn of(lanes: &Lanes, view: &View, circle: &Circle, weights: [f64; LANES]) -> Self {
        let zero = [0.0; LANES];
        let mut all = Self { off: zero, own: [zero; OWN], camera: [zero; CAMERA_UNKNOWNS] };
        for i in 0..LANES {
            let towards = lanes.towards(i);
            let (ray, seen) = view.ray_anywhere(circle.place(towards));
            let Misfit { px, by_normal, by_camera } = misfit(view, lanes.pick(i), &ray, towards);
            let weight = weights[i];
            let by = by_normal * weight;
            all.off[i] = if seen { px * weight } else { f64::NAN };
            all.own[0][i] = by * towards.x;
            all.own[1][i] = by * towards.y;
            all.own[2][i] = by;
            for (all, by) in all.camera.iter_mut().zip(by_camera) {
                all[i] = by * weight;
            }
        }
        all
    }
}

/// A circle on the plate, radius in mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circle {
    pub(super) centre: PlatePoint,
    pub(super) radius: f64,
}

impl Circle {
    #[inline(always)]
    fn place(&self, towards: PlateVec) -> PlatePoint {
        self.centre + towards * self.radius
    }

    /// The misfits of picks on this rim, each times its weight (given its number), and handed to `each` with its
    /// derivatives by the circle and by the camera. `feet` are first guesses of the directions of the foot points from
    /// the centre, which are improved in place. `None` where the rim is not seen.
    pub(super) fn misfits(
        &self,
        view: &View,
        weight: impl Fn(usize) -> f64,
        picks: &[PhotoPoint],
        feet: &mut [PlateVec],
        mut each: impl FnMut(f64, &[f64; OWN], &[f64; CAMERA_UNKNOWNS]),
    ) -> Option<()> {
        let last = picks.len().saturating_sub(1);
        let chunks = picks.chunks(LANES).zip(feet.chunks_mut(LANES));
        for (first, (picks, feet)) in chunks.enumerate().map(|(chunk, both)| (chunk * LANES, both)) {
            let mut lanes = Lanes::of(picks, feet);
            lanes.settle(view, self)?;
            let weights = std::array::from_fn(|i| weight((first + i).min(last)));
            let misfits = Misfits::of(&lanes, view, self, weights);
            if misfits.off.iter().any(|off| off.is_nan()) {
                return None;
            }
            for (i, foot) in feet.iter_mut().enumerate() {
                *foot = lanes.towards(i);
                let (own, camera) = (misfits.own.each_ref(), misfits.camera.each_ref());
                each(misfits.off[i], &own.map(|by| by[i]), &camera.map(|by| by[i]));
            }
        }
        Some(())
    }

    /// How far a pick lies outward of this rim, px; `None` where the rim is not seen.
    pub(super) fn misfit_px(&self, view: &View, pick: PhotoPoint) -> Option<f64> {
        let mut towards = Middle::of(view, self.centre)?.direction(pick);
        let mut px = None;
        self.misfits(view, |_| 1.0, &[pick], std::slice::from_mut(&mut towards), |off, _, _| px = Some(off))?;
        px
    }
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
