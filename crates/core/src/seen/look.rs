//! Looking for a job's rims and edges in the photo.

use super::contour::{self, ContourSeen};
use super::{CornerSeen, LookedForBy, RimSeen, Seen, SideSeen, is_wanted, is_wanted_edge};
use crate::camera::PlateMap;
use crate::edge::{
    NoRim, Picture, RimStart, corner, measure_rim, measure_rim_at_any_slant, measure_rims, measure_side,
};
use crate::job::{Contour, Hole, Job, NamedPoint, StraightEdge};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use crate::tolerance::CLICK_SIGMA_PX;

/// An edge is looked for as far as picks of three of their standard deviations may lie off, and by this, px: profiles
/// need room beside the edge.
const ROOM_PX: f64 = 4.0;

/// However careful its picks, it is looked for by this, px: a shorter profile lies on the edge for the most part, which then
/// passes for the usual unevenness.
const LEAST_REACH_PX: f64 = 12.0;

/// Where nothing is found, a rim is looked for so many times as far.
const OTHER_REACHES: [f64; 2] = [0.7, 1.6];

/// Where nothing is found that near, an edge is looked for so many times as far.
const WIDER: f64 = 2.0;

/// A point that was picked farther from where two edges cross is another place, however careless the pick is said to be, px:
/// a click with the whole of a large photo in sight is good to four px, and three times that is far off.
const MOST_BESIDE_CORNER_PX: f64 = 13.0;

/// How well the camera is known by which the photo is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Camera {
    /// From the picks alone: a rim that is no circle by it may still be one, seen at another slant. What is then found
    /// serves to know the camera better, and for nothing else.
    Rough,
    /// From rims that were measured.
    Known,
}

/// Looks for every rim and edge of the job that is to be measured, and once the camera is known along every contour that
/// follows the edge. `go_on` is asked before each contour; `None` where it says no.
pub fn look(
    job: &Job,
    picture: &Picture<'_>,
    map: &PlateMap,
    camera: Camera,
    go_on: &dyn Fn() -> bool,
) -> Option<Seen> {
    let mut seen = rims_and_edges(job, picture, map, &Seen::default());
    if camera == Camera::Rough {
        for rim in &mut seen.rims {
            let at_any_slant = |hole: &Hole| measure_rim_at_any_slant(picture, map, &start(map, hole)?);
            if rim.serves().is_none()
                && let Some(found) = job.hole(&rim.id).and_then(at_any_slant)
            {
                rim.found = Ok(found);
            }
        }
    } else {
        let walls = seen.walls();
        for contour in job.contours.iter().filter(|contour| contour::is_wanted(contour)) {
            if !go_on() {
                return None;
            }
            seen.contours.push(contour::follow(job, contour, picture, map, walls, None));
        }
    }
    Some(seen)
}

fn start(map: &PlateMap, hole: &Hole) -> Option<RimStart> {
    RimStart::from_picks(map, &hole.rim, hole.sigma_px.unwrap_or(CLICK_SIGMA_PX))
}

/// Looks for those only that `before` does not answer for: the hole that is being dragged, and not the others; of a contour the
/// pieces beside the node that is being dragged.
pub fn look_again(job: &Job, picture: &Picture<'_>, map: &PlateMap, before: &Seen) -> Seen {
    let fresh = rims_and_edges(job, picture, map, before);
    let walls = fresh.walls();
    let along = |contour: &Contour| {
        let of_it = before.contours.iter().find(|seen| seen.id == contour.id);
        let known = before.contour(contour, job).cloned();
        known.unwrap_or_else(|| contour::follow(job, contour, picture, map, walls, of_it))
    };
    let wanted = job.contours.iter().filter(|contour| contour::is_wanted(contour));
    let contours: Vec<ContourSeen> = wanted.map(along).collect();
    Seen { contours, ..fresh }
}

fn rims_and_edges(job: &Job, picture: &Picture<'_>, map: &PlateMap, before: &Seen) -> Seen {
    let wanted: Vec<&Hole> = job.holes.iter().filter(|hole| is_wanted(hole)).collect();
    let unseen = wanted.iter().copied().filter(|hole| before.rim(hole).is_none());
    let mut fresh = rims(picture, map, &unseen.collect::<Vec<_>>()).into_iter();
    let of_hole = |hole: &&Hole| before.rim(hole).cloned().or_else(|| fresh.next());
    let rims = wanted.iter().filter_map(of_hole).collect();
    let inward = Inward::of(job, map);
    let wanted = job.edges.iter().filter(|edge| is_wanted_edge(edge));
    let of_edge = |edge: &StraightEdge| before.side(edge).cloned().unwrap_or_else(|| side(picture, map, &inward, edge));
    let sides: Vec<SideSeen> = wanted.map(of_edge).collect();
    let corners = job.points.iter().filter_map(|point| corner_at(map, &sides, point)).collect();
    Seen { rims, sides, corners, contours: Vec::new(), no_camera: false }
}

/// The crossing of two measured edges where a point was picked; `None` where there is none, or two.
fn corner_at(map: &PlateMap, sides: &[SideSeen], point: &NamedPoint) -> Option<CornerSeen> {
    let served: Vec<&SideSeen> = sides.iter().filter(|side| side.serves().is_some()).collect();
    let near_px = (3.0 * point.sigma_px.unwrap_or(CLICK_SIGMA_PX) + 1.0).min(MOST_BESIDE_CORNER_PX);
    let pairs = (0..served.len()).flat_map(|a| (a + 1..served.len()).map(move |b| (a, b)));
    let mut near = pairs.filter_map(|(a, b)| {
        let (a, b) = (served[a], served[b]);
        let at = map.photo_from_plate(corner(a.found.as_ref().ok()?, b.found.as_ref().ok()?)?)?;
        (at.distance(point.at) < near_px).then(|| CornerSeen {
            id: point.id.clone(),
            by: LookedForBy { picks: vec![point.at], sigma_px: point.sigma_px },
            edges: [a.id.clone(), b.id.clone()],
        })
    });
    near.next().filter(|_| near.next().is_none())
}

/// The rims of some holes, one for each.
fn rims(picture: &Picture<'_>, map: &PlateMap, holes: &[&Hole]) -> Vec<RimSeen> {
    let starts: Vec<Option<RimStart>> = holes.iter().map(|hole| start(map, hole)).collect();
    let mut measured = measure_rims(picture, map, &starts.iter().flatten().copied().collect::<Vec<_>>()).into_iter();
    let mut found = |start: &Option<RimStart>| start.and_then(|_| measured.next()).unwrap_or(Err(NoRim::OffPhoto));
    let seen = |(hole, start): (&&Hole, &Option<RimStart>)| {
        let by = LookedForBy { picks: hole.rim.clone(), sigma_px: hole.sigma_px };
        let first = RimSeen { id: hole.id.clone(), by, edge_break: hole.edge_break, found: found(start) };
        // What was found and is doubtful stays so: another reach would show another edge, and nobody could tell which.
        if first.found.is_ok() {
            return first;
        }
        // What leads astray may be farther off than the rim, or the picks may be careless.
        let reaches = start.iter().flat_map(|start| OTHER_REACHES.map(|share| start.reach_px * share));
        let again = reaches.zip(start.iter().cycle()).map(|(reach_px, start)| {
            let found = measure_rim(picture, map, &RimStart { reach_px, ..*start });
            RimSeen { found, ..first.clone() }
        });
        again.into_iter().find(|rim| rim.serves().is_some()).unwrap_or(first)
    };
    holes.iter().zip(&starts).map(seen).collect()
}

/// On which side of a straight edge the face lies.
struct Inward {
    /// The middle of everything that was picked on the face.
    middle: Option<PlatePoint>,
}

impl Inward {
    fn of(job: &Job, map: &PlateMap) -> Self {
        let picked = job.holes.iter().flat_map(|hole| &hole.rim).chain(job.edges.iter().flat_map(|edge| &edge.along));
        let places: Vec<PlatePoint> = picked.filter_map(|pick| map.plate_from_photo(*pick)).collect();
        let sum = places.iter().fold(PlateVec::default(), |sum, place| sum + (*place - PlatePoint::default()));
        let middle = PlatePoint::default() + sum * (1.0 / places.len() as f64);
        Self { middle: middle.is_finite().then_some(middle) }
    }

    /// The ends in the order in which the face is on the left, as far as can be told.
    fn face_left(&self, map: &PlateMap, [from, to]: [PhotoPoint; 2]) -> [PhotoPoint; 2] {
        let is_left = |middle| {
            let (a, b) = (map.plate_from_photo(from)?, map.plate_from_photo(to)?);
            Some((b - a).cross(middle - a) >= 0.0)
        };
        if self.middle.and_then(is_left).unwrap_or(true) { [from, to] } else { [to, from] }
    }
}

/// The outermost two of an edge's picks.
fn ends(edge: &StraightEdge) -> [PhotoPoint; 2] {
    let first = edge.along[0];
    let farthest = |from: PhotoPoint| {
        let by_distance = |a: &&PhotoPoint, b: &&PhotoPoint| from.distance(**a).total_cmp(&from.distance(**b));
        edge.along.iter().max_by(by_distance).copied().unwrap_or(from)
    };
    let from = farthest(first);
    [from, farthest(from)]
}

fn side(picture: &Picture<'_>, map: &PlateMap, inward: &Inward, edge: &StraightEdge) -> SideSeen {
    let reach_px = (3.0 * edge.sigma_px.unwrap_or(CLICK_SIGMA_PX) + ROOM_PX).max(LEAST_REACH_PX);
    let [from, to] = inward.face_left(map, ends(edge));
    let seen = |found| {
        let by = LookedForBy { picks: edge.along.clone(), sigma_px: edge.sigma_px };
        SideSeen { id: edge.id.clone(), by, found }
    };
    let look = |ends, reach_px| seen(measure_side(picture, map, ends, reach_px));
    let first = look([from, to], reach_px);
    if first.serves().is_some() {
        return first;
    }
    // A careless pick lies farther off, and the side of an opening has the face away from the middle.
    let others = [([from, to], WIDER * reach_px), ([to, from], reach_px), ([to, from], WIDER * reach_px)];
    others
        .into_iter()
        .map(|(ends, reach_px)| look(ends, reach_px))
        .find(|side| side.serves().is_some())
        .unwrap_or(first)
}
