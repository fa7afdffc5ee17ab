//! The size of the part does not rest on one reading that nothing checks: misread by 10 mm it would look as good.

use super::{Case, Check, Verdict, count};
use crate::job::{MeasureKind, listed};
use crate::solution::{MeasureFit, MeasureVerdict, NextMeasure};
use crate::tolerance::REDUNDANCY_UNCHECKED;

const NAME: &str = "Size checked";

/// A reading carries the size where it fixes it at least by half as well as the best one does, as a share of its length: a
/// hole's diameter says little of the length of a plate.
const CARRIES: f64 = 0.5;

/// The least slip in reading a scale, a whole millimetre, mm: where that would be noticed the size is checked, although
/// less than the instrument's own ± would not be.
const LEAST_SLIP_MM: f64 = 1.0;

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    if !solution.fit.scale_known() {
        return vec![Check::of(NAME, Verdict::CannotTell, "It waits for the size of the part.")];
    }
    let counts = |fit: &&MeasureFit| !matches!(fit.verdict, MeasureVerdict::LeftOut | MeasureVerdict::Waits);
    let counting: Vec<&MeasureFit> = solution.measures.iter().filter(counts).collect();
    let parts = |fit: &MeasureFit| fit.fitted_mm / fit.sigma_mm;
    let best = counting.iter().map(|fit| parts(fit)).fold(0.0, f64::max);
    let carrying: Vec<&MeasureFit> = counting.iter().copied().filter(|fit| parts(fit) >= CARRIES * best).collect();
    let Some(first) = carrying.first() else {
        return vec![Check::of(NAME, Verdict::CannotTell, "Nothing is measured yet.")];
    };
    let alone = counting.len() < 2;
    let checked = carrying.iter().filter(|fit| !alone && fit.redundancy >= REDUNDANCY_UNCHECKED).count();
    if checked > 0 {
        let text = format!("Of {} that carry the size, others check {checked}.", count(carrying.len(), "measure"));
        return vec![Check::of(NAME, Verdict::Pass, text)];
    }
    // One that is checked is enough: whatever bends the size would contradict it.
    let noticed_mm = carrying.iter().filter_map(|fit| fit.noticed_mm).fold(f64::INFINITY, f64::min);
    if !alone && noticed_mm <= LEAST_SLIP_MM {
        let text = format!("A reading that carries the size would be noticed once it is {noticed_mm:.2} mm off.");
        return vec![Check::of(NAME, Verdict::Pass, text)];
    }
    // A measure is named by its number in the list, as everywhere on screen.
    let numbered = (1..).zip(&solution.measures).filter(|(_, fit)| carrying.iter().any(|each| each.id == fit.id));
    let names = listed(&numbered.map(|(number, _)| format!("M{number}")).collect::<Vec<_>>());
    let (them, one) = if carrying.len() == 1 { ("it", "it") } else { ("them", "one") };
    let text = format!(
        "The size rests on {names}, and nothing checks {them}: if {one} is misread, the whole part is wrong by as much. {}.",
        way_out(&solution.measure_next, |next| next.call(job))
    );
    vec![Check::of(NAME, Verdict::Fail, text).about(&first.id)]
}

/// The measure that would check the size: the best of the next ones that is no diameter.
fn way_out(next: &[NextMeasure], call: impl Fn(&NextMeasure) -> String) -> String {
    let long = next.iter().find(|next| next.kind != MeasureKind::Diameter);
    long.map_or_else(|| "Measure between two holes far apart".to_owned(), call)
}
