//! The inspection report: what is known of a part, how well, and the settings that say so again.
//!
//! One part of the report per file, all set by [`flow::Flow`], which breaks pages. There is no date on it: the same job
//! gives the same report.

mod checks;
mod flow;
mod head;
mod holes;
mod measures;
mod outline;
mod photo;
mod settings;
mod sign;
mod table;
mod trials;

pub use photo::{ReportPhoto, region_of_interest};

use super::{Lettering, Page, Paper};
use crate::check::Check;
use crate::job::Job;
use crate::solution::{Beliefs, Solution};
use flow::Flow;

/// What a report is made of.
#[derive(Debug, Clone)]
pub struct ReportSource<'a> {
    /// The job.
    pub job: &'a Job,
    /// What follows from it.
    pub solution: &'a Solution,
    /// What the checks say of it.
    pub checks: &'a [Check],
    /// How things stand, one sentence.
    pub headline: &'a str,
    /// The odds that it bolts up, in words; `None` where there are none.
    pub odds: Option<&'a str>,
    /// What was believed of the camera before anything was measured.
    pub beliefs: Beliefs,
    /// The photo, or a part of it.
    pub photo: Option<ReportPhoto>,
    /// Name and version of the program.
    pub program: &'a str,
}

impl ReportSource<'_> {
    /// The part's name, or what stands for it.
    fn title(&self) -> &str {
        if self.job.title.is_empty() { "This part" } else { &self.job.title }
    }

    /// Lengths can be told.
    fn scale_known(&self) -> bool {
        self.solution.fit.scale_known()
    }
}

/// The pages of the inspection report.
pub fn report_pages(source: &ReportSource<'_>, paper: Paper, lettering: &dyn Lettering) -> Vec<Page> {
    let mut flow = Flow::new(paper, lettering);
    head::set(source, &mut flow);
    photo::set(source, &mut flow);
    measures::set(source, &mut flow);
    holes::set(source, &mut flow);
    outline::set(source, &mut flow);
    checks::set(source, &mut flow);
    trials::set(source, &mut flow);
    settings::set(source, paper, &mut flow);
    flow.finish(&format!("Inspection report, {}", source.title()))
}

#[cfg(test)]
mod tests;
