//! What is entered of a trial, as steps of the job.

use crate::exports::PaperPrinter;
use platewright_core::job::{Edit, Hole, Id, Job, Outcome, Trial, Tried, TriedOn};
use platewright_core::solution::{Solution, said_fastener};
use platewright_core::space::PlatePoint;

/// The holes that can be tried: kept, with a fastener, and found.
pub(super) fn studs<'a>(job: &'a Job, solution: &Solution) -> Vec<&'a Hole> {
    let has_stud = |hole: &&Hole| {
        let is_found = solution.holes.iter().any(|fit| fit.id == hole.id);
        hole.keep && is_found && said_fastener(job, hole).is_some()
    };
    job.holes.iter().filter(has_stud).collect()
}

/// A trial of the last print on paper, with its check bars as they are read so far. Bars that no printer makes are left out.
pub(in crate::sheets::fit_sheet) fn read_of(printer: &PaperPrinter) -> Tried {
    let is_sound = printer.next(printer.lay).is_ok();
    let bar = |k: usize| printer.reads_mm[k].filter(|_| is_sound).map(|reads| [printer.bars_mm[k], reads]);
    Tried { on: TriedOn::Paper, bar_across_mm: bar(0), bar_up_mm: bar(1), print: Some(printer.number) }
}

/// Says that it was tried with this. Only paper has bars of its own.
pub(super) fn tried_on(on: TriedOn, printer: &PaperPrinter) -> Edit {
    let made = Tried { on, ..Tried::default() };
    Edit::TriedAs(Some(if on == TriedOn::Paper { read_of(printer) } else { made }))
}

/// Says what happened at a hole. The first word about a trial remembers where the plate had all its holes, so that nothing that
/// is measured later shifts them, and how the bars of the print read.
pub(super) fn step(job: &Job, solution: &Solution, printer: &PaperPrinter, hole: &Id, outcome: Outcome) -> Vec<Edit> {
    let mut after = job.clone();
    let mut put = |hole: &Id, outcome: Outcome| {
        let old = after.last_trials().find(|trial| trial.hole == *hole).cloned();
        let trial = Trial { outcome, ..old.unwrap_or_else(|| begun(&after, after.last_round(), solution, hole)) };
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
        let tried = job.tried.unwrap_or_default();
        // Bars that the job has from elsewhere stay.
        if tried.on == TriedOn::Paper && (tried.print.is_some() || tried.bars() == [None; 2]) {
            edits.push(tried_on(TriedOn::Paper, printer));
        }
    }
    edits.push(put(hole, outcome));
    edits
}

/// Nothing was tried at a hole yet; the plate has it where the results have it now.
fn begun(job: &Job, round: u32, solution: &Solution, hole: &Id) -> Trial {
    let at_mm = solution.holes.iter().find(|fit| fit.id == *hole).map(|fit| fit.centre);
    let (id, hole, outcome) = (job.free_id("t"), hole.clone(), Outcome::NotTried);
    Trial { id, hole, round, outcome, towards_deg: None, mm: None, at_mm }
}

/// Begins a trial of a plate that was made after the last: it has its holes where the results have them now, which know of
/// the earlier trials. Those stay, as large as their plate was.
pub(super) fn again(job: &Job, solution: &Solution, printer: &PaperPrinter) -> Vec<Edit> {
    let tried = job.tried.unwrap_or_default();
    let [across, up] = tried.stretch();
    let as_large = |trial: &Trial| {
        let at_mm = trial.at_mm.map(|at| PlatePoint::new(at.x * across, at.y * up));
        Edit::PutTrial(Trial { at_mm, ..trial.clone() })
    };
    let mut edits: Vec<Edit> = job.last_trials().map(as_large).collect();
    edits.push(tried_on(tried.on, printer));
    let (mut after, round) = (job.clone(), job.last_round().saturating_add(1));
    for stud in studs(job, solution) {
        let trial = begun(&after, round, solution, &stud.id);
        after.trials.push(trial.clone());
        edits.push(Edit::PutTrial(trial));
    }
    edits
}

/// Takes all of the trial out of the job.
pub(super) fn taken_out(job: &Job) -> Vec<Edit> {
    let trials = job.trials.iter().map(|trial| Edit::Remove(trial.id.clone()));
    trials.chain([Edit::TriedAs(None)]).collect()
}
