//! A gasket keeps enough land to seal and to hold together.

use super::wall::{Wall, thin_walls};
use super::{Case, Check, Verdict, and_more};
use crate::job::SheetMaterial;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Gasket land";

/// Land round the holes and openings of a gasket, mm. Common practice, 1.5 to 2 mm, no source.
const LAND_MM: f64 = 2.0;

/// Smaller holes than this tear in stripping and handling, mm: 3/32 in (Garlock gasket sheet C-48, Gasket design tips).
const LEAST_HOLE_MM: f64 = 2.4;

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    match case.material() {
        Some(SheetMaterial::Gasket) => {}
        Some(_) => return vec![Check::of(NAME, Verdict::Pass, "The sheet is no gasket sheet.")],
        None => {
            let text = "Nothing says what the sheet is of, so that it may be a gasket or not.";
            return vec![Check::of(NAME, Verdict::CannotTell, text)];
        }
    }
    let found: Vec<Check> = thin_land(case).into_iter().chain(small_holes(case)).collect();
    super::found_or(found, || {
        let text = format!("The land is {LAND_MM:.1} mm or more, and no hole is under {LEAST_HOLE_MM:.1} mm.");
        Check::of(NAME, Verdict::Pass, text)
    })
}

fn thin_land(case: Case<'_>) -> Option<Check> {
    let thin = thin_walls(case.cut, LAND_MM - SHOWN_MM);
    let Wall { between: (one, other), mm, .. } = thin.first()?;
    let text = format!(
        "The land between {} and {} is {mm:.2} mm, and a gasket wants {LAND_MM:.1} mm to seal.{} Leave more, or open a hole at \
         the edge into a notch.",
        one.name(),
        other.name(),
        and_more(thin.len() - 1, "too thin"),
    );
    Some(Check::of(NAME, Verdict::Warn, text).about(one.id()).at(thin.iter().map(|wall| wall.at)))
}

fn small_holes(case: Case<'_>) -> Option<Check> {
    let mut small: Vec<_> = case.cut.holes.iter().filter(|hole| hole.diameter_mm < LEAST_HOLE_MM - SHOWN_MM).collect();
    small.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
    let smallest = small.first()?;
    let text = format!(
        "{} is {:.2} mm wide, and in gasket sheet a hole under {LEAST_HOLE_MM:.1} mm tears.{} Make it larger, or a notch.",
        smallest.name,
        smallest.diameter_mm,
        and_more(small.len() - 1, "too small"),
    );
    Some(Check::of(NAME, Verdict::Warn, text).about(&smallest.id).at(small.iter().map(|hole| hole.centre)))
}
