//! What a trial fit comes to, as it is printed.

use super::readings::Next;
use platewright_core::job::Id;
use platewright_core::solution::{Act, Cause, TrialFit, TrialVerdict};
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct TrialReport<'a> {
    verdict: TrialVerdict,
    /// The likeliest cause; `null` where none is named.
    cause: Option<CauseReport<'a>>,
    /// What explains the trial equally well.
    equally: Vec<CauseReport<'a>>,
    leaves_more: bool,
    act: Option<ActReport<'a>>,
    text: String,
}

/// A cause. Sizes are `null` where only their least is known.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum CauseReport<'a> {
    /// Shares by which the plate or the print is too small.
    Whole {
        too_small: Option<f64>,
    },
    Print {
        too_small_across: Option<f64>,
        too_small_up: Option<f64>,
    },
    Tilt {
        off_deg: Option<f64>,
    },
    Measure {
        id: &'a Id,
        long_mm: Option<f64>,
    },
    /// Where the plate has the hole, from where it should be.
    Hole {
        id: &'a Id,
        off_mm: Option<[f64; 2]>,
        at_least_mm: f64,
    },
}

#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum ActReport<'a> {
    MeasureBars,
    CheckInstrument,
    MeasureAgain { id: &'a Id },
    Measure { measure: Next<'a> },
    LookAt { hole: &'a Id },
    SeeWhichSide { holes: &'a [Id] },
    TryAlso { holes: &'a [Id] },
}

impl<'a> From<&'a TrialFit> for TrialReport<'a> {
    fn from(fit: &'a TrialFit) -> Self {
        let mut causes = fit.causes.iter().map(CauseReport::from);
        Self {
            verdict: fit.verdict,
            cause: causes.next(),
            equally: causes.collect(),
            leaves_more: fit.leaves_more,
            act: fit.act.as_ref().map(ActReport::from),
            text: fit.text(),
        }
    }
}

impl<'a> From<&'a Cause> for CauseReport<'a> {
    fn from(cause: &'a Cause) -> Self {
        match cause {
            Cause::Whole { small } => Self::Whole { too_small: *small },
            Cause::Print { small_across, small_up } => {
                Self::Print { too_small_across: *small_across, too_small_up: *small_up }
            }
            Cause::Tilt { off_deg } => Self::Tilt { off_deg: *off_deg },
            Cause::Measure { id, long_mm } => Self::Measure { id, long_mm: *long_mm },
            Cause::Hole { id, sits, at_least_mm } => {
                Self::Hole { id, off_mm: sits.map(Into::into), at_least_mm: *at_least_mm }
            }
        }
    }
}

impl<'a> From<&'a Act> for ActReport<'a> {
    fn from(act: &'a Act) -> Self {
        match act {
            Act::MeasureBars => Self::MeasureBars,
            Act::CheckInstrument => Self::CheckInstrument,
            Act::MeasureAgain(id) => Self::MeasureAgain { id },
            Act::Measure(next) => Self::Measure { measure: Next::from(next) },
            Act::LookAt(hole) => Self::LookAt { hole },
            Act::SeeWhichSide(holes) => Self::SeeWhichSide { holes },
            Act::TryAlso(holes) => Self::TryAlso { holes },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_cause_stands_before_what_explains_the_trial_as_well() {
        let (hole, measure) = (Id::from("h3"), Id::from("m6"));
        let sits = platewright_core::space::PlateVec::new(-0.2, 0.0);
        let fit = TrialFit {
            verdict: TrialVerdict::Explained,
            causes: vec![
                Cause::Measure { id: measure.clone(), long_mm: Some(0.42) },
                Cause::Hole { id: hole, sits: Some(sits), at_least_mm: 0.2 },
                Cause::Print { small_across: None, small_up: Some(0.003) },
            ],
            leaves_more: false,
            act: Some(Act::MeasureAgain(measure)),
            sentence: "H3 sits 0.20 mm too far left.".to_owned(),
            explanation: String::new(),
        };
        let printed = serde_json::to_value(TrialReport::from(&fit)).unwrap();
        let wanted = serde_json::json!({
            "verdict": "explained",
            "cause": { "kind": "measure", "id": "m6", "long_mm": 0.42 },
            "equally": [
                { "kind": "hole", "id": "h3", "off_mm": [-0.2, 0.0], "at_least_mm": 0.2 },
                { "kind": "print", "too_small_across": null, "too_small_up": 0.003 },
            ],
            "leaves_more": false,
            "act": { "kind": "measure-again", "id": "m6" },
            "text": "H3 sits 0.20 mm too far left.",
        });
        assert_eq!(printed, wanted, "as it is printed");
    }
}
