//! How the workbench looks.

use serde::{Deserialize, Serialize};

/// Which of the two themes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Theme {
    /// Light.
    #[default]
    Paper,
    /// Dark.
    NightShift,
}
