//! What is added to the part as it is seen: holes and slots that are in the job, and the ones being added.

use super::{Feature, FeatureKind, seen_line};
use crate::canvas::transform::Transform;
use crate::session::{Chosen, Operation, Session};
use egui::Pos2;
use platewright_core::job::{Id, Job};
use platewright_core::solution::AddedFit;
use platewright_core::tolerance::DRAWN_CHORD_MM;

/// An added hole or slot; those of one circle share their id.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct AddedSeen {
    /// Its id.
    pub(in crate::canvas) id: Id,
    /// Its middle.
    pub(in crate::canvas) at: Pos2,
    /// Its rim, closed; empty where it has no size yet.
    pub(in crate::canvas) rim: Vec<Pos2>,
    /// It is chosen.
    pub(in crate::canvas) is_chosen: bool,
    /// It is not in the job yet.
    pub(in crate::canvas) is_draft: bool,
}

/// All that are added, while the part is drawn or cut.
pub(super) fn added(session: &Session, transform: &Transform) -> Vec<AddedSeen> {
    let screen = &session.screen;
    if !matches!(screen.operation, Operation::Outline | Operation::Cut) {
        return Vec::new();
    }
    let draft = screen.adding.as_ref().map(|added| &added.id);
    let seen = |fit: &AddedFit, is_draft: bool| {
        let rim = fit.rim().map_or_else(Vec::new, |rim| seen_line(rim.sampled(DRAWN_CHORD_MM), transform));
        let is_chosen = is_draft || screen.chosen == Some(Chosen::Added(fit.id.clone()));
        Some(AddedSeen { id: fit.id.clone(), at: transform.screen_from_plate(fit.at)?, rim, is_chosen, is_draft })
    };
    let fits = session.results.solution.added.iter().filter(|fit| Some(&fit.id) != draft);
    let drafted = session.adding_seen();
    fits.filter_map(|fit| seen(fit, false)).chain(drafted.iter().filter_map(|fit| seen(fit, true))).collect()
}

/// One feature for each entry of the job: those of a circle share a flag, at the first of them.
pub(super) fn features(job: &Job, added: &[AddedSeen]) -> Vec<Feature> {
    let feature = |(index, seen): (usize, &AddedSeen)| {
        let is_first = added[..index].iter().all(|other| other.id != seen.id);
        let of = added.iter().filter(|other| other.id == seen.id).count();
        is_first.then(|| Feature {
            id: seen.id.clone(),
            name: job.placed_name(&seen.id),
            note: match (seen.rim.is_empty(), of) {
                (true, _) => "no size yet".to_owned(),
                (false, 1) => String::new(),
                (false, of) => format!("{of} on a circle"),
            },
            kind: FeatureKind::Added,
            at: seen.at,
            reach: seen.rim.iter().map(|point| point.distance(seen.at)).fold(0.0, f32::max),
            rim: seen.rim.clone(),
        })
    };
    added.iter().enumerate().filter(|(_, seen)| !seen.is_draft).filter_map(feature).collect()
}
