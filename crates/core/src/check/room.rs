//! Each fastener has more room in its hole than the hole may be off.

use super::{Case, Check, Verdict, and_more, count};
use crate::job::Hole;
use crate::solution::{HoleFit, play_mm};
use crate::units::format_over;

const NAME: &str = "Room for error";

/// A hole whose fastener has too little room.
struct Tight<'a> {
    hole: &'a Hole,
    fit: &'a HoleFit,
    play_mm: f64,
    off_mm: f64,
}

pub(super) fn check(case @ Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    if !solution.fit.scale_known() {
        return vec![Check::of(NAME, Verdict::CannotTell, "It waits for the size of the part.")];
    }
    let cutting_mm = solution.bolt_up.as_ref().map(|bolt_up| bolt_up.cutting_mm);
    let cutting_mm = cutting_mm.or(job.stock.and_then(|stock| stock.cut_tolerance_mm)).unwrap_or_default();
    let with_room = job.holes.iter().filter(|hole| hole.keep).filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id)?;
        let play_mm = play_mm(job, hole, fit.bore_diameter_mm)?;
        Some(Tight { hole, fit, play_mm, off_mm: fit.needs_mm(cutting_mm) })
    });
    let all: Vec<Tight<'_>> = with_room.collect();
    if all.is_empty() {
        let text = "No fastener is said, so nothing says how much a hole may be off.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    let n = all.len();
    let (too_small, mut tight): (Vec<_>, Vec<_>) = all.into_iter().partition(|tight| tight.play_mm < 0.0);
    if !too_small.is_empty() {
        return too_small.iter().map(|tight| does_not_go_in(case, tight)).collect();
    }
    tight.retain(|tight| tight.off_mm > tight.play_mm);
    tight.sort_by(|a, b| (a.play_mm - a.off_mm).total_cmp(&(b.play_mm - b.off_mm)));
    let Some(Tight { hole, play_mm, off_mm, .. }) = tight.first() else {
        let text = format!("{}, each with more room than its hole may be off.", count(n, "fastener"));
        return vec![Check::of(NAME, Verdict::Pass, text)];
    };
    let [off, play] = format_over(*off_mm, *play_mm, 2);
    let text = format!(
        "{} is good to ±{off} mm with the cutting, and its fastener has {play} mm of room.{} Measure more, or choose \
         a wider clearance.",
        hole.name,
        and_more(tight.len() - 1, "tight"),
    );
    vec![Check::of(NAME, Verdict::Warn, text).about(&hole.id).at(tight.iter().map(|tight| tight.fit.centre))]
}

fn does_not_go_in(case: Case<'_>, Tight { hole, fit, play_mm, .. }: &Tight<'_>) -> Check {
    let fastener = case.fastener(&hole.id).map_or("its fastener", crate::standards::Fastener::name);
    let narrow_mm = -2.0 * play_mm;
    let text = format!(
        "{} is cut {narrow_mm:.2} mm smaller than {fastener}, which does not go through. Give it a clearance, or say that it \
         is tapped.",
        hole.name
    );
    Check::of(NAME, Verdict::Fail, text).about(&hole.id).at([fit.centre])
}
