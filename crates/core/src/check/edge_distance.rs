//! Bolt holes lie far enough from the edge that their bolts do not tear out.
//!
//! A wall of no thickness at all is told by the rules that holes lie inside and apart.

use super::wall::{NOT_TOLD, are_all_told, nearest};
use super::{Case, Check, Verdict, and_more, count, openings};
use crate::export::CutHole;
use crate::space::PlatePoint;
use crate::standards::Fastener;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Edge distance";

/// From the middle of a bolt hole to the edge, as a multiple of the bolt's diameter: common practice 1.5 to 2, no source
/// (EN 1993-1-8 asks steelwork for 1.2 times the hole, from memory).
const DIAMETERS: f64 = 1.5;

/// A hole, and the edge that it lies too near to.
struct Near<'a> {
    hole: &'a CutHole,
    fastener: Fastener,
    edge: &'a str,
    apart_mm: f64,
    at: PlatePoint,
}

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    let Some(outline) = case.cut.outline() else {
        return vec![Check::of(NAME, Verdict::CannotTell, "It waits for one closed outline.")];
    };
    let bolted = case.cut.holes.iter().filter(|hole| case.fastener(&hole.id).is_some());
    let bolted: Vec<&CutHole> = bolted.collect();
    if bolted.is_empty() {
        let text = "No fastener is said, so no hole is known to hold a bolt.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    let edges = || std::iter::once(outline).chain(openings(case.cut));
    let mut near: Vec<Near<'_>> = Vec::new();
    for hole in &bolted {
        let of_hole = edges().filter_map(|edge| {
            let place = nearest(&edge.contour, hole.centre)?;
            let apart_mm = hole.centre.distance(place);
            let fastener = is_too_near(case, hole, apart_mm)?;
            Some(Near { hole, fastener, edge: &edge.name, apart_mm, at: hole.centre.lerp(place, 0.5) })
        });
        near.extend(of_hole.min_by(|a, b| a.apart_mm.total_cmp(&b.apart_mm)));
    }
    // The one that lacks the largest share comes first.
    let share = |near: &Near<'_>| near.apart_mm / near.fastener.diameter_mm();
    near.sort_by(|a, b| share(a).total_cmp(&share(b)));
    let Some(Near { hole, fastener, edge, apart_mm, .. }) = near.first() else {
        if !are_all_told(case) {
            return vec![Check::of(NAME, Verdict::CannotTell, NOT_TOLD)];
        }
        let text = format!(
            "{}, each {DIAMETERS} diameters of its bolt or more from the edge.",
            count(bolted.len(), "bolt hole")
        );
        return vec![Check::of(NAME, Verdict::Pass, text)];
    };
    let wanted_mm = DIAMETERS * fastener.diameter_mm();
    let text = format!(
        "The middle of {} is {apart_mm:.2} mm from {edge}, and {DIAMETERS} times {fastener} is {wanted_mm:.2} mm.{} The bolt may \
         tear out: leave more land there, or ask someone who knows the load.",
        hole.name,
        and_more(near.len() - 1, "too near the edge"),
    );
    vec![Check::of(NAME, Verdict::Warn, text).about(&hole.id).at(near.iter().map(|near| near.at))]
}

/// The fastener of a hole whose middle is so far from an edge, where that is too near, and still leaves something.
pub(super) fn is_too_near(case: Case<'_>, hole: &CutHole, apart_mm: f64) -> Option<Fastener> {
    let fastener = case.fastener(&hole.id)?;
    let wanted_mm = DIAMETERS * fastener.diameter_mm() - SHOWN_MM;
    (apart_mm > hole.diameter_mm / 2.0 && apart_mm < wanted_mm).then_some(fastener)
}
