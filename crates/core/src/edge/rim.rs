//! Measuring the rim of a hole.

use super::curve::Circle;
use super::picture::Picture;
use super::reading::{Blur, Rejected};
use super::search::{Crossing, Reach};
use super::second::{FEWEST_ALIKE, Inner, Known};
use super::trace::{EdgePoint, Look, Trace, blur_along, found};
use crate::camera::PlateMap;
use crate::fit;
use crate::space::{PhotoPoint, PlatePoint};
use nalgebra::{Matrix3, Vector3};

/// Where a rim is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimStart {
    /// About its centre.
    pub centre: PlatePoint,
    /// About its radius, mm.
    pub radius_mm: f64,
    /// How far it may lie off that, px.
    pub reach_px: f64,
}

/// Beyond the clicks' own scatter a rim is looked for by this, px: profiles need room beside the edge.
const ROOM_PX: f64 = 4.0;

/// However careful the picks, a rim is looked for by this share of its radius, within limits, px: the outermost three
/// pixels of a profile tell no slope, and where most of the others lie on the edge it passes for the usual unevenness. On
/// rendered photos rims were missed or taken for their walls with 8 px of reach, and found alike with 14 to 20.
const LEAST_REACH_SHARE: f64 = 0.5;
const LEAST_REACH_PX: (f64, f64) = (10.0, 16.0);

/// The rim is never looked for farther than this, px.
const LARGEST_REACH_PX: f64 = 60.0;

/// Nor farther towards the centre than this share of the radius.
const REACH_INSIDE: f64 = 0.6;

impl RimStart {
    /// From three or more picks on the rim, each good to `sigma_px`; the reach follows from how well they settle the
    /// circle. `None` where they make none.
    pub fn from_picks(map: &PlateMap, picks: &[PhotoPoint], sigma_px: f64) -> Option<Self> {
        let plate: Option<Vec<PlatePoint>> = picks.iter().map(|pick| map.plate_from_photo(*pick)).collect();
        let fit = fit::geometric(&plate?)?;
        let centre = PlatePoint::from(fit.circle.centre);
        let cofactor = Matrix3::from_fn(|i, j| fit.cofactor[i][j]);
        let spread = |angle: f64| {
            let by = Vector3::new(angle.cos(), angle.sin(), 1.0);
            (by.dot(&(cofactor * by))).max(0.0).sqrt()
        };
        let widest = (0..16).map(|i| spread(f64::from(i) * std::f64::consts::TAU / 16.0)).fold(0.0, f64::max);
        let radius_px = fit.circle.radius * map.px_per_mm(centre);
        let least_px = (LEAST_REACH_SHARE * radius_px).clamp(LEAST_REACH_PX.0, LEAST_REACH_PX.1);
        let reach_px = (3.0 * sigma_px * widest + ROOM_PX).max(least_px).min(LARGEST_REACH_PX);
        reach_px.is_finite().then_some(Self { centre, radius_mm: fit.circle.radius, reach_px })
    }
}

/// Whether a measured rim may be believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// One circle, seen most of the way round.
    Trusted,
    /// Less than 200 degrees of the rim are seen; a short arc does not hold the centre.
    ShortArc,
    /// The points scatter about the circle by more than half a pixel, or by more than a small circle allows: it is no
    /// circle, or not this one.
    Scattered,
    /// Two circles fit about equally well, and the second is neither the inner line of a broken edge nor the far end of
    /// the wall. The outer one was measured.
    TwoRims {
        /// The radius of the other, mm.
        other_radius_mm: f64,
    },
    /// One circle, but its edge is so faint or its surroundings so uneven that it is not good to a tenth of a pixel. Its
    /// points may serve with their own standard deviations.
    Faint {
        /// Standard deviation of the circle's distance from the rim, mean round it, px.
        good_to_px: f64,
    },
    /// The hole is so small in the photo that its blurred rim runs together across it.
    TooSmall,
}

impl Verdict {
    /// It is one circle, however well it is known.
    pub const fn is_one_circle(self) -> bool {
        matches!(self, Self::Trusted | Self::Faint { .. })
    }
}

/// Less than this arc of a rim is not trusted, degrees.
pub const SHORTEST_ARC_DEG: f64 = 200.0;

/// Nor less than this arc of a rim that is looked at in fewer places than these: nine of twelve lie on some circle by
/// chance where other edges are near, as between printed discs that lie half a radius apart.
const SHORTEST_ARC_OF_FEW_DEG: f64 = 285.0;
const FEW_PLACES: usize = 24;

/// Points that scatter by more than this about their circle are not trusted, px.
pub const LARGEST_RMS_PX: f64 = 0.5;

/// Nor those of a small rim that scatter by more than this share of its radius: it has so few points that they may agree on
/// a circle beside it.
const LARGEST_RMS_SHARE: f64 = 0.02;

/// A rim with a radius under this many blurs runs together.
const SMALLEST_BLURS: f64 = 3.0;

/// And so does one under this radius, px: there are too few pixels for levels on both sides of an edge.
const SMALLEST_RADIUS_PX: f64 = 4.0;

/// A circle that is settled worse than this is faint, px: its centre is then off by more than a tenth of a pixel as often as
/// not.
const FAINT_PX: f64 = 0.125;

/// Errors that all points share, px: lens and sensor blur are not quite Gaussian, and the wall is lighter towards the edge
/// all round. Rims on even metal are off by as much.
const SHIFT_PX: f64 = 0.02;
pub(super) const RADIUS_PX: f64 = 0.03;

/// And this share of what the points scatter beyond the noise of their light: unevenness that is as wide as the rim moves
/// all points alike. On brushed, painted, cast and paper surfaces centre and radius were off by a fifth of it.
pub(super) const SHARED: f64 = 0.2;

/// A photo's blur is told by at least so many rims.
const FEWEST_BLURS: usize = 3;

/// One of so many rims at least tells the same wall, where a wall is believed to be above doubtful ones.
const AGREEING_OF: usize = 3;

/// A measured rim.
#[derive(Debug, Clone, PartialEq)]
pub struct RimMeasurement {
    /// Centre of the circle on the plate, by the camera that was given.
    pub centre: PlatePoint,
    /// Its radius, mm.
    pub radius_mm: f64,
    /// Points on the rim, in order round it.
    pub points: Vec<EdgePoint>,
    /// Places round it that gave no point.
    pub rejected: Vec<Rejected>,
    /// How much of the rim gave points, degrees.
    pub arc_deg: f64,
    /// Root mean square of the points' distances from the circle, px.
    pub rms_px: f64,
    /// Standard deviation of the photo's blur at the rim, px.
    pub blur_px: f64,
    /// Radius of the bore below a broken edge, mm, where its line is seen all round within the rim.
    pub inner_radius_mm: Option<f64>,
    /// How far below the face the wall ends, mm, where its far end is seen within the rim.
    pub wall_depth_mm: Option<f64>,
    /// Standard deviation of a shift that all points share, along each axis, px: it does not shrink with their number.
    pub shared_shift_px: f64,
    /// The same of their distance from the centre, px.
    pub shared_radius_px: f64,
    /// Whether it may be believed.
    pub verdict: Verdict,
}

impl RimMeasurement {
    /// Share of the places round the rim that gave no point, 0 to 1.
    pub fn rejected_share(&self) -> f64 {
        self.rejected.len() as f64 / ((self.points.len() + self.rejected.len()) as f64).max(1.0)
    }
}

/// Why a rim could not be measured at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoRim {
    /// The start is no circle that the camera sees.
    #[error("the circle to start from is not on the photo")]
    OffPhoto,
    /// Nothing round the start looks like a rim.
    #[error("nothing near the circle to start from looks like a rim")]
    NotFound,
}

/// Measures the rim near `start` in the photo.
///
/// # Errors
/// Where the start is not on the photo, or no rim is near it.
pub fn measure_rim(picture: &Picture, map: &PlateMap, start: &RimStart) -> Result<RimMeasurement, NoRim> {
    let look = search(picture, map, start)?.look(picture, map, None).ok_or(NoRim::NotFound)?;
    Ok(measurement(map, look.trace(map).ok_or(NoRim::NotFound)?))
}

/// Measures many rims of one photo, each as [`measure_rim`] does but with the blur and the inner edge (an edge break, the
/// far end of the wall) that most rims have in common: where an edge is faint its own profiles tell little of them.
///
/// # Errors
/// For each start, where it is not on the photo or no rim is near it.
pub fn measure_rims(picture: &Picture, map: &PlateMap, starts: &[RimStart]) -> Vec<Result<RimMeasurement, NoRim>> {
    let found: Vec<_> = starts.iter().map(|start| search(picture, map, start)).collect();
    let blurs: Vec<Blur> = found.iter().flatten().filter_map(|found| blur_along(picture, map, &found.circle)).collect();
    let photo_blur = (blurs.len() >= FEWEST_BLURS).then(|| Blur::of_photo(blurs)).flatten();
    let look = |found: Result<Found, NoRim>| found?.look(picture, map, photo_blur).ok_or(NoRim::NotFound);
    let looks: Vec<_> = found.into_iter().map(look).collect();
    let inners: Vec<Inner> = looks.iter().flatten().filter_map(|look| Some(look.inner?.inner)).collect();
    let photo_inner = Inner::of_photo(&inners).map(|known| known.inner);
    let measure = |look: &Result<Look<Circle>, NoRim>| {
        let trace = look.clone()?.with_photo_inner(map, photo_inner).trace(map);
        Ok(measurement(map, trace.ok_or(NoRim::NotFound)?))
    };
    let mut measured: Vec<_> = looks.iter().map(measure).collect();
    measure_above_walls(map, &looks, &mut measured);
    measured
}

/// Looks once more for the rims of which no circle was seen, as above a wall that looks like the face.
///
/// Where such a wall shows, only its far end is seen, and what is seen all round is no circle but a lens: the rim along one
/// half, the same circle moved towards the camera's foot along the other. How thick the part is the photo's other rims tell,
/// and the halves of these. The far end then says where the rim is above it. It is looked for from two sides: from the half
/// where no wall can show, and from all that was seen, with what can be the far end brought up. What is found counts where
/// it is one circle and the far end shows wherever it should; that the thickness is known to a few hundredths only is an
/// error that all points share.
fn measure_above_walls(
    map: &PlateMap,
    looks: &[Result<Look<Circle>, NoRim>],
    measured: &mut [Result<RimMeasurement, NoRim>],
) {
    // Fewer agree on nothing, as the one that is being dragged.
    if looks.len() < FEWEST_ALIKE {
        return;
    }
    let is_doubted = |rim: &Result<RimMeasurement, NoRim>| !rim.as_ref().is_ok_and(|rim| rim.verdict.is_one_circle());
    let mut all: Vec<Inner> = Vec::new();
    let mut doubted = Vec::new();
    for (rim, look) in measured.iter_mut().zip(looks) {
        let Ok(look) = look else { continue };
        // Each rim tells one; of a doubted one its half does.
        let half = is_doubted(rim).then(|| look.by_hidden_half(map)).flatten();
        all.extend(half.as_ref().and_then(|half| half.inner).or(look.inner).map(|known| known.inner));
        if is_doubted(rim) {
            doubted.push((rim, half, look));
        }
    }
    // Among hundreds of printed discs some agree by chance; every hole of a part has the same wall.
    let is_of_most =
        |known: &Known| AGREEING_OF * all.iter().filter(|one| known.inner.is_like(**one)).count() >= looks.len();
    let known = Inner::of_photo(&all).filter(Known::is_agreed_far_end).filter(is_of_most);
    let Some(known) = known else { return };
    for (rim, half, look) in doubted {
        let ways = half.into_iter().chain(look.above_far_end(map, known));
        let above = ways
            .filter_map(|look| look.knowing(known).trace(map).filter(|trace| trace.inner_shows))
            .map(|trace| measurement(map, trace))
            .filter(|above| above.verdict.is_one_circle())
            .min_by(|a, b| a.rms_px.total_cmp(&b.rms_px));
        if let Some(above) = above {
            *rim = Ok(above);
        }
    }
}

/// What the wide search found.
#[derive(Debug)]
struct Found {
    circle: Circle,
    crossings: Vec<Crossing>,
}

impl Found {
    fn look<'a>(self, picture: &'a Picture, map: &PlateMap, photo_blur: Option<Blur>) -> Option<Look<'a, Circle>> {
        Look::new(picture, map, &self.circle, self.crossings, photo_blur)
    }
}

fn search(picture: &Picture, map: &PlateMap, start: &RimStart) -> Result<Found, NoRim> {
    let circle = Circle { centre: start.centre, radius_mm: start.radius_mm };
    let is_circle = circle.centre.is_finite() && circle.radius_mm > 0.0 && circle.radius_mm.is_finite();
    if !is_circle || map.photo_from_plate(circle.centre).is_none() {
        return Err(NoRim::OffPhoto);
    }
    let radius_px = circle.radius_mm * map.px_per_mm(circle.centre);
    let outside_px = if start.reach_px > ROOM_PX { start.reach_px.min(LARGEST_REACH_PX) } else { ROOM_PX };
    let reach = Reach { inside_px: outside_px.min(REACH_INSIDE * radius_px), outside_px };
    let (circle, crossings) = found(picture, map, &circle, reach).ok_or(NoRim::NotFound)?;
    Ok(Found { circle, crossings })
}

fn measurement(map: &PlateMap, trace: Trace<Circle>) -> RimMeasurement {
    let Circle { centre, radius_mm } = trace.curve;
    let radius_px = radius_mm * map.px_per_mm(centre);
    let bias_px = 0.5 * trace.blur.px * trace.blur.px / radius_px;
    // A wall shows along one half, as wide as a cosine: of its mean over the whole rim the rim moves by half of pi.
    let by_wall_px = std::f64::consts::FRAC_PI_2 * trace.by_inner_px;
    // The blur is good to a tenth, its square to a fifth.
    let (by_light, by_edge) = (SHIFT_PX.hypot(SHARED * trace.uneven_px), RADIUS_PX.hypot(0.2 * bias_px));
    let shared_shift_px = by_light.hypot(by_wall_px);
    let shared_radius_px = by_edge.hypot(SHARED * trace.uneven_px).hypot(trace.by_inner_px);
    let (inner_radius_mm, wall_depth_mm) = match trace.inner {
        Some(Inner::Break { width_mm }) => (Some(radius_mm - width_mm).filter(|radius| *radius > 0.0), None),
        Some(Inner::FarEnd { depth_mm }) => (None, Some(depth_mm)),
        None => (None, None),
    };
    let mut measurement = RimMeasurement {
        centre,
        radius_mm,
        arc_deg: 360.0 * trace.used_share(),
        rms_px: trace.rms_px(),
        blur_px: trace.blur.px,
        shared_shift_px,
        shared_radius_px,
        inner_radius_mm,
        wall_depth_mm,
        verdict: Verdict::Trusted,
        points: trace.points,
        rejected: trace.rejected,
    };
    // Of n equal points all round each coordinate of the centre has a variance of two over n, the radius one of one over
    // n; at a place of the rim one of the two coordinates counts.
    let weights: f64 = measurement.points.iter().map(|point| point.sigma_px.powi(-2)).sum();
    let good_to_px = (3.0 / weights).sqrt().hypot(shared_shift_px).hypot(shared_radius_px);
    let places = measurement.points.len() + measurement.rejected.len();
    let shortest_deg = if places < FEW_PLACES { SHORTEST_ARC_OF_FEW_DEG } else { SHORTEST_ARC_DEG };
    measurement.verdict = if measurement.arc_deg < shortest_deg {
        Verdict::ShortArc
    } else if measurement.rms_px > LARGEST_RMS_PX.min(LARGEST_RMS_SHARE * radius_px) {
        Verdict::Scattered
    } else if radius_px < SMALLEST_RADIUS_PX.max(SMALLEST_BLURS * trace.blur.px) {
        Verdict::TooSmall
    } else if let Some(other) = trace.other {
        Verdict::TwoRims { other_radius_mm: other.radius_mm }
    } else if good_to_px > FAINT_PX {
        Verdict::Faint { good_to_px }
    } else {
        Verdict::Trusted
    };
    measurement
}
