//! Measures, statements and what to measure next, as they are printed.

use platewright_core::job::{Id, MeasureKind};
use platewright_core::solution::{
    Effect, MeasureFit, MeasureVerdict, NextMeasure, SlipKind, Stated, StatementFit, Suspects,
};
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct Measure<'a> {
    id: &'a Id,
    measured_mm: f64,
    fitted_mm: f64,
    /// Fitted less measured, as a correction to the reading.
    residual_mm: f64,
    sigma_mm: f64,
    redundancy: f64,
    w: Option<f64>,
    noticed_mm: Option<f64>,
    /// The kept hole that a misreading just too small to be noticed moves most, and how far.
    noticed_effect: Option<EffectReport<'a>>,
    /// What the others make of the same length.
    by_others_mm: Option<f64>,
    slip: Option<SlipReport>,
    verdict: MeasureVerdict,
}

#[derive(Debug, Serialize)]
struct EffectReport<'a> {
    hole: &'a Id,
    mm: f64,
}

#[derive(Debug, Serialize)]
struct SlipReport {
    kind: SlipKind,
    meant_mm: f64,
    text: String,
}

#[derive(Debug, Serialize)]
pub(super) struct Statement<'a> {
    id: &'a Id,
    stated: Stated,
    about: &'a [Id],
    off_mm: f64,
    sigma_mm: f64,
    redundancy: f64,
    w: Option<f64>,
    verdict: MeasureVerdict,
}

#[derive(Debug, Serialize)]
pub(super) struct SuspectsReport<'a> {
    ids: &'a [Id],
    tell_apart: Option<Next<'a>>,
}

#[derive(Debug, Serialize)]
pub(super) struct Next<'a> {
    kind: MeasureKind,
    between: &'a [Id],
    expected_mm: f64,
    worst_sigma_before_mm: f64,
    worst_sigma_after_mm: f64,
}

impl<'a> From<&'a MeasureFit> for Measure<'a> {
    fn from(fit: &'a MeasureFit) -> Self {
        Self {
            id: &fit.id,
            measured_mm: fit.measured_mm,
            fitted_mm: fit.fitted_mm,
            residual_mm: -fit.off_mm(),
            sigma_mm: fit.sigma_mm,
            redundancy: fit.redundancy,
            w: fit.w,
            noticed_mm: fit.noticed_mm,
            noticed_effect: fit.noticed_effect.as_ref().map(|Effect { hole, mm }| EffectReport { hole, mm: *mm }),
            by_others_mm: fit.by_others_mm,
            slip: fit.slip.map(|slip| SlipReport {
                kind: slip.kind,
                meant_mm: slip.meant_mm,
                text: slip.question(fit.measured_mm),
            }),
            verdict: fit.verdict,
        }
    }
}

impl<'a> From<&'a StatementFit> for Statement<'a> {
    fn from(fit: &'a StatementFit) -> Self {
        let StatementFit { id, stated, about, off_mm, sigma_mm, redundancy, w, verdict } = fit;
        Self {
            id,
            stated: *stated,
            about,
            off_mm: *off_mm,
            sigma_mm: *sigma_mm,
            redundancy: *redundancy,
            w: *w,
            verdict: *verdict,
        }
    }
}

impl<'a> From<&'a Suspects> for SuspectsReport<'a> {
    fn from(suspects: &'a Suspects) -> Self {
        Self { ids: &suspects.ids, tell_apart: suspects.tell_apart.as_ref().map(Next::from) }
    }
}

impl<'a> From<&'a NextMeasure> for Next<'a> {
    fn from(next: &'a NextMeasure) -> Self {
        Self {
            kind: next.kind,
            between: &next.between,
            expected_mm: next.expected_mm,
            worst_sigma_before_mm: next.worst_sigma_before_mm,
            worst_sigma_after_mm: next.worst_sigma_after_mm,
        }
    }
}
