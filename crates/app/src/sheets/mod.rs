//! The panels round the photo: title, status, route card, fit sheet, start, questions. They read the session and send
//! commands; they compute nothing.

mod figure_field;
mod figures;
mod fit_sheet;
mod guide_strip;
mod left_work;
mod next_act;
mod photo_plan;
mod pictograms;
mod places;
mod questions;
mod route_card;
#[cfg(test)]
pub(crate) mod samples;
mod sign_off;
mod stamp;
mod standing;
mod start_guide;
mod start_sheet;
mod status_line;
mod terms;
#[cfg(test)]
mod tests;
mod title_bar;
mod tone;
mod verdict;

pub use fit_sheet::{fit_sheet, fit_sheet_place};
pub use guide_strip::guide_strip;
pub(crate) use places::show as show_place;
pub use questions::questions;
pub use route_card::route_card;
pub use start_guide::start_guide;
pub(crate) use status_line::measuring_words;
pub use status_line::status_line;
pub(crate) use terms::OFF;
pub use title_bar::title_bar;
