//! Measures and statements beside what the fit makes of them, whom to suspect, and what to measure next.

use super::assemble::{Role, StatedRow};
use super::results::Results;
use super::slip::{Doubted, likely_slip};
use super::{Effect, MeasureFit, MeasureVerdict, NextMeasure, Slip, StatementFit, Suspects};
use crate::adjust::{Length, NextLength, Reliability, Span, Suspect, Tested, next_lengths};
use crate::job::{Id, Job, Measure, MeasureKind};
use crate::tolerance::REDUNDANCY_UNCHECKED;

/// What to think of a reading that counts.
fn verdict(reliability: &Reliability, length: usize) -> MeasureVerdict {
    let accused = |suspect: &Suspect| suspect.reading == length || suspect.equally.contains(&length);
    if reliability.suspects.iter().any(accused) {
        MeasureVerdict::Disagrees
    } else if reliability.tested[length].redundancy < REDUNDANCY_UNCHECKED {
        MeasureVerdict::Unchecked
    } else {
        MeasureVerdict::Agrees
    }
}

impl Results<'_> {
    pub(super) fn measures(&self, reliability: &Reliability) -> Vec<MeasureFit> {
        let influences = self.adjusted.influences();
        let fit = |(measure, role): (&Measure, &Role)| match *role {
            Role::Waits => waiting_fit(measure),
            Role::LeftOut(span) => self.beside(measure, span, MeasureVerdict::LeftOut),
            Role::Aside(span) => self.beside(measure, span, MeasureVerdict::Disagrees),
            Role::Counts(length) => self.counting(measure, length, reliability, influences.get(length)),
        };
        self.job.measures.iter().zip(&self.assembled.measures).map(fit).collect()
    }

    /// A measure that counts.
    fn counting(
        &self,
        measure: &Measure,
        length: usize,
        reliability: &Reliability,
        influence: Option<&(usize, f64)>,
    ) -> MeasureFit {
        let Length { span, sigma_mm, .. } = self.assembled.problem.lengths[length];
        let Tested { redundancy, w, noticed_mm } = reliability.tested[length];
        let verdict = verdict(reliability, length);
        let without = |span| self.adjusted.length_without(span, length);
        let by_others = without(span);
        // A large misreading bends the fit too far for its linear estimate; then the rest is adjusted again.
        let doubted = verdict == MeasureVerdict::Disagrees;
        let again = doubted.then(|| self.adjusted.length_by_others(length)).flatten();
        let by_others_mm = again.or(by_others.map(|(mm, _)| mm));
        let slip = match (doubted, by_others_mm, by_others) {
            (true, Some(mm), Some((_, sigma))) => {
                slip_of(measure, span, mm, sigma.hypot(sigma_mm), |span| Some(without(span)?.0))
            }
            _ => None,
        };
        let effect = |noticed: f64| influence.map(|(rim, by)| Effect { hole: self.hole_id(*rim), mm: noticed * by });
        MeasureFit {
            fitted_mm: self.adjusted.fitted_length(span).0,
            redundancy,
            w,
            noticed_mm,
            noticed_effect: noticed_mm.and_then(effect),
            by_others_mm,
            slip,
            verdict,
            ..waiting_fit(measure)
        }
    }

    /// A measure that does not count, beside what the others make of the same length.
    fn beside(&self, measure: &Measure, span: Span, verdict: MeasureVerdict) -> MeasureFit {
        let (fitted_mm, predicted) = self.adjusted.fitted_length(span);
        let sigma = predicted.hypot(measure.sigma_mm);
        let w = (measure.mm - fitted_mm) / sigma;
        // What the redundancy number would be if it counted.
        let redundancy = (measure.sigma_mm / sigma).powi(2);
        let slip = slip_of(measure, span, fitted_mm, sigma, |span| Some(self.adjusted.fitted_length(span).0));
        MeasureFit {
            fitted_mm,
            redundancy: if redundancy.is_finite() { redundancy } else { 0.0 },
            w: w.is_finite().then_some(w),
            by_others_mm: Some(fitted_mm),
            slip: slip.filter(|_| verdict == MeasureVerdict::Disagrees),
            verdict,
            ..waiting_fit(measure)
        }
    }

    pub(super) fn statements(&self, reliability: &Reliability) -> Vec<StatementFit> {
        let fit = |row: &StatedRow| {
            let beside = |span| self.adjusted.fitted_length(span).0;
            let (off_mm, redundancy, w, verdict) = match row.role {
                Role::Waits => (0.0, 0.0, None, MeasureVerdict::Waits),
                Role::LeftOut(span) => (beside(span), 0.0, None, MeasureVerdict::LeftOut),
                Role::Aside(span) => (beside(span), 0.0, None, MeasureVerdict::Disagrees),
                Role::Counts(length) => {
                    let Tested { redundancy, w, .. } = reliability.tested[length];
                    let (span, verdict) = (self.assembled.problem.lengths[length].span, verdict(reliability, length));
                    // A statement that does not hold bends the fit towards itself: the rest says how far off it is.
                    let doubted = verdict == MeasureVerdict::Disagrees;
                    let by_others = doubted.then(|| self.adjusted.length_by_others(length)).flatten();
                    let off = by_others.unwrap_or_else(|| beside(span));
                    // What is off is how the part lies, not how a reading does: the other sign.
                    (off, redundancy, w.map(|w| -w), verdict)
                }
            };
            let StatedRow { id, stated, about, sigma_mm, .. } = row.clone();
            StatementFit { id, stated, about, off_mm, sigma_mm, redundancy, w, verdict }
        };
        self.assembled.stated.iter().map(fit).collect()
    }

    pub(super) fn suspects(&self, reliability: &Reliability) -> Vec<Suspects> {
        let mut groups: Vec<Suspects> = Vec::with_capacity(reliability.suspects.len());
        for Suspect { reading, equally } in &reliability.suspects {
            let mut ids: Vec<Id> = Vec::with_capacity(1 + equally.len());
            for id in std::iter::once(reading).chain(equally).filter_map(|reading| self.id_of(*reading)) {
                if !ids.contains(&id) {
                    ids.push(id);
                }
            }
            // Both coordinates of a trial, or two rows of a statement, are one thing to look at.
            if groups.iter().all(|group| group.ids != ids) {
                let telling = equally.iter().find_map(|other| self.telling_apart(*reading, *other));
                groups.push(Suspects { ids, tell_apart: telling.and_then(|length| self.next(length)) });
            }
        }
        groups
    }

    /// The length that tells which of two readings is wrong; `None` where one of them is a trial, which is tried again.
    fn telling_apart(&self, reading: usize, other: usize) -> Option<NextLength> {
        let lengths = self.assembled.problem.lengths.len();
        let are_lengths = reading < lengths && other < lengths;
        are_lengths.then(|| self.adjusted.telling_readings_apart(self.instrument, reading, other)).flatten()
    }

    /// The measure, statement, group or trial behind a reading of the adjustment.
    fn id_of(&self, reading: usize) -> Option<Id> {
        if let Some(coordinate) = reading.checked_sub(self.assembled.problem.lengths.len()) {
            return self.assembled.trials.get(coordinate / 2).cloned();
        }
        let counts = |role: &Role| *role == Role::Counts(reading);
        let measure = self.assembled.measures.iter().position(counts).map(|place| &self.job.measures[place].id);
        let stated = || self.assembled.stated.iter().find(|row| counts(&row.role)).map(|row| &row.id);
        measure.or_else(stated).cloned()
    }

    /// The measure that would best check one that is not checked.
    pub(super) fn checking(&self, id: &Id) -> Option<NextMeasure> {
        let place = self.job.measures.iter().position(|measure| measure.id == *id)?;
        let Role::Counts(length) = self.assembled.measures[place] else { return None };
        self.adjusted.checking(self.instrument, length).and_then(|length| self.next(length))
    }

    pub(super) fn measure_next(&self, count: usize) -> Vec<NextMeasure> {
        next_lengths(self.adjusted, self.instrument, count).into_iter().filter_map(|length| self.next(length)).collect()
    }

    /// A length that would help, in the words of the job.
    pub(super) fn next(&self, length: NextLength) -> Option<NextMeasure> {
        let (kind, between) = self.named(length.span)?;
        let (_, worst_sigma_before_mm) = self.worst()?;
        Some(NextMeasure {
            kind,
            between,
            expected_mm: length.expected_mm,
            worst_sigma_before_mm,
            worst_sigma_after_mm: length.worst_after_mm,
        })
    }

    /// A span in the words of the job; `None` for a statement.
    fn named(&self, span: Span) -> Option<(MeasureKind, Vec<Id>)> {
        let hole = |rim: usize| self.hole_id(rim);
        let point = |spot: usize| self.job.points[spot].id.clone();
        let edge = |side: usize| {
            let place = self.assembled.edges.iter().position(|number| *number == Some(side))?;
            Some(self.job.edges[place].id.clone())
        };
        Some(match span {
            Span::Centres(a, b) => (MeasureKind::Centres, vec![hole(a), hole(b)]),
            Span::FarRims(a, b) => (MeasureKind::FarRims, vec![hole(a), hole(b)]),
            Span::NearRims(a, b) => (MeasureKind::NearRims, vec![hole(a), hole(b)]),
            Span::Diameter(rim) => (MeasureKind::Diameter, vec![hole(rim)]),
            Span::Points(a, b) => (MeasureKind::Points, vec![point(a), point(b)]),
            Span::Sides(a, b) => (MeasureKind::Edges, vec![edge(a)?, edge(b)?]),
            Span::RimToSide(rim, side) => (MeasureKind::RimToEdge, vec![hole(rim), edge(side)?]),
            Span::SameSize(..) | Span::Square(..) | Span::OnSide(..) => return None,
        })
    }
}

/// The likely slip behind a measure; `others` says what the other observations make of a span.
fn slip_of(
    measure: &Measure,
    span: Span,
    by_others_mm: f64,
    sigma_mm: f64,
    others: impl Fn(Span) -> Option<f64>,
) -> Option<Slip> {
    let (mut other_kinds, mut one_rim_each_mm) = (Vec::new(), Vec::new());
    if let Span::Centres(a, b) | Span::FarRims(a, b) | Span::NearRims(a, b) = span {
        let kinds = [
            (MeasureKind::FarRims, Span::FarRims(a, b)),
            (MeasureKind::NearRims, Span::NearRims(a, b)),
            (MeasureKind::Centres, Span::Centres(a, b)),
        ];
        let different = kinds.into_iter().filter(|(kind, _)| *kind != measure.kind);
        other_kinds.extend(different.filter_map(|(kind, span)| Some((kind, others(span)?))));
        if let (Some(middle), Some(one), Some(other)) =
            (others(Span::Centres(a, b)), others(Span::Diameter(a)), others(Span::Diameter(b)))
        {
            let half = 0.5 * (one - other);
            one_rim_each_mm.extend([middle + half, middle - half]);
        }
    }
    let (kind, reading_mm) = (measure.kind, measure.mm);
    likely_slip(&Doubted { kind, reading_mm, by_others_mm, sigma_mm, other_kinds, one_rim_each_mm })
}

/// All measures while there is no fit.
pub(super) fn waiting(job: &Job) -> Vec<MeasureFit> {
    job.measures.iter().map(waiting_fit).collect()
}

/// A measure of which the fit says nothing: the reading stands for itself.
fn waiting_fit(measure: &Measure) -> MeasureFit {
    MeasureFit {
        id: measure.id.clone(),
        measured_mm: measure.mm,
        fitted_mm: measure.mm,
        sigma_mm: measure.sigma_mm,
        redundancy: 0.0,
        w: None,
        noticed_mm: None,
        noticed_effect: None,
        by_others_mm: None,
        slip: None,
        verdict: MeasureVerdict::Waits,
    }
}
