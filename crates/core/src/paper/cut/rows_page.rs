//! The sheet with all the copies on it.

use super::{CUT, CutSource, Drawn, FRAME};
use crate::export::CutDrawing;
use crate::geom::Bounds;
use crate::paper::{Ink, Item, Lettering, MARGIN_MM, Page, Pen, Weight, Words};
use crate::space::{PlatePoint, PlateVec};

const SHEET: Pen = Pen::new(0.35, Ink::Soft).dashed(3.0, 1.5);
const SIZE_MM: f64 = 3.6;

/// The page of the sheet, where several copies are cut; without them where they do not go on it.
pub(super) fn page(source: &CutSource<'_>, size_mm: [f64; 2], lettering: &dyn Lettering) -> Option<Page> {
    let stock = source.job.stock.unwrap_or_default();
    if stock.copy_count() < 2 {
        return None;
    }
    // What lies on the sheet is what goes into the file.
    let laid = source.drawing.clone().for_cutter(&stock);
    let copies = laid.as_ref().ok();
    let bounds = copies.and_then(CutDrawing::bounds).map(|bounds| bounds.grown(stock.gap_or_usual_mm()));
    let on_sheet =
        stock.sheet_mm.map(|[wide, high]| Bounds { min: PlatePoint::new(0.0, 0.0), max: PlatePoint::new(wide, high) });
    let whole = on_sheet.or(bounds)?;
    let mut page = Page::new(size_mm);
    let [wide, high] = size_mm;
    let frame = Bounds { min: PlatePoint::new(0.0, 0.0), max: PlatePoint::new(wide, high) }.grown(-MARGIN_MM);
    let field = Bounds { min: frame.min, max: frame.max - PlateVec::new(0.0, 12.0) };
    let drawn = Drawn::in_field(field, whole, 6.0);
    let sides = Bounds { min: drawn.place(whole.min), max: drawn.place(whole.max) };
    page.items.push(Item::frame(frame, FRAME));
    page.items.push(Item::frame(sides, SHEET));
    if let Some(all) = copies {
        let contours = all.outer.iter().chain(&all.openings);
        page.items.extend(contours.map(|cut| Item::Stroke { contour: drawn.contour(&cut.contour), pen: CUT }));
        page.items.extend(all.holes.iter().map(|hole| drawn.ring(hole, CUT)));
    }
    let said = match (&laid, stock.sheet_mm) {
        (Ok(_), Some([wide, high])) => format!("{} copies on a sheet of {wide:.0} x {high:.0} mm", stock.copy_count()),
        (Ok(_), None) => format!("{} copies on {:.0} x {:.0} mm", stock.copy_count(), whole.size().x, whole.size().y),
        (Err(refused), _) => crate::job::capital(&refused.to_string()),
    };
    let said = format!("{said}; drawn {}", drawn.in_words());
    let at = PlatePoint::new(frame.min.x + 3.0, frame.max.y - 8.0);
    let ink = if laid.is_ok() { Ink::Cut } else { Ink::Disagree };
    page.items.push(Item::Words(Words::new(&said, at, SIZE_MM, lettering).weight(Weight::SemiBold).ink(ink)));
    Some(page)
}
