//! No hole, slot or opening is narrower than the sheet is thick, which a cutter hardly makes.

use super::walls::LEAST_MM;
use super::{Case, Check, Verdict, and_more, openings};
use crate::export::CutContour;
use crate::geom::{Contour, contours_beside};
use crate::job::{Id, SheetMaterial, capital};
use crate::solution::AddedFit;
use crate::space::PlatePoint;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Small holes";

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    if case.cut.holes.is_empty() && case.cut.openings.is_empty() {
        return vec![Check::of(NAME, Verdict::Pass, "There is no hole or opening.")];
    }
    if case.material() == Some(SheetMaterial::Gasket) {
        return vec![Check::of(NAME, Verdict::Pass, "For a gasket they are looked at with its land.")];
    }
    let thickness_mm = case.thickness_mm();
    let least_mm = thickness_mm.unwrap_or(LEAST_MM).max(LEAST_MM);
    let mut widths = widths_under(case, least_mm - SHOWN_MM);
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
                "{} is {width_mm:.2} mm wide, {than}.{more} A laser burns such a hole wide or not through: ask the shop, \
                 or have it drilled.",
                capital(name)
            );
            Check::of(NAME, Verdict::Warn, text).about(id).at(widths.iter().map(|(_, _, at, _)| *at))
        }
        (None, Some(_)) => {
            Check::of(NAME, Verdict::Pass, format!("Every hole and opening is {least_mm:.2} mm wide or more."))
        }
        (None, None) => {
            let text = format!(
                "No thickness is said, so only holes and openings under {LEAST_MM:.0} mm are looked for: there is none."
            );
            Check::of(NAME, Verdict::CannotTell, text)
        }
    };
    vec![check]
}

/// Id, name, middle and width, mm, of every hole, slot and opening that is narrower than `under_mm`.
fn widths_under<'a>(case: Case<'a>, under_mm: f64) -> Vec<(&'a Id, &'a str, PlatePoint, f64)> {
    let holes = case.cut.holes.iter().map(|hole| (&hole.id, hole.name.as_str(), hole.centre, hole.diameter_mm));
    let slots = case.solution.added.iter().filter(|added| added.slot.is_some());
    let width = |added: &'a AddedFit| Some((&added.id, added.name.as_str(), added.at, added.diameter_mm?));
    let is_slot = |opening: &&CutContour| case.solution.added.iter().any(|added| added.id == opening.id);
    let drawn = openings(case.cut).filter(|opening| !is_slot(opening));
    let drawn = drawn.filter_map(|opening| {
        let bounds = opening.contour.bounds()?;
        let width_mm = width_under(&opening.contour, under_mm)?;
        Some((&opening.id, opening.name.as_str(), bounds.min.lerp(bounds.max, 0.5), width_mm))
    });
    let all = holes.chain(slots.filter_map(width)).chain(drawn);
    all.filter(|(.., width_mm)| *width_mm < under_mm).collect()
}

/// Halvings of the width that is looked for: to a thousandth of the sheet's thickness.
const HALVINGS: usize = 10;

/// How wide an opening is, mm: the diameter of the largest circle that goes into it, where that is less than `under_mm`.
fn width_under(opening: &Contour, under_mm: f64) -> Option<f64> {
    let is_gone = |width_mm: f64| contours_beside(opening, -width_mm / 2.0).is_ok_and(|left| left.is_empty());
    let (mut goes_in, mut too_large) = (0.0, under_mm);
    is_gone(under_mm).then_some(())?;
    for _ in 0..HALVINGS {
        let width_mm = f64::midpoint(goes_in, too_large);
        if is_gone(width_mm) { too_large = width_mm } else { goes_in = width_mm }
    }
    Some(f64::midpoint(goes_in, too_large))
}
