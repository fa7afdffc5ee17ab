//! The pages of what is chosen to be written, made anew when what they follow from has changed.

use crate::exports::Export;
use crate::session::{Session, Standing};
use platewright_core::paper::Page;

/// The pages, and what they were made from.
#[derive(Debug, Default)]
pub(super) struct Made {
    from: Option<From>,
    pages: Option<Result<Vec<Page>, String>>,
}

/// What pages follow from.
#[derive(Debug, Clone, PartialEq)]
struct From {
    export: Export,
    revision: Option<u64>,
    standing: Standing,
    proof: crate::exports::ProofSettings,
}

impl Made {
    /// The pages, or why there are none.
    pub(super) fn pages(&mut self, session: &Session) -> Result<&[Page], &str> {
        let from = From {
            export: session.screen.export(),
            revision: session.results.revision,
            standing: session.results.standing,
            proof: session.settings.proof.clone(),
        };
        if self.from.as_ref() != Some(&from) {
            self.pages = Some(from.export.pages(session));
            self.from = Some(from);
        }
        match &self.pages {
            Some(Ok(pages)) => Ok(pages),
            Some(Err(why)) => Err(why),
            None => Err("There is nothing to show yet."),
        }
    }
}
