//! The part of the photo that stands on the report, kept while nothing of it changes: cutting it out of a large photo takes
//! longer than a frame.

use crate::commands::report::report_photo;
use crate::files::LoadedPhoto;
use platewright_core::job::Job;
use platewright_core::paper::{ReportPhoto, region_of_interest};

/// The photo of the report as it was cut out last.
#[derive(Debug, Default)]
pub struct ReportPhotos {
    held: Option<([u32; 4], ReportPhoto)>,
}

impl ReportPhotos {
    /// The part of `photo` that `job` is about. One keeper serves one photo.
    pub fn of(&mut self, photo: &LoadedPhoto, job: &Job) -> Option<ReportPhoto> {
        let region = region_of_interest(job);
        if let Some((_, held)) = self.held.as_ref().filter(|(of, _)| *of == region) {
            return Some(held.clone());
        }
        self.held = report_photo(photo, job).map(|seen| (region, seen));
        self.held.as_ref().map(|(_, seen)| seen.clone())
    }
}
