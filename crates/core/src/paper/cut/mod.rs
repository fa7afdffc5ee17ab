//! The cut drawing: what goes to the cutter, as the drawing office would put it down.
//!
//! One page shows the part with the names and sizes of its holes, its overall size, where the cutter's path lies and what
//! fails, which is also said above its foot; the foot says what is in the file and what the part is. Where several are cut, a second page shows the sheet.

mod dimensions;
mod foot;
mod labels;
mod rows_page;
mod warnings;

use super::{Ink, Item, Lettering, MARGIN_MM, Page, Paper, Pen};
use crate::check::{Check, Verdict};
use crate::export::{CutDrawing, CutFormat, CutHole};
use crate::geom::{Bounds, Contour, Segment};
use crate::job::Job;
use crate::solution::Solution;
use crate::space::{PlatePoint, PlateVec};

/// What a cut drawing is made of.
#[derive(Debug, Clone, Copy)]
pub struct CutSource<'a> {
    /// The job.
    pub job: &'a Job,
    /// What follows from it.
    pub solution: &'a Solution,
    /// What the checks say of it.
    pub checks: &'a [Check],
    /// What is cut, at its finished size, seen from the side that is cut.
    pub drawing: &'a CutDrawing,
    /// The format of the file.
    pub format: CutFormat,
}

const CUT: Pen = Pen::new(0.5, Ink::Cut);
const FRAME: Pen = Pen::new(0.5, Ink::Cut);
const CROSS: Pen = Pen::new(0.25, Ink::Mark);
const GRID: Pen = Pen::new(0.1, Ink::Rule);
const HATCH: Pen = Pen::new(0.1, Ink::Rule);
const KERF: Pen = Pen::new(0.25, Ink::Brass).dashed(1.6, 0.8);
const FAILS: Pen = Pen::new(0.6, Ink::Disagree);

/// Room round the part for dimensions and names, mm.
const ROUND_MM: f64 = 20.0;
/// Centre marks, mm.
const MARK_MM: f64 = 1.6;
/// From one line of the hatch to the next, mm.
const HATCH_STEP_MM: f64 = 4.0;

/// Scales of drawings, the largest first: ISO 5455 (from memory).
const SCALES: [(f64, f64); 10] = [
    (10.0, 1.0),
    (5.0, 1.0),
    (2.0, 1.0),
    (1.0, 1.0),
    (1.0, 2.0),
    (1.0, 5.0),
    (1.0, 10.0),
    (1.0, 20.0),
    (1.0, 50.0),
    (1.0, 100.0),
];

/// From the plate to the page.
#[derive(Debug, Clone, Copy)]
struct Drawn {
    /// Millimetres of the page to one of the plate.
    scale: f64,
    /// The place of the plate that lies in the middle of the field.
    middle: PlatePoint,
    /// The part of the page that it is drawn in.
    field: Bounds,
}

impl Drawn {
    /// The largest of the standard scales at which `bounds` with `round_mm` of the page beside it goes into `field`.
    fn in_field(field: Bounds, bounds: Bounds, round_mm: f64) -> Self {
        let (room, size) = (field.grown(-round_mm).size(), bounds.size());
        let goes_in = |scale: f64| size.x * scale <= room.x && size.y * scale <= room.y;
        let scales = SCALES.iter().map(|(drawn, real)| drawn / real);
        let largest = scales.into_iter().find(|scale| goes_in(*scale));
        // What is larger than anything on a bench is drawn as small as it takes.
        let scale = largest.unwrap_or_else(|| (room.x / size.x).min(room.y / size.y));
        Self { scale, middle: bounds.min.lerp(bounds.max, 0.5), field }
    }

    fn place(&self, plate: PlatePoint) -> PlatePoint {
        self.field.min.lerp(self.field.max, 0.5) + (plate - self.middle) * self.scale
    }

    fn contour(&self, contour: &Contour) -> Contour {
        let to = |s: &Segment| Segment { from: self.place(s.from), to: self.place(s.to), bulge: s.bulge };
        Contour { segments: contour.segments.iter().map(to).collect(), closed: contour.closed }
    }

    fn ring(&self, hole: &CutHole, pen: Pen) -> Item {
        Item::ring(self.place(hole.centre), self.scale * hole.diameter_mm / 2.0, pen)
    }

    /// The scale as it stands on a drawing, `1:2`.
    fn in_words(&self) -> String {
        let standard = SCALES.iter().find(|(drawn, real)| (drawn / real - self.scale).abs() < 1e-9);
        standard.map_or_else(|| format!("1:{:.0}", 1.0 / self.scale), |(drawn, real)| format!("{drawn}:{real}"))
    }
}

/// The pages of the cut drawing, across; none where nothing is cut.
pub fn cut_pages(source: &CutSource<'_>, paper: Paper, lettering: &dyn Lettering) -> Vec<Page> {
    let [short, long] = paper.size_mm();
    let mut pages = Vec::new();
    let Some(bounds) = source.drawing.bounds() else { return pages };
    let mut page = Page::new([long, short]);
    let frame = Bounds { min: PlatePoint::new(0.0, 0.0), max: PlatePoint::new(long, short) }.grown(-MARGIN_MM);
    let foot = Bounds { max: PlatePoint::new(frame.max.x, frame.min.y + foot::height_mm()), ..frame };
    let failing = warnings::failing(source, frame.size().x, lettering);
    let laid = |names: usize| {
        let strip_mm = warnings::height_mm(failing.len() + names);
        let field = Bounds { min: PlatePoint::new(frame.min.x, foot.max.y + strip_mm), max: frame.max };
        let drawn = Drawn::in_field(field, bounds, ROUND_MM);
        let labels = labels::labels(source, &drawn, dimensions::taken(bounds, &drawn), lettering);
        (drawn, labels)
    };
    let (mut drawn, mut labels) = laid(0);
    if !labels.without_room.is_empty() {
        (drawn, labels) = laid(warnings::NAMES);
    }
    let field = drawn.field;
    let lines = failing.into_iter().chain(warnings::without_room(&labels.without_room, frame.size().x, lettering));
    let kerf = kerf(source, &drawn);
    page.items.push(Item::Within { window: field, items: grid(&drawn) });
    page.items.extend(part(source.drawing, &drawn));
    let is_kerf_drawn = !kerf.is_empty();
    page.items.extend(kerf);
    page.items.extend(dimensions::overall(bounds, &drawn, lettering));
    page.items.extend(labels.items);
    page.items.extend(warnings::strip(lines, PlatePoint::new(frame.min.x, field.min.y), lettering));
    page.items.push(Item::frame(frame, FRAME));
    page.items.extend(foot::foot(source, foot, &drawn, is_kerf_drawn, lettering));
    pages.push(page);
    pages.extend(rows_page::page(source, [long, short], lettering));
    pages
}

/// Lines every 10 mm of the plate, through the datum.
fn grid(drawn: &Drawn) -> Vec<Item> {
    let mut step = 10.0;
    while step * drawn.scale < 4.0 {
        step *= 10.0;
    }
    let size = drawn.field.size() * (0.5 / drawn.scale);
    let (min, max) = (drawn.middle - size, drawn.middle + size);
    let steps =
        |from: f64, to: f64| ((from / step).ceil() as i64..=(to / step).floor() as i64).map(|k| k as f64 * step);
    let line = |a: PlatePoint, b: PlatePoint| Item::line(drawn.place(a), drawn.place(b), GRID);
    let upright = steps(min.x, max.x).map(|x| line(PlatePoint::new(x, min.y), PlatePoint::new(x, max.y)));
    let level = steps(min.y, max.y).map(|y| line(PlatePoint::new(min.x, y), PlatePoint::new(max.x, y)));
    upright.chain(level).collect()
}

/// The part, hatched, with its centre marks.
fn part(drawing: &CutDrawing, drawn: &Drawn) -> Vec<Item> {
    let contours = drawing.outer.iter().chain(&drawing.openings);
    let rings: Vec<Contour> = contours.map(|cut| drawn.contour(&cut.contour)).collect();
    let mut items = hatch(drawing, drawn);
    items.extend(rings.into_iter().map(|contour| Item::Stroke { contour, pen: CUT }));
    for hole in &drawing.holes {
        items.push(drawn.ring(hole, CUT));
        let at = drawn.place(hole.centre);
        let arm = MARK_MM.min(drawn.scale * hole.diameter_mm / 4.0);
        for arm in [PlateVec::new(arm, 0.0), PlateVec::new(0.0, arm)] {
            items.push(Item::line(at - arm, at + arm, CROSS));
        }
    }
    items
}

/// Slanting lines over the material, none over openings and holes.
fn hatch(drawing: &CutDrawing, drawn: &Drawn) -> Vec<Item> {
    let Some(bounds) = drawing.bounds() else { return Vec::new() };
    let step = HATCH_STEP_MM / drawn.scale * 2f64.sqrt();
    // A line x - y = c; what is cut crosses it at places along it.
    let (low, high) = (bounds.min.x - bounds.max.y, bounds.max.x - bounds.min.y);
    let rings: Vec<Contour> = drawing
        .outer
        .iter()
        .chain(&drawing.openings)
        .map(|cut| cut.contour.clone())
        .chain(drawing.holes.iter().map(|hole| Contour::circle(hole.centre, hole.diameter_mm / 2.0)))
        .filter(|contour| contour.closed)
        .collect();
    let mut items = Vec::new();
    for k in (low / step).ceil() as i64..=(high / step).floor() as i64 {
        let c = k as f64 * step;
        let line = Segment::line(
            PlatePoint::new(bounds.min.y + c, bounds.min.y),
            PlatePoint::new(bounds.max.y + c, bounds.max.y),
        );
        let crossed = rings.iter().flat_map(|ring| &ring.segments).flat_map(|s| crate::geom::meeting_points(s, &line));
        let mut at: Vec<PlatePoint> = crossed.collect();
        at.sort_by(|a, b| a.y.total_cmp(&b.y));
        let is_material = |p: PlatePoint| rings.iter().filter(|ring| ring.contains(p)).count() % 2 == 1;
        let pairs = at.windows(2).filter(|pair| is_material(pair[0].lerp(pair[1], 0.5)));
        items.extend(pairs.map(|pair| Item::line(drawn.place(pair[0]), drawn.place(pair[1]), HATCH)));
    }
    items
}

/// How many times as far off as it is the cutter's path is drawn, so that it is seen.
fn kerf_factor(kerf_mm: f64, drawn: &Drawn) -> f64 {
    const SEEN_MM: f64 = 1.2;
    (SEEN_MM / (drawn.scale * kerf_mm / 2.0)).floor().max(1.0)
}

/// The middle of the cut, on the waste side; drawn farther off than it is.
fn kerf(source: &CutSource<'_>, drawn: &Drawn) -> Vec<Item> {
    let Some(kerf_mm) = source.job.stock.and_then(|stock| stock.kerf_mm).filter(|kerf_mm| *kerf_mm > 0.0) else {
        return Vec::new();
    };
    let shown_mm = kerf_mm * kerf_factor(kerf_mm, drawn);
    let Ok(path) = source.drawing.clone().allowing_for_kerf(shown_mm) else { return Vec::new() };
    let contours = path.outer.iter().chain(&path.openings).map(|cut| drawn.contour(&cut.contour));
    let rings = path.holes.iter().map(|hole| drawn.ring(hole, KERF));
    contours.map(|contour| Item::Stroke { contour, pen: KERF }).chain(rings).collect()
}

/// What fails, where something is named.
fn failing(checks: &[Check]) -> impl Iterator<Item = &Check> {
    checks.iter().filter(|check| check.verdict == Verdict::Fail)
}

#[cfg(test)]
mod tests;
