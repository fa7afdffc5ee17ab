//! The foot of the drawing: the layers of the file, and the title block.

use super::{CUT, CutSource, Drawn, KERF, kerf_factor};
use crate::export::{LAYER_INNER, LAYER_MARK, LAYER_OUTER};
use crate::geom::Bounds;
use crate::job::{Stock, count};
use crate::paper::{Ink, Item, Lettering, Pen, Weight, Words, shortened};
use crate::solution::HoleFit;
use crate::space::{PlatePoint, PlateVec};

const MARK: Pen = Pen::new(0.3, Ink::Mark);
const FRAME: Pen = Pen::new(0.35, Ink::Cut);

/// Rows of the title block, and their height, mm.
const ROWS: usize = 3;
const ROW_MM: f64 = 10.5;
const LABEL_MM: f64 = 2.6;
const VALUE_MM: f64 = 3.5;
const INSET_MM: f64 = 2.5;

/// Share of the width that the layers take.
const LAYERS_SHARE: f64 = 0.54;

pub(super) fn height_mm() -> f64 {
    ROWS as f64 * ROW_MM
}

/// Both halves of the foot.
pub(super) fn foot(
    source: &CutSource<'_>,
    at: Bounds,
    drawn: &Drawn,
    is_kerf_drawn: bool,
    lettering: &dyn Lettering,
) -> Vec<Item> {
    let split = at.min.x + LAYERS_SHARE * at.size().x;
    let mut items = vec![Item::frame(at, FRAME)];
    let layers = Bounds { max: PlatePoint::new(split, at.max.y), ..at };
    let kerf = kerf_words(source, drawn, is_kerf_drawn);
    items.extend(layer_rows(source, layers, kerf, lettering));
    items.extend(cells(source, Bounds { min: PlatePoint::new(split, at.min.y), ..at }, drawn, lettering));
    items
}

/// How wide the kerf is, how it is drawn, and who allows for it; `None` where none is said.
fn kerf_words(source: &CutSource<'_>, drawn: &Drawn, is_drawn: bool) -> Option<String> {
    let stock = source.job.stock.unwrap_or_default();
    let kerf_mm = stock.kerf_mm.filter(|kerf_mm| *kerf_mm > 0.0)?;
    let whose = if stock.kerf_in_file { "in the file" } else { "left to the shop" };
    let shown = if is_drawn { format!("drawn {:.0}×", kerf_factor(kerf_mm, drawn)) } else { "not drawn".to_owned() };
    Some(format!("{} wide, {shown}, {whose}", Stock::kerf_figure(kerf_mm)))
}

fn layer_rows(source: &CutSource<'_>, at: Bounds, kerf: Option<String>, lettering: &dyn Lettering) -> Vec<Item> {
    let drawing = source.drawing;
    let length: f64 = drawing.outer.iter().map(|cut| cut.contour.length_mm()).sum();
    let inner = drawing.openings.len() + drawing.holes.len();
    let (holes, openings) = (count(drawing.holes.len(), "hole"), count(drawing.openings.len(), "opening"));
    let mut rows: Vec<(Pen, &str, String)> = vec![
        (CUT, LAYER_OUTER, format!("{}, {length:.1} mm long", count(drawing.outer.len(), "loop"))),
        (CUT, LAYER_INNER, format!("{}: {holes}, {openings}", count(inner, "loop"))),
        (MARK, LAYER_MARK, format!("{}, the part’s name, notes", count(drawing.holes.len(), "centre mark"))),
    ];
    rows.extend(kerf.map(|said| (KERF, "kerf", said)));
    let left = at.min.x + INSET_MM;
    let mut y = at.max.y - 5.2;
    let head = Words::new(
        "Layers in the file; ± says how far off a hole’s place can be",
        PlatePoint::new(left, y),
        VALUE_MM,
        lettering,
    )
    .weight(Weight::SemiBold);
    let mut items = vec![Item::Words(head)];
    for (pen, name, said) in rows {
        y -= 5.4;
        let middle = y + 1.2;
        items.push(Item::line(PlatePoint::new(left, middle), PlatePoint::new(left + 12.0, middle), pen));
        let name = Words::new(name, PlatePoint::new(left + 16.0, y), VALUE_MM, lettering);
        let room = at.max.x - left - 46.0 - INSET_MM;
        let said = shortened(&said, room, VALUE_MM, Weight::Regular, lettering);
        let said = Words::new(&said, PlatePoint::new(left + 46.0, y), VALUE_MM, lettering).ink(Ink::Soft);
        items.extend([Item::Words(name), Item::Words(said)]);
    }
    items
}

/// The title block: two columns of three cells.
fn cells(source: &CutSource<'_>, at: Bounds, drawn: &Drawn, lettering: &dyn Lettering) -> Vec<Item> {
    let mut items = Vec::new();
    let (half, row) = (at.size().x / 2.0, at.size().y / ROWS as f64);
    for (k, (label, value)) in words(source, drawn).into_iter().enumerate() {
        let (column, line) = ((k % 2) as f64, (k / 2) as f64);
        let min = PlatePoint::new(at.min.x + column * half, at.max.y - (line + 1.0) * row);
        items.push(Item::frame(Bounds { min, max: min + PlateVec::new(half, row) }, FRAME));
        let room = half - 2.0 * INSET_MM;
        let value = shortened(&value, room, VALUE_MM, Weight::SemiBold, lettering);
        let label = Words::new(label, min + PlateVec::new(INSET_MM, row - 3.6), LABEL_MM, lettering).ink(Ink::Soft);
        let value = Words::new(&value, min + PlateVec::new(INSET_MM, 2.4), VALUE_MM, lettering);
        items.extend([Item::Words(label), Item::Words(value.weight(Weight::SemiBold))]);
    }
    items
}

fn words(source: &CutSource<'_>, drawn: &Drawn) -> [(&'static str, String); 6] {
    let CutSource { job, solution, .. } = source;
    let stock = job.stock.unwrap_or_default();
    let title = if job.title.is_empty() { "This part".to_owned() } else { job.title.clone() };
    let thickness = stock.thickness_mm.map(|mm| format!("{mm:.1} mm"));
    let sheet: Vec<String> =
        stock.material.map(|material| material.words().to_owned()).into_iter().chain(thickness).collect();
    let unsaid = || "not said".to_owned();
    let cut = stock.cut_tolerance_mm.map_or_else(unsaid, |mm| format!("to ±{mm:.2} mm"));
    let worst = solution.holes.iter().filter(|fit| job.holes.iter().any(|hole| hole.id == fit.id && hole.keep));
    let worst =
        worst.map(HoleFit::plus_minus_mm).fold(None, |most: Option<f64>, mm| Some(most.map_or(mm, |m| m.max(mm))));
    let worst = worst.filter(|_| solution.fit.scale_known() && solution.fits_together());
    let odds = solution
        .bolt_up
        .as_ref()
        .map(|bolt_up| if solution.fits_together() { bolt_up.times() } else { "not known yet".to_owned() });
    [
        ("Part", title),
        ("Sheet", if sheet.is_empty() { unsaid() } else { sheet.join(", ") }),
        ("Cutter cuts", cut),
        ("File", format!("{}, {}; drawn {}", source.format.words(), stock.unit.words(), drawn.in_words())),
        ("Worst hole", worst.map_or_else(|| "not known yet".to_owned(), |mm| format!("±{mm:.2} mm (95 %)"))),
        ("Bolts up", odds.unwrap_or_else(|| "no fastener is said".to_owned())),
    ]
}
