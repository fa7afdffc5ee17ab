//! What is entered of a trial, as steps of the job.

use platewright_core::job::{Edit, Hole, Id, Job, Outcome, Trial};
use platewright_core::solution::{Solution, said_fastener};

/// The holes that can be tried: kept, with a fastener, and found.
pub(super) fn studs<'a>(job: &'a Job, solution: &Solution) -> Vec<&'a Hole> {
    let has_stud = |hole: &&Hole| {
        let is_found = solution.holes.iter().any(|fit| fit.id == hole.id);
        hole.keep && is_found && said_fastener(job, hole).is_some()
    };
    job.holes.iter().filter(has_stud).collect()
}

/// Says what happened at a hole. The first word about a trial remembers where the plate had all its holes, so that nothing that
/// is measured later shifts them.
pub(super) fn step(job: &Job, solution: &Solution, hole: &Id, outcome: Outcome) -> Vec<Edit> {
    let mut after = job.clone();
    let mut put = |hole: &Id, outcome: Outcome| {
        let old = after.trials.iter().find(|trial| trial.hole == *hole).cloned();
        let at_mm = solution.holes.iter().find(|fit| fit.id == *hole).map(|fit| fit.centre);
        let new = || Trial { id: after.free_id("t"), hole: hole.clone(), outcome, towards_deg: None, mm: None, at_mm };
        let trial = Trial { outcome, ..old.unwrap_or_else(new) };
        // A side means something only where a hole touches.
        let trial = match outcome {
            Outcome::Touched | Outcome::WouldNotGo => trial,
            Outcome::WentOn | Outcome::NotTried => Trial { towards_deg: None, mm: None, ..trial },
        };
        after.trials.retain(|other| other.id != trial.id);
        after.trials.push(trial.clone());
        Edit::PutTrial(trial)
    };
    let mut edits = Vec::new();
    if job.trials.is_empty() {
        let others = studs(job, solution).into_iter().filter(|other| other.id != *hole);
        edits.extend(others.map(|other| put(&other.id, Outcome::NotTried)));
    }
    edits.push(put(hole, outcome));
    edits
}

/// Takes all of the trial out of the job.
pub(super) fn taken_out(job: &Job) -> Vec<Edit> {
    let trials = job.trials.iter().map(|trial| Edit::Remove(trial.id.clone()));
    trials.chain([Edit::TriedAs(None)]).collect()
}
