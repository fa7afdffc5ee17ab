//! What land is left or taken off, and that the outline and every opening are still what they were.

use super::{Case, Check, Verdict, found_or};
use crate::export::{CutDrawing, Land};
use crate::geom::OffsetRefused;
use crate::job::{Role, capital, listed};

const NAME: &str = "Land";

pub(super) fn check(Case { cut, .. }: Case<'_>) -> Vec<Check> {
    let found = cut.lands.iter().filter_map(|land| wrong(land).or_else(|| much(land, cut)));
    found_or(found.collect(), || {
        let of = |role| cut.lands.iter().find(|land| land.role == role).map(said);
        let said: Vec<String> = [Role::Outer, Role::Opening].into_iter().filter_map(of).collect();
        let text = if said.is_empty() { "cut along the edge, without land".to_owned() } else { listed(&said) };
        Check::of(NAME, Verdict::Pass, format!("{}.", capital(&text)))
    })
}

/// What is done, and where: it is the same for the outline and for every opening.
fn said(Land { role, land_mm, .. }: &Land) -> String {
    let done = if *land_mm > 0.0 { "left" } else { "taken off" };
    let place = match role {
        Role::Outer => "outside the outline",
        Role::Opening => "inside the openings",
    };
    format!("{:.2} mm is {done} {place}", land_mm.abs())
}

/// Land that is wider than this share of the part was hardly meant: a slip of the point, say.
const MUCH: f64 = 0.25;

fn much(Land { id, role, land_mm, .. }: &Land, cut: &CutDrawing) -> Option<Check> {
    let size = cut.outline()?.contour.bounds()?.size();
    let grown_mm = if *role == Role::Outer { 2.0 * land_mm } else { 0.0 };
    let land_mm = land_mm.abs();
    let wide_mm = (size.x.min(size.y) - grown_mm).max(0.0);
    let text = format!(
        "The land, {land_mm:.2} mm, is more than a quarter of the part, which is {wide_mm:.2} mm wide without it. Is that meant?"
    );
    (land_mm > MUCH * wide_mm).then(|| Check::of(NAME, Verdict::Warn, text).about(id))
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
