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
    /// The list of keys is shown.
    Keys,
}
