//! Who allows for the width of the cut: the shop, or the file; never both, and never nobody.

use super::{Case, Check, Verdict, found_or};
use crate::job::{Stock, capital};

const NAME: &str = "Kerf";

pub(super) fn check(Case { job, cut, .. }: Case<'_>) -> Vec<Check> {
    let stock = job.stock.unwrap_or_default();
    let Some(kerf_mm) = stock.kerf_to_allow_mm() else {
        return vec![if stock.kerf_in_file {
            let text = "The file is to allow for the kerf, and how wide that is is not said, so nothing would be allowed for. Say \
                        it, or let the shop allow for it.";
            Check::of(NAME, Verdict::Fail, text)
        } else {
            Check::of(NAME, Verdict::Pass, "Drawn at finished size: the shop allows for the kerf.")
        }];
    };
    let refused = cut.refused_by_kerf(kerf_mm).into_iter();
    let found = refused
        .map(|(id, refused)| Check::of(NAME, Verdict::Fail, format!("{}.", capital(&refused.to_string()))).about(id));
    found_or(found.collect(), || {
        let text = format!(
            "The file allows for a kerf of {} mm, and its name says so. Tell the shop, which must not allow for it again.",
            Stock::kerf_figure(kerf_mm)
        );
        Check::of(NAME, Verdict::Warn, text)
    })
}
