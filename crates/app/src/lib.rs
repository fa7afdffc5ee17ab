//! The Platewright workbench: a window, and the same work as commands without one.

mod adding;
pub mod canvas;
pub mod command;
pub mod commands;
pub mod controls;
mod draft;
pub mod exports;
pub mod files;
pub mod flatten;
pub mod guide;
pub mod measuring;
mod odds;
pub mod offers;
pub mod preview;
pub mod printing;
pub mod proposal;
pub mod session;
pub mod sheets;
pub mod theme;
pub mod window;
pub mod work;

pub use commands::run;
