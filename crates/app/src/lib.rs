//! The Platewright workbench: a window, and the same work as commands without one.

pub mod files;
pub mod theme;
pub mod window;
