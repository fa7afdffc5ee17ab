//! The part fits on the sheet that it is cut from.
//!
//! Whether several copies can be laid out is for the layout to find; here counts that one fits, and that their area does.

use super::{Case, Check, Verdict};
use crate::job::Stock;
use crate::space::PlateVec;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Fits the sheet";

pub(super) fn check(Case { job, solution, cut }: Case<'_>) -> Vec<Check> {
    let cannot_tell = |text: &str| vec![Check::of(NAME, Verdict::CannotTell, text)];
    let Some((stock, [width, height])) = job.stock.and_then(|stock| Some((stock, stock.sheet_mm?))) else {
        return cannot_tell("The size of the sheet is not said.");
    };
    let Some(outline) = cut.outline() else { return cannot_tell("It waits for one closed outline.") };
    let Some(bounds) = outline.contour.bounds().filter(|_| solution.fit.scale_known()) else {
        return cannot_tell("It waits for the size of the part.");
    };
    let (part, gap) = (bounds.size(), stock.gap_or_usual_mm());
    let room = PlateVec::new(width - 2.0 * gap, height - 2.0 * gap);
    let over = over_mm(part, room).min(over_mm(PlateVec::new(part.y, part.x), room));
    let part_words = format!("The part is {:.1} x {:.1} mm", part.x, part.y);
    let room_words = format!("the sheet has {width:.0} x {height:.0} mm less {gap:.1} mm along each side");
    if over > SHOWN_MM {
        let text = format!(
            "{part_words}, and {room_words}: it is {over:.1} mm too large either way round. Take a larger sheet, or leave less \
             along the sides."
        );
        return vec![Check::of(NAME, Verdict::Fail, text).about(&outline.id)];
    }
    vec![copies(&stock, outline.contour.signed_area_mm2().abs(), room, &part_words)]
}

/// How much a part is too large for the room, mm; 0 where it fits.
fn over_mm(part: PlateVec, room: PlateVec) -> f64 {
    (part.x - room.x).max(part.y - room.y).max(0.0)
}

/// All copies have less area than there is room.
fn copies(stock: &Stock, area_mm2: f64, room: PlateVec, part_words: &str) -> Check {
    let (n, room_mm2) = (stock.copy_count(), room.x * room.y);
    let needed_mm2 = f64::from(n) * area_mm2;
    let percent = 100.0 * needed_mm2 / room_mm2;
    if needed_mm2 > room_mm2 {
        let text = format!(
            "{n} copies have {:.1} dm² and the sheet has room for {:.1} dm². Cut fewer from one sheet.",
            needed_mm2 / 1e4,
            room_mm2 / 1e4
        );
        return Check::of(NAME, Verdict::Fail, text);
    }
    let others = if n > 1 { format!("; {n} of them take {percent:.0} % of it") } else { String::new() };
    Check::of(NAME, Verdict::Pass, format!("{part_words} and fits the sheet{others}."))
}
