//! App.
