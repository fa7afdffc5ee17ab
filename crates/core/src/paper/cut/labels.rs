//! The names and sizes of the holes, each on a leader where it is in nobody's way.

use super::{CutSource, Drawn, FAILS, failing};
use crate::geom::{Bounds, Contour, Segment};
use crate::job::{Id, Job};
use crate::paper::{Ink, Item, Lettering, Pen, Weight, Words, width_mm};
use crate::solution::{HoleFit, Solution, is_tapped, said_fastener};
use crate::space::{PlatePoint, PlateVec};
use std::f64::consts::TAU;

const LEADER: Pen = Pen::new(0.18, Ink::Cut);

/// Size of the type, mm.
const SIZE_MM: f64 = 3.2;
/// Height of a line of it with what is kept clear round it, mm.
const HIGH_MM: f64 = 4.2;
/// From the leader's end to the text, mm.
const GAP_MM: f64 = 0.8;

/// Lengths of a leader, mm, and how many directions are tried.
const LENGTHS_MM: [f64; 6] = [4.0, 7.0, 11.0, 16.0, 23.0, 32.0];
const DIRECTIONS: usize = 24;

/// What a label says: the name, and what follows it.
struct Label<'a> {
    at: PlatePoint,
    radius_mm: f64,
    name: &'a str,
    text: String,
    fails: bool,
}

/// The labels of holes, and those that found no place.
pub(super) struct Labels {
    /// What is drawn.
    pub(super) items: Vec<Item>,
    /// What the labels say that found no place.
    pub(super) without_room: Vec<String>,
}

/// The labels of all holes, with their leaders, clear of `obstacles`; holes that fail a check are ringed.
pub(super) fn labels(
    source: &CutSource<'_>,
    drawn: &Drawn,
    obstacles: Vec<Bounds>,
    lettering: &dyn Lettering,
) -> Labels {
    let drawing = source.drawing;
    let fails = |id: &Id| failing(source.checks).any(|check| check.about.as_ref() == Some(id));
    let labels: Vec<Label<'_>> = drawing
        .holes
        .iter()
        .map(|hole| Label {
            at: drawn.place(hole.centre),
            radius_mm: drawn.scale * hole.diameter_mm / 2.0,
            name: &hole.name,
            text: said(source.job, source.solution, &hole.id, hole.diameter_mm),
            fails: fails(&hole.id),
        })
        .collect();
    let lines: Vec<Contour> =
        drawing.outer.iter().chain(&drawing.openings).map(|cut| drawn.contour(&cut.contour)).collect();
    let middle = drawn.place(drawn.middle);
    let mut taken = obstacles;
    let (mut items, mut without_room) = (Vec::new(), Vec::new());
    for label in &labels {
        if label.fails {
            items.push(Item::ring(label.at, label.radius_mm, FAILS));
        }
        let Some((knee, start, bounds)) = place(label, &labels, &lines, &taken, middle, drawn.field, lettering) else {
            without_room.push(format!("{} {}", label.name, label.text));
            continue;
        };
        taken.push(bounds);
        let ink = if label.fails { Ink::Disagree } else { Ink::Cut };
        let pen = Pen { ink, ..LEADER };
        let rim = label.at + (knee - label.at).unit().unwrap_or(PlateVec::new(1.0, 0.0)) * label.radius_mm;
        items.push(Item::line(rim, knee, pen));
        let name = Words::new(label.name, start, SIZE_MM, lettering).weight(Weight::SemiBold).ink(ink);
        let after = width_mm(&name.text, SIZE_MM, Weight::SemiBold, lettering);
        let text = Words::new(&label.text, start + PlateVec::new(after + 1.0, 0.0), SIZE_MM, lettering).ink(ink);
        items.extend([Item::Words(name), Item::Words(text)]);
    }
    Labels { items, without_room }
}

/// `dia. 6.60 ±0.05`: the finished size, and how far off its place can be.
fn said(job: &Job, solution: &Solution, id: &Id, diameter_mm: f64) -> String {
    let found = solution.holes.iter().find(|fit| fit.id == *id).map(HoleFit::plus_minus_mm);
    let of_added = solution.added.iter().find(|fit| fit.id == *id).map(|fit| fit.ellipse.major_mm);
    let placed = found.or(of_added.map(|mm| mm * crate::tolerance::K95_PLACE));
    let added = job.added.iter().find(|added| added.id == *id).and_then(|added| added.tapped.as_deref());
    let of_group = || said_fastener(job, job.hole(id).filter(|hole| is_tapped(job, hole))?);
    let tapped = added.or_else(of_group).map(|thread| format!(", tap {thread}")).unwrap_or_default();
    match placed {
        Some(mm) => format!("dia. {diameter_mm:.2} ±{mm:.2}{tapped}"),
        None => format!("dia. {diameter_mm:.2}{tapped}"),
    }
}

/// Where a label goes: the leader's end, where the text starts, and the box that it takes. The place that costs least:
/// leaders are short and point away from the middle; nothing lies over a hole or another label, and few lines are crossed.
fn place(
    label: &Label<'_>,
    all: &[Label<'_>],
    lines: &[Contour],
    taken: &[Bounds],
    middle: PlatePoint,
    field: Bounds,
    lettering: &dyn Lettering,
) -> Option<(PlatePoint, PlatePoint, Bounds)> {
    let width = width_mm(label.name, SIZE_MM, Weight::SemiBold, lettering)
        + 1.0
        + width_mm(&label.text, SIZE_MM, Weight::Regular, lettering);
    let outward = (label.at - middle).unit().unwrap_or(PlateVec::new(0.0, 1.0));
    let mut best: Option<(f64, PlatePoint, PlatePoint, Bounds)> = None;
    for k in 0..DIRECTIONS {
        let direction = PlateVec::from_angle(TAU * (k as f64 + 0.5) / DIRECTIONS as f64);
        for length in LENGTHS_MM {
            let knee = label.at + direction * (label.radius_mm + length);
            let left = if direction.x >= 0.0 { knee.x + GAP_MM } else { knee.x - GAP_MM - width };
            let min = PlatePoint::new(left, knee.y - HIGH_MM / 2.0);
            let bounds = Bounds { min, max: min + PlateVec::new(width, HIGH_MM) };
            if !holds(field, bounds) || taken.iter().any(|other| other.overlaps(&bounds)) {
                continue;
            }
            let over = all.iter().any(|other| reaches(bounds, other.at, other.radius_mm + 0.5));
            let away = direction.dot(outward).clamp(-1.0, 1.0).acos();
            let crossed = lines.iter().map(|line| crosses(line, bounds)).filter(|crosses| *crosses).count();
            let cost = length + 3.0 * away + 25.0 * crossed as f64 + if over { 80.0 } else { 0.0 };
            if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                best = Some((cost, knee, PlatePoint::new(left, knee.y - 0.35 * SIZE_MM), bounds));
            }
        }
    }
    best.map(|(_, knee, start, bounds)| (knee, start, bounds))
}

fn holds(outer: Bounds, inner: Bounds) -> bool {
    let room = outer.grown(-1.0);
    inner.min.x >= room.min.x && inner.max.x <= room.max.x && inner.min.y >= room.min.y && inner.max.y <= room.max.y
}

/// The circle reaches into the box.
fn reaches(bounds: Bounds, centre: PlatePoint, radius_mm: f64) -> bool {
    let near = PlatePoint::new(centre.x.clamp(bounds.min.x, bounds.max.x), centre.y.clamp(bounds.min.y, bounds.max.y));
    near.distance(centre) < radius_mm
}

/// The line runs through the box.
fn crosses(line: &Contour, bounds: Bounds) -> bool {
    let touches = |s: &Segment| {
        s.bounds().overlaps(&bounds)
            && s.sampled(0.2).windows(2).any(|pair| {
                let steps = ((pair[1] - pair[0]).length() / 0.5).ceil().max(1.0) as usize;
                (0..=steps).any(|k| reaches(bounds, pair[0].lerp(pair[1], k as f64 / steps as f64), 0.3))
            })
    };
    line.segments.iter().any(touches)
}
