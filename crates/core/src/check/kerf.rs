//! The file is drawn at finished size, so somebody else has to allow for the width of the cut.

use super::{Case, Check, Verdict};

const NAME: &str = "Kerf";

pub(super) fn check(Case { job, .. }: Case<'_>) -> Vec<Check> {
    let kerf_mm = job.stock.and_then(|stock| stock.kerf_mm).filter(|kerf| *kerf > 0.0);
    let in_file = job.stock.is_some_and(|stock| stock.kerf_in_file);
    let check = match (kerf_mm, in_file) {
        (Some(kerf_mm), true) => {
            let text = format!(
                "The file is drawn at finished size and does not allow for the kerf of {kerf_mm:.2} mm. Let the shop allow for it."
            );
            Check::of(NAME, Verdict::Fail, text)
        }
        _ => Check::of(NAME, Verdict::Pass, "Drawn at finished size: the shop allows for the kerf."),
    };
    vec![check]
}
