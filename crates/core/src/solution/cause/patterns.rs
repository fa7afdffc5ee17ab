//! The patterns in which holes can be off together.

use super::Evidence;
use super::compare::Own;
use crate::adjust::Length;
use crate::job::Id;
use crate::solution::assemble::Role;
use crate::space::PlateVec;
use crate::tolerance::REDUNDANCY_NO_TEST;
use nalgebra::DMatrix;

/// What a pattern stands for. Its sizes are in brackets.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    /// The share by which the plate is too small (1).
    Whole,
    /// The same along x and y of a print, as far as its check bars leave that open (1 or 2).
    Print { along: [bool; 2] },
    /// Both tilts of the camera, radians (2).
    Tilt,
    /// How much a measure reads too long, mm (1).
    Measure { id: Id },
    /// How far one hole, by its number, should lie elsewhere: x and y of the solve frame, mm (2).
    Hole(usize),
}

/// A pattern: how far off the holes are for each of its sizes.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    pub(super) kind: Kind,
    /// For each size the step of every hole of the problem.
    pub(super) all: Vec<Vec<PlateVec>>,
    /// The same of the holes that were tried, as rows.
    pub(super) design: DMatrix<f64>,
    /// What the adjustment itself says of its size.
    pub(super) own: Own,
}

/// All that can be told of this trial.
pub(super) fn patterns(evidence: &Evidence<'_>) -> Vec<Pattern> {
    let count = evidence.from_middle.len();
    let pattern = |kind: Kind, all: Vec<Vec<PlateVec>>, own: Own| {
        let entry = |row: usize, size: usize| {
            let step = all[size][evidence.rims[row / 2]];
            if row.is_multiple_of(2) { step.x } else { step.y }
        };
        let design = DMatrix::from_fn(2 * evidence.rims.len(), all.len(), entry);
        Pattern { kind, all, design, own }
    };
    let whole = vec![evidence.from_middle.clone()];
    let mut list = vec![pattern(Kind::Whole, whole, Own::default())];
    let along = evidence.scale_known.map(|known| !known);
    let sides = [evidence.across, evidence.across.perp()];
    let stretched = |side: PlateVec| evidence.from_middle.iter().map(|from| side * from.dot(side)).collect();
    let print: Vec<Vec<PlateVec>> =
        sides.into_iter().zip(along).filter(|(_, open)| *open).map(|(side, _)| stretched(side)).collect();
    if !print.is_empty() {
        list.push(pattern(Kind::Print { along }, print, Own::default()));
    }
    let steps = |column: &[f64], sign: f64| -> Vec<PlateVec> {
        column.chunks_exact(2).map(|pair| PlateVec::new(sign * pair[0], sign * pair[1])).collect()
    };
    let tilt = evidence.sensitivity.by_tilt.iter().map(|column| steps(column, 1.0)).collect();
    list.push(pattern(Kind::Tilt, tilt, Own::default()));
    let measures = evidence.results.job.measures.iter().zip(&evidence.results.assembled.measures);
    for (measure, role) in measures {
        let Role::Counts(length) = *role else { continue };
        // A reading that is too long put the holes too far: they should lie the other way.
        let all = vec![steps(&evidence.sensitivity.by_length[length], -1.0)];
        list.push(pattern(Kind::Measure { id: measure.id.clone() }, all, own_of(evidence, length)));
    }
    for rim in &evidence.rims {
        let alone = |step: PlateVec| -> Vec<PlateVec> {
            (0..count).map(|other| if other == *rim { step } else { PlateVec::default() }).collect()
        };
        let all = vec![alone(PlateVec::new(1.0, 0.0)), alone(PlateVec::new(0.0, 1.0))];
        list.push(pattern(Kind::Hole(*rim), all, Own::default()));
    }
    list
}

/// What the other measures say of a misreading: a reading that lies `v` off the fit is misread by `v / r`, with the standard
/// deviation `sigma / sqrt(r)` (r its redundancy number).
fn own_of(evidence: &Evidence<'_>, length: usize) -> Own {
    let Length { span, mm, sigma_mm } = evidence.results.assembled.problem.lengths[length];
    let (fitted_mm, fitted_sigma) = evidence.without.fitted_length(span);
    let weight = 1.0 / (sigma_mm * sigma_mm);
    let redundancy = 1.0 - fitted_sigma * fitted_sigma * weight;
    if redundancy < REDUNDANCY_NO_TEST {
        return Own::default();
    }
    Own { score: (mm - fitted_mm) * weight, information: redundancy * weight }
}
