//! Every step of a job, to go back and forth without limit.

use super::{Edit, EditRefused, Job};

/// A job with the steps that led to it.
///
/// ## Invariants
/// - `past` holds the job before each step, oldest first; `future` the job after each undone step, nearest last.
/// - A step in hand (a drag) is one entry of `past` however many edits it takes.
/// - A refused edit leaves everything as it was.
#[derive(Debug, Clone)]
pub struct History {
    now: Job,
    past: Vec<Step>,
    future: Vec<Step>,
    /// What was undone when the step in hand began; `None` while nothing is in hand.
    in_hand: Option<Vec<Step>>,
    revision: u64,
}

/// A step and the job on its far side.
#[derive(Debug, Clone)]
struct Step {
    name: String,
    job: Job,
}

impl History {
    /// A history that starts with `job`.
    pub fn new(job: Job) -> Self {
        Self { now: job, past: Vec::new(), future: Vec::new(), in_hand: None, revision: 0 }
    }

    /// The job as it stands.
    pub fn job(&self) -> &Job {
        &self.now
    }

    /// Grows with every change, undo and redo; two equal revisions of one history are the same job.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Carries out `edit` as a step of its own, named as a person would name it (`move H1's second pick`).
    ///
    /// # Errors
    /// As [`Job::apply`].
    pub fn apply(&mut self, name: &str, edit: Edit) -> Result<(), EditRefused> {
        self.apply_all(name, [edit])
    }

    /// Carries out several edits as one step.
    ///
    /// # Errors
    /// As [`Job::apply`]; none of the edits is then carried out.
    pub fn apply_all(&mut self, name: &str, edits: impl IntoIterator<Item = Edit>) -> Result<(), EditRefused> {
        let mut after = self.now.clone();
        for edit in edits {
            after.apply(edit)?;
        }
        self.step_to(name, after);
        self.in_hand = None;
        Ok(())
    }

    /// Carries out `edit` as part of the step in hand; the first such edit opens the step. [`Self::let_go`] ends it.
    ///
    /// # Errors
    /// As [`Job::apply`].
    pub fn apply_in_hand(&mut self, name: &str, edit: Edit) -> Result<(), EditRefused> {
        let mut after = self.now.clone();
        after.apply(edit)?;
        if self.in_hand.is_some() {
            self.now = after;
            self.revision += 1;
        } else {
            let undone = std::mem::take(&mut self.future);
            self.step_to(name, after);
            self.in_hand = Some(undone);
        }
        Ok(())
    }

    /// Ends the step in hand.
    pub fn let_go(&mut self) {
        self.in_hand = None;
    }

    /// Takes the step in hand back as if it had never begun; whether there was one.
    pub fn drop_in_hand(&mut self) -> bool {
        let begun = self.in_hand.take().and_then(|undone| Some((undone, self.past.pop()?)));
        let Some((undone, step)) = begun else { return false };
        (self.future, self.now) = (undone, step.job);
        self.revision += 1;
        true
    }

    /// Goes back one step; its name, or `None` where there is none.
    pub fn undo(&mut self) -> Option<String> {
        self.in_hand = None;
        let step = self.past.pop()?;
        let undone = std::mem::replace(&mut self.now, step.job);
        self.future.push(Step { name: step.name.clone(), job: undone });
        self.revision += 1;
        Some(step.name)
    }

    /// Goes forward one undone step; its name, or `None` where there is none.
    pub fn redo(&mut self) -> Option<String> {
        self.in_hand = None;
        let step = self.future.pop()?;
        let before = std::mem::replace(&mut self.now, step.job);
        self.past.push(Step { name: step.name.clone(), job: before });
        self.revision += 1;
        Some(step.name)
    }

    /// The name of the step that undo would take back.
    pub fn undo_name(&self) -> Option<&str> {
        self.past.last().map(|step| step.name.as_str())
    }

    /// The name of the step that redo would bring back.
    pub fn redo_name(&self) -> Option<&str> {
        self.future.last().map(|step| step.name.as_str())
    }

    /// Says where the photo lies beside the job's file, in every step alike: saving a job elsewhere is no step of the
    /// person's, and undo must not bring back a path that leads nowhere.
    pub fn photo_lies_at(&mut self, file: &str) {
        let steps = self.past.iter_mut().chain(&mut self.future).map(|step| &mut step.job);
        for job in steps.chain([&mut self.now]) {
            file.clone_into(&mut job.photo.file);
        }
    }

    fn step_to(&mut self, name: &str, after: Job) {
        let before = std::mem::replace(&mut self.now, after);
        self.past.push(Step { name: name.to_owned(), job: before });
        self.future.clear();
        self.revision += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::read;

    fn history() -> History {
        History::new(read(super::super::tests::EXAMPLE).unwrap())
    }

    fn title(history: &History) -> &str {
        &history.job().title
    }

    #[test]
    fn steps_go_back_and_forth_by_name() {
        let mut history = history();
        let first = title(&history).to_owned();
        history.apply("name it lid", Edit::Title("Lid".to_owned())).unwrap();
        history.apply("name it vat lid", Edit::Title("Vat lid".to_owned())).unwrap();
        assert_eq!(history.undo_name(), Some("name it vat lid"));
        assert_eq!(history.undo().as_deref(), Some("name it vat lid"));
        assert_eq!((title(&history), history.redo_name()), ("Lid", Some("name it vat lid")));
        history.undo();
        assert_eq!(title(&history), first, "back where it began");
        assert_eq!(history.undo(), None, "and no further");
        assert_eq!(history.redo().as_deref(), Some("name it lid"));
        history.apply("name it cover", Edit::Title("Cover".to_owned())).unwrap();
        assert_eq!(history.redo(), None, "a new step ends what was undone");
    }

    #[test]
    fn a_drag_is_one_step() {
        let mut history = history();
        let before = history.job().clone();
        for name in ["a", "b", "c"] {
            history.apply_in_hand("drag", Edit::Title(name.to_owned())).unwrap();
        }
        history.let_go();
        history.apply_in_hand("drag again", Edit::Title("d".to_owned())).unwrap();
        history.undo();
        assert_eq!(title(&history), "c", "the second drag is taken back whole");
        history.undo();
        assert_eq!(*history.job(), before, "and so is the first");
    }

    #[test]
    fn a_drag_that_is_dropped_is_no_step() {
        let mut history = history();
        history.apply("name it lid", Edit::Title("Lid".to_owned())).unwrap();
        history.apply("name it rim", Edit::Title("Rim".to_owned())).unwrap();
        history.undo();
        assert!(!history.drop_in_hand(), "nothing is in hand");
        let (before, revision) = (history.job().clone(), history.revision());
        for name in ["a", "b"] {
            history.apply_in_hand("drag", Edit::Title(name.to_owned())).unwrap();
        }
        assert!(history.drop_in_hand(), "the drag is dropped");
        assert_eq!((history.job(), history.undo_name()), (&before, Some("name it lid")));
        assert_eq!(history.redo_name(), Some("name it rim"), "what was undone before it can still be brought back");
        assert!(history.revision() > revision + 2, "what followed from the drag is out of date");
    }

    #[test]
    fn a_refused_step_is_no_step() {
        let mut history = history();
        let (revision, before) = (history.revision(), history.job().clone());
        let edits = [Edit::Title("x".to_owned()), Edit::Remove("nothing".into())];
        assert!(history.apply_all("two at once", edits).is_err(), "one of them cannot be");
        assert_eq!((history.revision(), history.job(), history.undo_name()), (revision, &before, None));
    }

    #[test]
    fn every_change_has_a_revision_of_its_own() {
        let mut history = history();
        let mut seen = vec![history.revision()];
        history.apply("a", Edit::Title("a".to_owned())).unwrap();
        seen.push(history.revision());
        history.undo();
        seen.push(history.revision());
        history.redo();
        seen.push(history.revision());
        assert!(seen.windows(2).all(|pair| pair[0] < pair[1]), "{seen:?}");
    }

    #[test]
    fn where_the_photo_lies_is_no_step() {
        let mut history = history();
        history.apply("a", Edit::Title("a".to_owned())).unwrap();
        history.photo_lies_at("photos/flange.jpg");
        history.undo();
        assert_eq!(history.job().photo.file, "photos/flange.jpg", "undo does not bring the old place back");
    }
}
