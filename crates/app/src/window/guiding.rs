//! Beginning the guide and leaving it.

use super::Workbench;
use crate::files;
use crate::guide::Guide;

impl Workbench {
    /// Begins the guide on the demo's photo, or leaves it where it is under way.
    pub(super) fn begin_or_leave_guide(&mut self) {
        if self.guide.take_if(|guide| guide.is_of(&self.session)).is_some() {
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
