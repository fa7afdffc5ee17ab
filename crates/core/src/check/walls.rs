//! What is left between holes, openings and the outline is as thick as the sheet.

use super::edge_distance::is_too_near;
use super::wall::{NOT_TOLD, Side, Wall, are_all_told, thin_walls};
use super::{Case, Check, Verdict, and_more};
use crate::job::SheetMaterial;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Walls";

/// No wall is to be thinner than this, however thin the sheet, mm: a cut heats what it leaves (trade rule for laser-cut
/// sheet, web >= t and hole >= 1 mm, <https://tuanthinh.net/en/blog/sheet-metal-hole-edge-spacing-rules>).
pub(super) const LEAST_MM: f64 = 1.0;

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    if case.material() == Some(SheetMaterial::Gasket) {
        return vec![Check::of(NAME, Verdict::Pass, "For a gasket its land counts, which is looked at by itself.")];
    }
    if case.cut.holes.is_empty() && case.cut.openings.is_empty() {
        return vec![Check::of(NAME, Verdict::Pass, "There is no hole or opening that a wall could stand beside.")];
    }
    let thickness_mm = case.thickness_mm();
    let least_mm = thickness_mm.unwrap_or(LEAST_MM).max(LEAST_MM);
    let thin: Vec<Wall<'_>> =
        thin_walls(case.cut, least_mm - SHOWN_MM).into_iter().filter(|wall| !is_told(case, wall)).collect();
    let check = match (thin.first(), thickness_mm) {
        (Some(thinnest), _) => {
            let Wall { between: (one, other), mm, .. } = thinnest;
            let why = if thickness_mm.is_some_and(|mm| mm >= LEAST_MM) { "as the sheet is thick" } else { "the least" };
            let text = format!(
                "The wall between {} and {} is {mm:.2} mm, and {least_mm:.2} mm is wanted, {why}.{} It may burn, bend or \
                 break: leave more there, or ask the shop.",
                one.name(),
                other.name(),
                and_more(thin.len() - 1, "too thin"),
            );
            Check::of(NAME, Verdict::Warn, text).about(one.id()).at(thin.iter().map(|wall| wall.at))
        }
        (None, _) if !are_all_told(case) => Check::of(NAME, Verdict::CannotTell, NOT_TOLD),
        (None, Some(_)) => Check::of(NAME, Verdict::Pass, format!("Every wall is {least_mm:.2} mm or more.")),
        (None, None) => {
            let text =
                format!("No thickness is said, so only walls under {LEAST_MM:.0} mm are looked for: there is none.");
            Check::of(NAME, Verdict::CannotTell, text)
        }
    };
    vec![check]
}

/// How far a bolt hole lies from an edge is told by a rule of its own.
fn is_told(case: Case<'_>, wall: &Wall<'_>) -> bool {
    match wall.between {
        (Side::Hole(hole), Side::Opening(_) | Side::Outline(_)) => {
            is_too_near(case, hole, wall.mm + hole.diameter_mm / 2.0).is_some()
        }
        _ => false,
    }
}
