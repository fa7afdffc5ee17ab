//! A measure in sentences: how far off it is, how well it is checked, and what would pass unnoticed.

use crate::sheets::figures::Lengths;
use platewright_core::job::Job;
use platewright_core::solution::{MeasureFit, MeasureVerdict, Slip};
use platewright_core::tolerance::W_DISAGREES;
use platewright_core::units::format_figure;

/// `0.98 mm long`; which is by what the others say.
pub(super) fn long_or_short(fit: &MeasureFit, lengths: Lengths) -> String {
    let off = fit.misread_mm();
    format!("{} {}", lengths.with_unit(off.abs()), if off > 0.0 { "long" } else { "short" })
}

/// The likely slip as a question.
pub(super) fn slip_question(fit: &MeasureFit) -> Option<String> {
    fit.slip.map(|slip: Slip| slip.question(fit.measured_mm))
}

/// All that is to be said of a measure whose figures may be shown. `blamed` are the names of those that disagree: they
/// make others stray that are in order themselves.
pub(super) fn measure(job: &Job, name: &str, fit: &MeasureFit, blamed: Option<&str>, lengths: Lengths) -> String {
    let mut said = Vec::new();
    match (fit.verdict, fit.by_others_mm) {
        (MeasureVerdict::LeftOut, _) => {
            said.push(format!("{name} is left out. By what the others say it is {}.", long_or_short(fit, lengths)));
            return said.join(" ");
        }
        (MeasureVerdict::Unchecked, _) | (_, None) => {
            said.push(format!("Nothing checks {name} yet: if it is misread, nobody will notice."));
        }
        _ if lengths.is_nothing(fit.misread_mm()) => said.push(format!("{name} reads what the others say.")),
        _ => said.push(format!("By what the others say {name} reads {}.", long_or_short(fit, lengths))),
    }
    let strays = fit.verdict == MeasureVerdict::Agrees && fit.w.is_some_and(|w| w.abs() > W_DISAGREES);
    if let Some(blamed) = blamed.filter(|_| strays) {
        said.push(format!("That is the doing of {blamed}."));
    }
    said.extend(slip_question(fit));
    if fit.verdict != MeasureVerdict::Unchecked {
        let share = format_figure((fit.redundancy * 100.0).clamp(0.0, 100.0), 0);
        said.push(format!("It is checked {share} %: so much of a misreading would come to light."));
    }
    if let Some(noticed_mm) = fit.noticed_mm {
        let effect = fit.noticed_effect.as_ref().map_or_else(String::new, |effect| {
            format!("; it could move {} by {}", job.feature_name(&effect.hole), lengths.with_unit(effect.mm))
        });
        said.push(format!("A misreading under {} would pass unnoticed here{effect}.", lengths.with_unit(noticed_mm)));
    }
    said.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::job::Id;
    use platewright_core::solution::Effect;

    fn said(change: impl FnOnce(&mut MeasureFit)) -> String {
        let mut fit = samples::disagreeing().measures[0].clone();
        change(&mut fit);
        let session = samples::session(samples::plate());
        measure(&samples::plate(), "M1", &fit, Some("M2"), Lengths::of(&session))
    }

    #[test]
    fn one_that_strays_by_anothers_doing_says_whose() {
        assert!(said(|fit| fit.w = Some(4.0)).contains("That is the doing of M2."), "beyond the limit, and agrees");
        assert!(!said(|fit| fit.w = Some(3.0)).contains("doing"), "within the limit");
    }

    #[test]
    fn a_measure_says_off_checked_and_what_would_pass_unnoticed() {
        let words = said(|fit| {
            fit.noticed_mm = Some(0.31);
            fit.noticed_effect = Some(Effect { hole: Id::from("h4"), mm: 0.12 });
        });
        assert_eq!(
            words,
            "By what the others say M1 reads 0.02 mm long. It is checked 50 %: so much of a misreading would come to \
             light. A misreading under 0.31 mm would pass unnoticed here; it could move H4 by 0.12 mm."
        );
    }

    #[test]
    fn one_that_nothing_checks_says_so_and_no_share() {
        let words = said(|fit| {
            fit.verdict = MeasureVerdict::Unchecked;
            fit.by_others_mm = None;
            fit.noticed_mm = None;
        });
        assert_eq!(words, "Nothing checks M1 yet: if it is misread, nobody will notice.");
    }

    #[test]
    fn one_that_reads_what_the_others_say_has_no_side() {
        let words = said(|fit| fit.by_others_mm = Some(fit.measured_mm + 0.001));
        assert!(words.starts_with("M1 reads what the others say."), "{words}");
    }
}
