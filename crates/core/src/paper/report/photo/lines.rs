//! Lines where measures were taken, each with its number.

use super::OnPage;
use crate::geom::Bounds;
use crate::job::{Id, Job, Measure, MeasureKind};
use crate::paper::{Align, Ink, Item, Lettering, Pen, Weight, Words, width_mm};
use crate::solution::{MeasureVerdict, Solution};
use crate::space::{PlatePoint, PlateVec};

const LINE: Pen = Pen::new(0.25, Ink::Light);
const DISAGREES: Pen = Pen::new(0.6, Ink::Light);
const CASING: f64 = 0.4;
/// Half of a jaw's bar, mm.
const JAW_MM: f64 = 1.5;

const NUMBER_MM: f64 = 2.3;
const BOX: Pen = Pen::new(0.15, Ink::Cut);

/// Where a number may stand on its line, the best first.
const SHARES: [f64; 9] = [0.5, 0.42, 0.58, 0.35, 0.65, 0.28, 0.72, 0.22, 0.78];

/// A line shorter than so many halves of its number's diagonal would be hidden by it.
const SHORT: f64 = 5.0;

/// The lines with their numbers, and the room that numbers take.
pub(super) struct Lines {
    pub(super) items: Vec<Item>,
    pub(super) taken: Vec<Bounds>,
}

pub(super) fn lines(job: &Job, solution: &Solution, on_page: &OnPage, lettering: &dyn Lettering) -> Lines {
    let (mut strokes, mut numbers, mut taken) = (Vec::new(), Vec::new(), Vec::<Bounds>::new());
    for (measure, fit) in job.measures.iter().zip(&solution.measures) {
        let ends = ends(measure, solution).and_then(|ends| place_both(ends, solution, on_page));
        let Some([from, to]) = ends.filter(|_| measure.in_use) else { continue };
        let disagrees = fit.verdict == MeasureVerdict::Disagrees;
        strokes.extend(stroke(from, to, if disagrees { DISAGREES } else { LINE }));
        let text = job.reading_name(&measure.id);
        let half =
            PlateVec::new(width_mm(&text, NUMBER_MM, Weight::SemiBold, lettering) / 2.0 + 0.7, NUMBER_MM * 0.55 + 0.3);
        let boxes = number_boxes([from, to], half);
        let free = boxes.iter().find(|place| !taken.iter().any(|other| other.overlaps(&place.grown(0.6))));
        let place = *free.unwrap_or(&boxes[0]);
        taken.push(place);
        let ink = if disagrees { Ink::Disagree } else { Ink::Cut };
        let at = place.min.lerp(place.max, 0.5) - PlateVec::new(0.0, 0.35 * NUMBER_MM);
        let words = Words::new(&text, at, NUMBER_MM, lettering).weight(Weight::SemiBold).ink(ink).align(Align::Middle);
        numbers.extend([Item::filled_box(place, Ink::Paper), Item::frame(place, BOX), Item::Words(words)]);
    }
    strokes.extend(numbers);
    Lines { items: strokes, taken }
}

/// Places for a number: on its line, or beyond the ends of one that it would hide.
fn number_boxes([from, to]: [PlatePoint; 2], half: PlateVec) -> Vec<Bounds> {
    let around = |middle: PlatePoint| Bounds { min: middle - half, max: middle + half };
    let (length, along) = (from.distance(to), (to - from).unit().unwrap_or_default());
    if length > SHORT * half.length() {
        return SHARES.map(|share| around(from.lerp(to, share))).to_vec();
    }
    let beyond = along * (half.length() + JAW_MM / 2.0);
    let square = along.perp() * (half.length() + length / 2.0 + JAW_MM / 2.0);
    let middle = from.lerp(to, 0.5);
    [to + beyond, from - beyond, middle + square, middle - square].map(around).to_vec()
}

fn place_both(ends: [PlatePoint; 2], solution: &Solution, on_page: &OnPage) -> Option<[PlatePoint; 2]> {
    let map = solution.map.as_ref()?;
    let [from, to] = ends.map(|end| map.photo_from_plate(end).map(|photo| on_page.place(photo)));
    from.zip(to).map(|(from, to)| [from, to])
}

/// The line in its casing, with a bar across each end.
fn stroke(from: PlatePoint, to: PlatePoint, pen: Pen) -> Vec<Item> {
    let jaw = (to - from).unit().unwrap_or_default().perp() * JAW_MM;
    let pieces = [(from, to), (from - jaw, from + jaw), (to - jaw, to + jaw)];
    let casing = Pen::new(pen.width_mm + CASING, Ink::Casing);
    let drawn = |pen: Pen| pieces.map(|(from, to)| Item::line(from, to, pen));
    drawn(casing).into_iter().chain(drawn(pen)).collect()
}

/// Where the jaws were, in the datum's frame; `None` where a feature is not found.
fn ends(measure: &Measure, solution: &Solution) -> Option<[PlatePoint; 2]> {
    let hole =
        |id: &Id| solution.holes.iter().find(|fit| fit.id == *id).map(|fit| (fit.centre, fit.bore_diameter_mm / 2.0));
    let point = |id: &Id| solution.points.iter().find(|fit| fit.id == *id).map(|fit| fit.at);
    let edge = |id: &Id| solution.edges.iter().find(|fit| fit.id == *id).map(|fit| fit.ends);
    match (measure.kind, measure.between.as_slice()) {
        (MeasureKind::Diameter, [a]) => {
            let (centre, radius) = hole(a)?;
            let out = PlateVec::from_angle(std::f64::consts::FRAC_PI_4) * radius;
            Some([centre - out, centre + out])
        }
        (kind @ (MeasureKind::Centres | MeasureKind::FarRims | MeasureKind::NearRims), [a, b]) => {
            let ((from, from_radius), (to, to_radius)) = (hole(a)?, hole(b)?);
            let along = (to - from).unit()?;
            let out = match kind {
                MeasureKind::FarRims => 1.0,
                MeasureKind::NearRims => -1.0,
                _ => 0.0,
            };
            Some([from - along * (out * from_radius), to + along * (out * to_radius)])
        }
        (MeasureKind::Points, [a, b]) => Some([point(a)?, point(b)?]),
        (MeasureKind::Edges, [a, b]) => {
            let [start, end] = edge(a)?;
            let middle = start.lerp(end, 0.5);
            Some([middle, foot(middle, edge(b)?)?])
        }
        (MeasureKind::RimToEdge, [a, b]) => {
            let (centre, radius) = hole(a)?;
            let foot = foot(centre, edge(b)?)?;
            Some([centre + (foot - centre).unit()? * radius, foot])
        }
        _ => None,
    }
}

/// The place on the line through an edge that is nearest.
fn foot(from: PlatePoint, [start, end]: [PlatePoint; 2]) -> Option<PlatePoint> {
    let along = (end - start).unit()?;
    Some(start + along * (from - start).dot(along))
}
