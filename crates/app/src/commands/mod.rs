//! The same work without a window.
pub mod cut;
