//! How a thing stands, with its colour and its icon: never one without the other.

use crate::controls::Icon;
use crate::theme::Colours;
use egui::Color32;
use platewright_core::check;
use platewright_core::solution::Weight;

/// How a thing stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    /// It is in order.
    Agrees,
    /// Something contradicts something.
    Disagrees,
    /// Something is not known.
    NotKnown,
    /// Something to bear in mind.
    Caution,
    /// A check fails.
    Fails,
}

impl Tone {
    /// Its colour as text.
    pub(super) fn text(self, colours: &Colours) -> Color32 {
        match self {
            Self::Agrees => colours.agree_text,
            Self::Disagrees | Self::Fails => colours.disagree_text,
            Self::NotKnown => colours.unknown_text,
            Self::Caution => colours.caution,
        }
    }

    /// Its icon.
    pub(super) fn icon(self) -> Icon {
        match self {
            Self::Agrees => Icon::Agrees,
            Self::Disagrees => Icon::Disagrees,
            Self::NotKnown => Icon::NotKnown,
            Self::Caution => Icon::Caution,
            Self::Fails => Icon::Fails,
        }
    }

    /// That of a check.
    pub(super) fn of_check(verdict: check::Verdict) -> Self {
        match verdict {
            check::Verdict::Pass => Self::Agrees,
            check::Verdict::Warn => Self::Caution,
            check::Verdict::Fail => Self::Fails,
            check::Verdict::CannotTell => Self::NotKnown,
        }
    }

    /// That of a finding.
    pub(super) fn of_finding(weight: Weight) -> Self {
        match weight {
            Weight::Disagrees => Self::Disagrees,
            Weight::NotKnown => Self::NotKnown,
            Weight::Caution => Self::Caution,
        }
    }
}
