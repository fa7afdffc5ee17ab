//! What is asked over the window.

use crate::exports::Export;

/// What is asked over the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asking {
    /// Where to save the job.
    WhereToSave,
    /// Where to write a file for others.
    WhereToWrite {
        /// What.
        export: Export,
        /// Although a check fails.
        even_so: bool,
    },
    /// A photo or a job to open.
    WhatToOpen,
    /// Whether to save before closing.
    SaveBeforeClosing,
    /// Whether to save before something else is opened.
    SaveBeforeOpening,
    /// Whether what is on the bench is saved over what another has written to its file.
    FileChanged,
    /// What is to be settled before a job is opened.
    Held,
    /// Where the photo of a job is.
    WhereIsPhoto,
    /// The list of keys is shown.
    Keys,
}

impl Asking {
    /// It asks for a path.
    pub fn is_of_path(self) -> bool {
        matches!(self, Self::WhereToSave | Self::WhereToWrite { .. } | Self::WhatToOpen)
    }
}
