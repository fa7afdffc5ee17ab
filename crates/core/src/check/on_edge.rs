//! The cut lies on the edge that was measured, all of the edge was seen, and what was agreed about its shape is held.

use super::{Case, Check, Verdict, contour_name, count, found_or};
use crate::job::{Contour, Job, Meant, MeantKind};
use crate::solution::{ContourFit, MeasuredContour, Unseen};
use crate::units::format_over;

const NAME: &str = "On the edge";

/// A cut farther off than so many times what is allowed is not of this edge.
const FAR_OFF: f64 = 2.0;

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let follows = |contour: &Contour| contour.keep && (0..contour.piece_count()).any(|piece| contour.follows(piece));
    let is_wanted = |fit: &&ContourFit| fit.measured.is_some() || job.contour(&fit.id).is_some_and(follows);
    let is_kept = |fit: &&ContourFit| job.contour(&fit.id).is_some_and(|contour| contour.keep);
    let wanted: Vec<&ContourFit> = solution.contours.iter().filter(is_kept).filter(is_wanted).collect();
    if wanted.is_empty() {
        let text = "No contour follows the edge in the photo: the cut is as it was drawn.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    if !solution.fit.scale_known() {
        let text = "How far the cut lies off the edge is known once the size of the part is.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    let of = |fit: &&ContourFit| match &fit.measured {
        Some(measured) => found(job, fit, measured),
        None => vec![not_measured(fit)],
    };
    found_or(wanted.iter().flat_map(of).collect(), || {
        let measured = || wanted.iter().filter_map(|fit| fit.measured.as_ref());
        let places: usize = measured().map(|measured| measured.places.len()).sum();
        let worst_mm = measured().map(|measured| measured.worst_mm).fold(0.0, f64::max);
        let places = count(places, "measured place");
        Check::of(NAME, Verdict::Pass, format!("The cut lies within {worst_mm:.2} mm of {places} of the edge."))
    })
}

/// Everything that is wrong with a contour that was measured.
fn found(job: &Job, fit: &ContourFit, measured: &MeasuredContour) -> Vec<Check> {
    let off = if measured.places.is_empty() { Some(nothing_seen(fit)) } else { off(fit, measured) };
    let not_held = measured.agreed.iter().filter(|agreed| !agreed.is_held);
    let not_held = not_held.map(|agreed| not_held_to(job, fit, &agreed.meant, agreed.pieces.is_empty()));
    let found = off.into_iter().chain(beside_nodes(fit, measured)).chain(unseen(fit, measured));
    found.chain(not_held).collect()
}

fn not_measured(fit: &ContourFit) -> Check {
    let name = contour_name(fit);
    let text = format!(
        "{name} follows the edge, and it was not measured in the photo. Measure it there, or let its pieces be as drawn."
    );
    Check::of(NAME, Verdict::Fail, text).about(&fit.id)
}

fn nothing_seen(fit: &ContourFit) -> Check {
    let name = contour_name(fit);
    let text = format!("{name} follows the edge, and no place of it could be measured: it is cut as it was drawn.");
    Check::of(NAME, Verdict::CannotTell, text).about(&fit.id)
}

fn off(fit: &ContourFit, measured: &MeasuredContour) -> Option<Check> {
    let (worst_mm, allowed_mm) = (measured.worst_mm, measured.allowance_mm());
    if worst_mm <= allowed_mm {
        return None;
    }
    let verdict = if worst_mm > FAR_OFF * allowed_mm { Verdict::Fail } else { Verdict::Warn };
    let name = contour_name(fit);
    let [worst, allowed] = format_over(worst_mm, allowed_mm, 2);
    let text = format!(
        "{name} is cut up to {worst} mm off the measured edge, where {allowed} mm is allowed. Look there, and \
         let go of what is pinned or agreed, or pin a node where a corner is sharp."
    );
    let parts = measured.places.iter().filter(|place| place.took_part);
    let worst = parts.max_by(|a, b| a.off_mm.abs().total_cmp(&b.off_mm.abs()));
    Some(Check::of(NAME, verdict, text).about(&fit.id).at(worst.map(|place| place.at)))
}

/// The cut passes nodes farther off than they can have been placed from the edge.
fn beside_nodes(fit: &ContourFit, measured: &MeasuredContour) -> Option<Check> {
    let far = &measured.far_nodes;
    let worst_mm = far.iter().map(|far| far.off_mm).fold(0.0, f64::max);
    let name = contour_name(fit);
    let text = match far.len() {
        0 => return None,
        1 => format!(
            "{name} is cut {worst_mm:.1} mm off one of its nodes. Move the node on to the edge, pin it, or let the pieces \
             beside it be as drawn."
        ),
        n => format!(
            "{name} is cut up to {worst_mm:.1} mm off {n} of its nodes. Move them on to the edge, pin them, or let the pieces \
             beside them be as drawn."
        ),
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&fit.id))
}

fn unseen(fit: &ContourFit, measured: &MeasuredContour) -> Option<Check> {
    // A piece that is cut as drawn may be off by as much as its nodes, however short it is.
    let is_named = |unseen: &&Unseen| unseen.as_drawn || unseen.length_mm() > Unseen::LONG_MM;
    let named: Vec<&Unseen> = measured.unseen.iter().filter(is_named).collect();
    let first = named.iter().copied().max_by(|a, b| a.length_mm().total_cmp(&b.length_mm()))?;
    let (name, why, longest) = (contour_name(fit), first.why(), first.length_mm());
    let text = match named.len() {
        1 => format!("{name} has {longest:.1} mm where no edge is seen: {why}. Look whether the cut is right there."),
        n => format!(
            "{name} has {n} stretches where no edge is seen, the longest {longest:.1} mm: {why}. Look whether the cut is \
             right there."
        ),
    };
    let middle = |unseen: &Unseen| unseen.from.lerp(unseen.to, 0.5);
    let others = named.iter().filter(|unseen| !std::ptr::eq(**unseen, first)).map(|unseen| middle(unseen));
    Some(Check::of(NAME, Verdict::Warn, text).about(&fit.id).at([middle(first)].into_iter().chain(others)))
}

fn not_held_to(job: &Job, fit: &ContourFit, meant: &Meant, is_gone: bool) -> Check {
    let mm = meant.mm.unwrap_or_default();
    let hole = meant.hole.as_ref().and_then(|id| job.holes.iter().find(|hole| hole.id == *id));
    let what = match meant.kind {
        MeantKind::EqualRadii => "two equal radii".to_owned(),
        MeantKind::Concentric => format!("an arc about {}", hole.map_or("a hole", |hole| &hole.name)),
        MeantKind::Parallel => "two parallel lines".to_owned(),
        MeantKind::Square => "two square lines".to_owned(),
        MeantKind::RoundRadius => format!("a radius of {mm} mm"),
        MeantKind::RoundDistance => format!("two lines {mm} mm apart"),
    };
    let why = if is_gone { "its pieces are no longer there" } else { "another speaks against it" };
    let name = contour_name(fit);
    let text = format!("{name} is not held to {what}, which was agreed: {why}. Take it back, or agree to it anew.");
    Check::of(NAME, Verdict::Warn, text).about(&fit.id)
}
