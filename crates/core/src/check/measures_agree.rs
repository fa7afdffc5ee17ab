//! No measure or statement contradicts the others, and some measures check each other.

use super::{Case, Check, Verdict, count, found_or};
use crate::solution::{Finding, FindingKind, MeasureFit, MeasureVerdict, Solution, Weight};

const NAME: &str = "Measures agree";

pub(super) fn check(Case { solution, .. }: Case<'_>) -> Vec<Check> {
    let of = |verdict: MeasureVerdict| solution.measures.iter().filter(move |fit| fit.verdict == verdict);
    let numbered = (1..).zip(&solution.measures).filter(|(_, fit)| fit.verdict == MeasureVerdict::Disagrees);
    let of_measure = |finding: &Finding| solution.measures.iter().any(|fit| finding.about.as_ref() == Some(&fit.id));
    let others = solution.findings.iter().filter(|finding| {
        // What a trial showed has a rule of its own.
        finding.weight == Weight::Disagrees && finding.kind != FindingKind::TrialCause && !of_measure(finding)
    });
    let found = numbered
        .map(|(number, fit)| disagrees(number, fit))
        .chain(others.map(|finding| other(solution, finding)))
        .collect();
    found_or(found, || {
        let (agree, unchecked) = (of(MeasureVerdict::Agrees).count(), of(MeasureVerdict::Unchecked).count());
        match (agree, unchecked) {
            (0, 0) => Check::of(NAME, Verdict::CannotTell, "Nothing is measured yet."),
            (0, _) => {
                Check::of(NAME, Verdict::CannotTell, "Nothing checks the measures: a misreading would not be noticed.")
            }
            (n, 0) => Check::of(NAME, Verdict::Pass, format!("{}, and all agree.", count(n, "measure"))),
            (n, m) => {
                let text =
                    format!("{} checked, and all agree. Nothing checks {}.", count(n, "measure"), count(m, "other"));
                Check::of(NAME, Verdict::Pass, text)
            }
        }
    })
}

/// A measure is named by its number in the list, as everywhere on screen; its id may be another.
fn disagrees(number: usize, fit: &MeasureFit) -> Check {
    let off = fit.misread_mm();
    let way = if off > 0.0 { "long" } else { "short" };
    let text = format!(
        "M{number} does not agree with the others: it is {:.2} mm {way}. Measure again, or leave it out.",
        off.abs()
    );
    Check::of(NAME, Verdict::Fail, text).about(&fit.id)
}

/// What contradicts the rest and is no measure: a statement, a trial or a rim that is bent off its hole, which must be
/// settled, or the picks as a whole, which may be a little worse than they were said to be.
fn other(solution: &Solution, finding: &Finding) -> Check {
    let is_suspect = finding.about.as_ref().is_some_and(|id| {
        let is_stated = solution.statements.iter().any(|fit| fit.id == *id);
        is_stated || solution.suspects.iter().any(|suspects| suspects.ids.contains(id))
    });
    let verdict = if is_suspect || finding.kind == FindingKind::BentRims { Verdict::Fail } else { Verdict::Warn };
    Check { about: finding.about.clone(), ..Check::of(NAME, verdict, finding.text.clone()) }
}
