//! The size of the part is known.

use super::{Case, Check, Verdict};

const NAME: &str = "Size known";

pub(super) fn check(Case { solution, .. }: Case<'_>) -> Vec<Check> {
    let percent = solution.fit.scale_sigma.map(|sigma| sigma * crate::tolerance::K95_FIGURE * 100.0);
    let check = match percent {
        Some(percent) if solution.fit.scale_known() => {
            Check::of(NAME, Verdict::Pass, format!("The size of the part is good to ±{percent:.2} %."))
        }
        Some(percent) if percent < 100.0 => {
            let text = format!("The size of the part is good to ±{percent:.0} % only. Measure between two holes.");
            Check::of(NAME, Verdict::Fail, text)
        }
        _ => Check::of(NAME, Verdict::Fail, "Nothing says how large the part is. Measure between two holes."),
    };
    vec![check]
}
