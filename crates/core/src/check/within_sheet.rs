//! The part, and all its copies, go on the sheet that it is cut from.

use super::{Case, Check, Verdict};
use crate::export::{Rows, RowsRefused};
use crate::job::capital;
use crate::space::PlateVec;

const NAME: &str = "Fits the sheet";

pub(super) fn check(Case { job, solution, cut }: Case<'_>) -> Vec<Check> {
    let cannot_tell = |text: &str| vec![Check::of(NAME, Verdict::CannotTell, text)];
    let Some((stock, [width, height])) = job.stock.and_then(|stock| Some((stock, stock.sheet_mm?))) else {
        return cannot_tell("The size of the sheet is not said.");
    };
    let Some(outline) = cut.outline() else { return cannot_tell("It waits for one closed outline.") };
    if !solution.fit.scale_known() {
        return cannot_tell("It waits for the size of the part.");
    }
    // As it goes to the cutter; where there is no path that allows for the kerf another rule says so.
    let path = cut.clone().cutters_path(&stock).unwrap_or_else(|_refused| cut.clone());
    let Some(part) = path.bounds().map(|bounds| bounds.size()) else { return cannot_tell("Nothing is to be cut yet.") };
    let part_words = format!("The part is {:.1} x {:.1} mm", part.x, part.y);
    let (n, gap_mm) = (stock.copy_count(), stock.gap_or_usual_mm());
    let check = match Rows::of(&path, &stock) {
        Ok(_) if n == 1 => Check::of(NAME, Verdict::Pass, format!("{part_words} and fits the sheet.")),
        Ok(rows) => {
            let text = format!("{part_words}, and {n} copies fit the sheet, {} in a row.", rows.in_a_row);
            Check::of(NAME, Verdict::Pass, text)
        }
        Err(RowsRefused::TooLarge { .. }) => {
            let room = PlateVec::new(width - 2.0 * gap_mm, height - 2.0 * gap_mm);
            let over = over_mm(part, room).min(over_mm(PlateVec::new(part.y, part.x), room));
            let text = format!(
                "{part_words}, and the sheet has {width:.0} x {height:.0} mm less {gap_mm:.1} mm along each side: it is \
                 {over:.2} mm too large either way round. Take a larger sheet, or leave less along the sides."
            );
            Check::of(NAME, Verdict::Fail, text).about(&outline.id)
        }
        Err(refused) => Check::of(NAME, Verdict::Fail, format!("{}.", capital(&refused.to_string()))),
    };
    vec![check]
}

/// How much a part is too large for the room, mm; 0 where it fits.
fn over_mm(part: PlateVec, room: PlateVec) -> f64 {
    (part.x - room.x).max(part.y - room.y).max(0.0)
}
