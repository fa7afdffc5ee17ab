//! Copies on one sheet lie farther apart than the cut is wide.

use super::{Case, Check, Verdict};
use crate::job::Stock;

const NAME: &str = "Copies apart";

pub(super) fn check(Case { job, .. }: Case<'_>) -> Vec<Check> {
    let stock = job.stock.unwrap_or_default();
    let (copies, gap_mm) = (stock.copy_count(), stock.gap_or_usual_mm());
    if copies < 2 {
        return vec![Check::of(NAME, Verdict::Pass, "One is cut: there is no other beside it.")];
    }
    // Where the file allows for the kerf the cutter's paths are laid so far apart, else the parts themselves.
    let cut_mm = if stock.kerf_in_file { Some(0.0) } else { stock.kerf_mm };
    let check = match cut_mm {
        _ if gap_mm <= 0.0 => fails("Nothing is left between one copy and the next: their cuts lie on each other"),
        Some(cut_mm) if gap_mm <= cut_mm => fails(&format!(
            "{} mm is left between one copy and the next, and the cut takes {} mm: one is cut into the other",
            Stock::kerf_figure(gap_mm),
            Stock::kerf_figure(cut_mm)
        )),
        Some(_) => {
            let text = format!("{copies} copies, {} mm from one to the next.", Stock::kerf_figure(gap_mm));
            Check::of(NAME, Verdict::Pass, text)
        }
        None => {
            let text = "No kerf is said, so nothing says whether the cuts of two copies meet.";
            Check::of(NAME, Verdict::CannotTell, text)
        }
    };
    vec![check]
}

fn fails(what: &str) -> Check {
    Check::of(NAME, Verdict::Fail, format!("{what}. Leave more between copies."))
}
