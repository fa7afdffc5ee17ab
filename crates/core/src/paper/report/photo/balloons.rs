//! Names of holes and points in balloons beside them; no two ever overlap where there is room.

use super::OnPage;
use crate::geom::Bounds;
use crate::job::Job;
use crate::paper::{Align, Ink, Item, Lettering, Pen, Weight, Words, legible, shortened, width_mm};
use crate::solution::Solution;
use crate::space::{PhotoPoint, PlatePoint, PlateVec};

const NAME_MM: f64 = 2.6;
const BALLOON: Pen = Pen::new(0.2, Ink::Cut);
const LEADER: Pen = Pen::new(0.25, Ink::Light);
const UNDER_LEADER: Pen = Pen::new(0.65, Ink::Casing);
/// The widest name, mm.
const WIDEST_MM: f64 = 22.0;
/// Height of a balloon, mm.
const HEIGHT_MM: f64 = 4.4;
/// Clear of the photo's sides and of other balloons, mm.
const CLEAR_MM: f64 = 0.8;

/// Directions and lengths of leaders that are tried.
const DIRECTIONS: u32 = 16;
const LENGTHS_MM: [f64; 6] = [3.0, 6.0, 10.0, 15.0, 21.0, 28.0];
/// What a direction away from outward costs, mm of length a radian, and what an obstacle does.
const AWAY_MM: f64 = 2.5;
const IN_THE_WAY_MM: f64 = 60.0;

/// Something that gets a balloon.
struct Marked {
    name: String,
    at: PlatePoint,
    radius_mm: f64,
}

pub(super) fn balloons(
    job: &Job,
    solution: &Solution,
    on_page: &OnPage,
    taken: &[Bounds],
    lettering: &dyn Lettering,
) -> Vec<Item> {
    let marked = marked(job, solution, on_page);
    let n = marked.len().max(1) as f64;
    let middle =
        marked.iter().fold(PlatePoint::default(), |sum, mark| sum + (mark.at - PlatePoint::default()) * (1.0 / n));
    let mut obstacles = taken.to_vec();
    obstacles.extend(marked.iter().map(|mark| Bounds::around_circle(mark.at, mark.radius_mm)));
    let inside = on_page.sides.grown(-CLEAR_MM);
    let (mut leaders, mut balloons) = (Vec::new(), Vec::new());
    for mark in &marked {
        let name = shortened(&legible(&mark.name, lettering), WIDEST_MM, NAME_MM, Weight::SemiBold, lettering);
        let half = PlateVec::new(
            (width_mm(&name, NAME_MM, Weight::SemiBold, lettering) / 2.0 + 1.0).max(HEIGHT_MM / 2.0),
            HEIGHT_MM / 2.0,
        );
        let place = best_place(mark, half, middle, &obstacles, inside);
        obstacles.push(place);
        let centre = place.min.lerp(place.max, 0.5);
        let out = (centre - mark.at).unit().unwrap_or_default();
        let start = mark.at + out * mark.radius_mm;
        leaders.extend([Item::line(start, centre, UNDER_LEADER), Item::line(start, centre, LEADER)]);
        balloons.push(Item::filled_box(place, Ink::Paper));
        balloons.push(Item::frame(place, BALLOON));
        let at = centre - PlateVec::new(0.0, 0.35 * NAME_MM);
        balloons
            .push(Item::Words(Words::new(&name, at, NAME_MM, lettering).weight(Weight::SemiBold).align(Align::Middle)));
    }
    leaders.extend(balloons);
    leaders
}

fn marked(job: &Job, solution: &Solution, on_page: &OnPage) -> Vec<Marked> {
    let mean = |picks: &[PhotoPoint]| {
        let n = picks.len() as f64;
        let sum = picks.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.x, sum.1 + p.y));
        (n > 0.0).then(|| PhotoPoint::new(sum.0 / n, sum.1 / n))
    };
    let holes = job.holes.iter().filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id);
        let seen = fit.zip(solution.map.as_ref()).and_then(|(fit, map)| map.photo_from_plate(fit.centre));
        let at = on_page.place(seen.or_else(|| mean(&hole.rim))?);
        let reach = hole.rim.iter().map(|pick| on_page.place(*pick).distance(at)).fold(0.0, f64::max);
        Some(Marked { name: hole.name.clone(), at, radius_mm: reach })
    });
    let points =
        job.points.iter().map(|point| Marked { name: point.name.clone(), at: on_page.place(point.at), radius_mm: 0.0 });
    holes.chain(points).filter(|mark| mark.at.is_finite()).collect()
}

/// The balloon's box: as near as it goes, outward from the middle of the part, clear of what is there.
fn best_place(mark: &Marked, half: PlateVec, middle: PlatePoint, obstacles: &[Bounds], inside: Bounds) -> Bounds {
    let outward = (mark.at - middle).unit().unwrap_or(PlateVec::new(0.0, 1.0)).angle_rad();
    let mut best = (f64::INFINITY, Bounds { min: mark.at - half, max: mark.at + half });
    for k in 0..DIRECTIONS {
        let turn = std::f64::consts::TAU * f64::from(k) / f64::from(DIRECTIONS);
        let direction = PlateVec::from_angle(outward + turn);
        let away = turn.min(std::f64::consts::TAU - turn);
        // From the middle of a box to its side in this direction.
        let reach = (half.x / direction.x.abs().max(1e-9)).min(half.y / direction.y.abs().max(1e-9));
        for length in LENGTHS_MM {
            let centre = mark.at + direction * (mark.radius_mm + length + reach);
            let place = Bounds { min: centre - half, max: centre + half };
            let is_inside = place.min.x >= inside.min.x
                && place.min.y >= inside.min.y
                && place.max.x <= inside.max.x
                && place.max.y <= inside.max.y;
            let met = obstacles.iter().filter(|other| other.overlaps(&place.grown(CLEAR_MM))).count();
            let outside = if is_inside { 0.0 } else { 10.0 * IN_THE_WAY_MM };
            let cost = length + AWAY_MM * away + IN_THE_WAY_MM * met as f64 + outside;
            if cost < best.0 {
                best = (cost, place);
            }
        }
    }
    best.1
}
