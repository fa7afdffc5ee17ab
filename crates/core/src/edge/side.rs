//! Measuring straight sides, and the corners where they cross.

use super::curve::Side;
use super::picture::Picture;
use super::reading::Rejected;
use super::rim::{LARGEST_RMS_PX, RADIUS_PX, SHARED};
use super::search::Reach;
use super::second::{Inner, Standpoint};
use super::station::Station;
use super::trace::{EdgePoint, Look, found};
use crate::camera::PlateMap;
use crate::space::{PhotoPoint, PlatePoint, PlateVec};

/// A measured straight side.
#[derive(Debug, Clone, PartialEq)]
pub struct SideMeasurement {
    /// Where it begins, beside the first pick.
    pub from: PlatePoint,
    /// Where it ends, beside the second pick.
    pub to: PlatePoint,
    /// Points on it, in order.
    pub points: Vec<EdgePoint>,
    /// Places along it that gave no point.
    pub rejected: Vec<Rejected>,
    /// Root mean square of the points' distances from the line, px.
    pub rms_px: f64,
    /// Standard deviation of the photo's blur along it, px.
    pub blur_px: f64,
    /// How wide the wall below it shows at its middle, px for each mm of the part's thickness; zero where it is hidden.
    pub wall_px_per_mm: f64,
    /// Standard deviation across it of what all points share, px: it does not shrink with their number.
    pub shared_px: f64,
    /// Whether it may be believed.
    pub verdict: SideVerdict,
}

/// Whether a measured side may be believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideVerdict {
    /// One straight line, seen over most of its length.
    Trusted,
    /// Less than half of the length is seen.
    Patchy,
    /// One line, but its edge is so faint, uneven or short that its ends are not good to a tenth of a pixel.
    Faint,
    /// One line, but the wall below it looks at the camera and one step is seen: that may be the foot of a wall as light
    /// as the face, or the face, the wall and the ground run together, by a part of the wall's width either way.
    WallUntold,
    /// The points scatter about the line by more than half a pixel: it is not straight, or not this one.
    Scattered,
}

/// A line whose ends are settled worse than this is faint, px.
const FAINT_END_PX: f64 = 0.1;

/// Where a wall shows that is not told from the edge, the line may be off by as much as the wall of a part that thick is
/// wide, mm (most flat parts are thinner; common practice, no source).
const UNTOLD_DEPTH_MM: f64 = 10.0;

/// Standard deviation of a line's end, px: of n equal points spread evenly its variance is four over n.
fn end_sigma_px(points: &[EdgePoint]) -> f64 {
    (4.0 / points.iter().map(|point| point.sigma_px.powi(-2)).sum::<f64>()).sqrt()
}

/// Why a side could not be measured at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoSide {
    /// The picks are one place or not on the plate.
    #[error("the two picks are not two places on the plate")]
    OffPlate,
    /// Nothing between the picks looks like an edge.
    #[error("nothing between the two picks looks like an edge")]
    NotFound,
}

/// Measures the straight side from `from` to `to`, with the face on the left of that way as seen on the plate, where
/// it lies within `reach_px` of both picks.
///
/// # Errors
/// Where the picks are not two places on the plate, or no edge is between them.
pub fn measure_side(
    picture: &Picture,
    map: &PlateMap,
    [from, to]: [PhotoPoint; 2],
    reach_px: f64,
) -> Result<SideMeasurement, NoSide> {
    let start = map.plate_from_photo(from).zip(map.plate_from_photo(to)).map(|(from, to)| Side { from, to });
    let Some(start) = start.filter(|side| (side.to - side.from).unit().is_some()) else {
        return Err(NoSide::OffPlate);
    };
    let reach = if reach_px > 4.0 { reach_px.min(60.0) } else { 4.0 };
    let (line, crossings) =
        found(picture, map, &start, Reach { inside_px: reach, outside_px: reach }).ok_or(NoSide::NotFound)?;
    let look = Look::new(picture, map, &start.beside(&line), crossings, None).ok_or(NoSide::NotFound)?;
    let trace = look.trace(map).ok_or(NoSide::NotFound)?;
    let stand = Standpoint::of(map);
    let middle = Station::new(map, &trace.curve, 0.5).ok_or(NoSide::OffPlate)?;
    let wall_px_per_mm = (-Inner::FarEnd { depth_mm: 1.0 }.off_px(&stand, &middle)).max(0.0);
    let is_wall_untold = wall_px_per_mm > 0.0 && trace.inner.is_none();
    let by_wall_px = if is_wall_untold { wall_px_per_mm * UNTOLD_DEPTH_MM } else { 0.0 };
    let verdict = if trace.used_share() < 0.5 {
        SideVerdict::Patchy
    } else if trace.rms_px() > LARGEST_RMS_PX {
        SideVerdict::Scattered
    } else if is_wall_untold {
        SideVerdict::WallUntold
    } else if end_sigma_px(&trace.points) > FAINT_END_PX {
        SideVerdict::Faint
    } else {
        SideVerdict::Trusted
    };
    Ok(SideMeasurement {
        from: trace.curve.from,
        to: trace.curve.to,
        rms_px: trace.rms_px(),
        blur_px: trace.blur.px,
        wall_px_per_mm,
        shared_px: RADIUS_PX.hypot(SHARED * trace.uneven_px).hypot(by_wall_px),
        verdict,
        points: trace.points,
        rejected: trace.rejected,
    })
}

/// Where the lines of two sides cross; `None` where they run the same way to within a degree.
pub fn corner(a: &SideMeasurement, b: &SideMeasurement) -> Option<PlatePoint> {
    const LEAST_SINE: f64 = 0.017;
    let (along, beside): (PlateVec, PlateVec) = ((a.to - a.from).unit()?, (b.to - b.from).unit()?);
    let sine = along.cross(beside);
    (sine.abs() > LEAST_SINE).then(|| a.from + along * ((b.from - a.from).cross(beside) / sine))
}
