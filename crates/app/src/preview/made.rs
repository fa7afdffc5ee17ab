//! The pages of what is chosen to be written, made anew when what they follow from has changed.

use crate::exports::{Export, ReportPhotos, Source};
use crate::session::{Session, Standing};
use platewright_core::paper::Page;

/// The pages, and what they were made from.
#[derive(Debug, Default)]
pub(super) struct Made {
    from: Option<From>,
    pages: Option<Result<Vec<Page>, String>>,
    photos: ReportPhotos,
    /// How often pages were made: what was painted of other ones is painted anew.
    version: u64,
    /// Lengths of the check bars of a proof, and whether its sheets lie.
    pub(super) bars: Option<([f64; 2], bool)>,
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
    /// Makes the pages anew where what they follow from has changed; how often they were made.
    pub(super) fn refresh(&mut self, session: &Session) -> u64 {
        let from = From {
            export: session.screen.export(),
            revision: session.results.revision,
            standing: session.results.standing,
            proof: session.settings.proof.clone(),
        };
        if self.from.as_ref() != Some(&from) {
            self.pages = Some(from.export.pages(session, &mut self.photos));
            let tiles = Source::of(session).filter(|_| from.export == Export::Proof).and_then(|of| of.tiles());
            self.bars = tiles.map(|tiles| (tiles.bars_mm, tiles.is_lying()));
            self.version += 1;
            self.from = Some(from);
        }
        self.version
    }

    /// The pages, or why there are none.
    pub(super) fn pages(&self) -> Result<&[Page], &str> {
        match &self.pages {
            Some(Ok(pages)) => Ok(pages),
            Some(Err(why)) => Err(why),
            None => Err("There is nothing to show yet."),
        }
    }
}
