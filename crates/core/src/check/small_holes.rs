//! No hole or slot is narrower than the sheet is thick, which a cutter hardly makes.

use super::walls::LEAST_MM;
use super::{Case, Check, Verdict, and_more};
use crate::job::{Id, SheetMaterial};
use crate::solution::AddedFit;
use crate::space::PlatePoint;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Small holes";

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    let mut widths = widths(case);
    if widths.is_empty() {
        return vec![Check::of(NAME, Verdict::Pass, "There is no hole.")];
    }
    if case.material() == Some(SheetMaterial::Gasket) {
        return vec![Check::of(NAME, Verdict::Pass, "For a gasket they are looked at with its land.")];
    }
    let thickness_mm = case.thickness_mm();
    let least_mm = thickness_mm.unwrap_or(LEAST_MM).max(LEAST_MM);
    widths.retain(|(.., width_mm)| *width_mm < least_mm - SHOWN_MM);
    widths.sort_by(|(.., a), (.., b)| a.total_cmp(b));
    let check = match (widths.first(), thickness_mm) {
        (Some((id, name, _, width_mm)), _) => {
            let than = if thickness_mm.is_some_and(|mm| mm >= LEAST_MM) {
                format!("less than the sheet is thick, {least_mm:.2} mm")
            } else {
                format!("less than {least_mm:.2} mm")
            };
            let more = and_more(widths.len() - 1, "too small");
            let text = format!(
                "{name} is {width_mm:.2} mm wide, {than}.{more} A laser burns such a hole wide or not through: ask the shop, \
                 or have it drilled."
            );
            Check::of(NAME, Verdict::Warn, text).about(id).at(widths.iter().map(|(_, _, at, _)| *at))
        }
        (None, Some(_)) => {
            Check::of(NAME, Verdict::Pass, format!("Every hole and slot is {least_mm:.2} mm wide or more."))
        }
        (None, None) => {
            let text =
                format!("No thickness is said, so only holes under {LEAST_MM:.0} mm are looked for: there is none.");
            Check::of(NAME, Verdict::CannotTell, text)
        }
    };
    vec![check]
}

/// Id, name, middle and width, mm, of every hole and slot that is cut.
fn widths<'a>(case: Case<'a>) -> Vec<(&'a Id, &'a str, PlatePoint, f64)> {
    let holes = case.cut.holes.iter().map(|hole| (&hole.id, hole.name.as_str(), hole.centre, hole.diameter_mm));
    let slots = case.solution.added.iter().filter(|added| added.slot.is_some());
    let width = |added: &'a AddedFit| Some((&added.id, added.name.as_str(), added.at, added.diameter_mm?));
    holes.chain(slots.filter_map(width)).collect()
}
