//! What was measured by hand lies on the face, as what is seen does.
//!
//! Model: what lies d above the face at a stand-off H is seen larger by d / H (central projection): a part that is sized by
//! lengths taken on it comes out wrong by that share, a hole r from the middle by r d / H. The job does not say where jaws
//! touched, but two things show it: a broken edge that nobody spoke of (jaws touch the bore, which is narrower by the break's
//! width w all round, so that a length l over two rims is off by 2 w, and the size by 2 w / l), and a straight side whose wall
//! shows and is not told from the face (the cost of that is in its ±: adjusted anew without).

use super::{Advice, Case};
use crate::adjust::{Precision, SharedError};
use crate::edge::SideVerdict;
use crate::job::{Measure, MeasureKind};
use crate::seen::{RimSeen, SideSeen};

pub(super) const NAME: &str = "Height";

/// What two rims and no wall share along a straight side, px: what is left of it where no wall is in doubt.
const NO_WALL_PX: f64 = 0.03;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let (middle, (_, height_mm)) = (case.middle(), case.map.standpoint());
    let (farthest, off_mm) = case.worst(|hole| hole.centre.distance(middle));
    let walls = untold_walls(case);
    let break_mm = unsaid_break_mm(case);
    let longest_mm = longest_over_rims(case);
    let by_break_mm = break_mm.filter(|_| longest_mm > 0.0).map_or(0.0, |mm| off_mm * 2.0 * mm / longest_mm);
    let name = case.name(farthest);
    if by_break_mm > 0.0 {
        let text = format!(
            "Edges look broken by {:.2} mm, and jaws touch the bore below: taken for the face, that puts {name} \
             {by_break_mm:.2} mm off.",
            break_mm.unwrap_or(0.0)
        );
        let way_out = "Say in operation 20 that these edges are broken; no other photo is needed.";
        let broken = case.solution.holes.iter().filter(|hole| case.solution.unsaid_breaks.contains(&hole.id));
        let places: Vec<_> = broken.filter_map(|hole| case.place(hole)).collect();
        return case.advice(NAME, by_break_mm, farthest, text, way_out).at(places);
    }
    if !walls.is_empty() {
        let gain = case.sharper.gain(|problem| {
            for side in &mut problem.sides {
                if let Precision::Measured { shared, .. } = &mut side.precision {
                    *shared = SharedError { shift_px: shared.shift_px.min(NO_WALL_PX), ..*shared };
                }
            }
        });
        let names: Vec<String> = walls.iter().map(|side| case.job().feature_name(&side.id).to_owned()).collect();
        let text =
            format!("The wall below {} shows and is not told from the edge on the face.", crate::job::listed(&names));
        let way_out = "Hold the camera square above the part, so that no wall shows, or measure between holes.";
        let hole = &case.solution.holes[gain.hole];
        let places: Vec<_> = walls
            .iter()
            .filter_map(|side| {
                let points: Vec<_> = side.found.as_ref().ok()?.points.iter().map(|point| point.at).collect();
                super::around(&points)
            })
            .collect();
        return case.advice(NAME, gain.mm, hole, text, way_out).at(places);
    }
    let share_mm = off_mm / height_mm;
    let text = format!(
        "Measures are taken on the face, as far as the job knows. If what you measured lies 1 mm above it, {name} is \
         {share_mm:.2} mm off."
    );
    case.advice(NAME, 0.0, farthest, text, "")
}

/// The straight sides that a measure lies at and whose wall shows.
fn untold_walls<'a>(case: &Case<'a>) -> Vec<&'a SideSeen> {
    let is_measured = |side: &&SideSeen| {
        let measures = case.job().measures.iter().filter(|measure| measure.in_use);
        measures.into_iter().any(|measure| measure.between.contains(&side.id))
    };
    let is_untold = |side: &&SideSeen| side.found.as_ref().is_ok_and(|found| found.verdict == SideVerdict::WallUntold);
    case.seen.sides.iter().filter(is_untold).filter(is_measured).collect()
}

/// The middle width of the breaks that the job does not speak of, mm.
fn unsaid_break_mm(case: &Case<'_>) -> Option<f64> {
    let unsaid = &case.solution.unsaid_breaks;
    let rims = case.seen.rims.iter().filter(|rim| unsaid.contains(&rim.id));
    let mut widths: Vec<f64> = rims.filter_map(RimSeen::break_width_mm).collect();
    widths.sort_by(f64::total_cmp);
    widths.get(widths.len() / 2).copied()
}

/// The longest length over two rims that counts, mm; 0 where there is none.
fn longest_over_rims(case: &Case<'_>) -> f64 {
    let is_over =
        |measure: &&Measure| measure.in_use && matches!(measure.kind, MeasureKind::FarRims | MeasureKind::NearRims);
    case.job().measures.iter().filter(is_over).map(|measure| measure.mm).fold(0.0, f64::max)
}
