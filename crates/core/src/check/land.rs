//! Land is left all round, and the outline and every opening are still what they were.

use super::{Case, Check, Verdict, found_or};
use crate::export::Land;
use crate::geom::OffsetRefused;
use crate::job::{Role, capital};

const NAME: &str = "Land";

pub(super) fn check(Case { cut, .. }: Case<'_>) -> Vec<Check> {
    let text = if cut.lands.is_empty() { "Cut along the edge, without land." } else { "Land is left all round." };
    found_or(cut.lands.iter().filter_map(wrong).collect(), || Check::of(NAME, Verdict::Pass, text))
}

fn wrong(land: &Land) -> Option<Check> {
    let Land { id, name, role, land_mm, made } = land;
    let (name, mm) = (capital(name), land_mm.abs());
    let (by, less) = if *land_mm > 0.0 {
        (format!("with a land of {mm:.2} mm"), "Leave less.")
    } else {
        (format!("with {mm:.2} mm taken off"), "Take off less.")
    };
    let (verdict, text) = match (made, role) {
        (Ok(1), _) => return None,
        (Ok(0), _) => (Verdict::Fail, format!("{name} is gone {by}. {less}")),
        (Ok(n), Role::Outer) => (Verdict::Fail, format!("{name} becomes {n} lines {by}. {less}")),
        (Ok(n), Role::Opening) => (Verdict::Warn, format!("{name} becomes {n} openings {by}.")),
        (Err(OffsetRefused::NoRing), _) => {
            (Verdict::CannotTell, format!("{name} waits for its land until it is closed and meets itself nowhere."))
        }
        (Err(_), _) => (Verdict::Fail, format!("No line could be laid beside {} {by}. Take another width.", land.name)),
    };
    Some(Check::of(NAME, verdict, text).about(id))
}
