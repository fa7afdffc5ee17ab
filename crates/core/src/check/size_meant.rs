//! A part of a size that nobody cuts by hand and nobody photographs was hardly meant: a unit or a digit was mistaken.

use super::{Case, Check, Verdict};

const NAME: &str = "Size meant";

/// The longest side of a part that is photographed, measured by hand and cut from sheet, mm: from a washer to a door.
/// Common practice, no source.
const USUAL_MM: (f64, f64) = (5.0, 3000.0);

pub(super) fn check(Case { solution, cut, .. }: Case<'_>) -> Vec<Check> {
    let Some(bounds) = cut.bounds() else {
        return vec![Check::of(NAME, Verdict::CannotTell, "Nothing is to be cut yet.")];
    };
    if !solution.fit.scale_known() {
        return vec![Check::of(NAME, Verdict::CannotTell, "It waits for the size of the part.")];
    }
    let size = bounds.size();
    let longest = size.x.max(size.y);
    let (least, most) = USUAL_MM;
    let said = format!("{:.1} x {:.1} mm", size.x, size.y);
    let check = if longest < least {
        let text =
            format!("The part is {said}, less than {least:.0} mm. Is that meant? Look at the units of the measures.");
        Check::of(NAME, Verdict::Warn, text)
    } else if longest > most {
        let text = format!(
            "The part is {said}, more than {:.0} m. Is that meant? Look at the units of the measures.",
            most / 1000.0
        );
        Check::of(NAME, Verdict::Warn, text)
    } else {
        Check::of(NAME, Verdict::Pass, format!("The part is {said}."))
    };
    vec![check]
}
