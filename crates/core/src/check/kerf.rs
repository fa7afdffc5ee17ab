//! Who allows for the width of the cut: the shop, or the file; never both, and never nobody.

use super::{Case, Check, Verdict};
use crate::job::capital;

const NAME: &str = "Kerf";

pub(super) fn check(Case { job, cut, .. }: Case<'_>) -> Vec<Check> {
    let stock = job.stock.unwrap_or_default();
    let check = match stock.kerf_to_allow_mm() {
        None if stock.kerf_in_file => {
            let text = "The file is to allow for the kerf, and how wide that is is not said. Say it, or let the shop allow for it.";
            Check::of(NAME, Verdict::CannotTell, text)
        }
        None => Check::of(NAME, Verdict::Pass, "Drawn at finished size: the shop allows for the kerf."),
        Some(kerf_mm) => match cut.clone().allowing_for_kerf(kerf_mm) {
            Ok(_) => {
                let text = format!(
                    "The file allows for a kerf of {kerf_mm:.2} mm, and its name says so. Tell the shop, which must not allow \
                     for it again."
                );
                Check::of(NAME, Verdict::Warn, text)
            }
            Err(refused) => Check::of(NAME, Verdict::Fail, format!("{}.", capital(&refused.to_string()))),
        },
    };
    vec![check]
}
