//! Beginning the guide and leaving it.

use super::Workbench;
use crate::files;
use crate::guide::Guide;

impl Workbench {
    /// Begins the guide on the demo's photo, or leaves it where it is under way. It takes the place of no other job.
    pub(super) fn begin_or_leave_guide(&mut self) {
        if self.guide.take_if(|guide| guide.is_of(&self.session)).is_some() {
            return;
        }
        if self.session.document.is_some() {
            let words = "The guide begins in an empty window: start Platewright anew to go through it.";
            self.session.screen.said = Some(words.to_owned());
            return;
        }
        match files::practice() {
            Ok((photo, practice)) => {
                self.guide = Some(Guide::new(photo.clone(), practice));
                self.open(photo);
            }
            Err(error) => self.session.screen.error = Some(error.to_string()),
        }
    }
}
