//! The controls that every panel is built from. Each has an accessible name, a target of 24 points or more, and a ring
//! when it is reached by keyboard.

mod bar;
mod button;
mod check_box;
mod drop_down;
mod field;
mod head;
pub mod icons;
mod link;
mod radio;
mod switch;
mod text;

pub use bar::{AllowanceBar, BarState};
pub use button::{Button, key_cap};
pub use check_box::check_box;
pub use drop_down::DropDown;
pub use field::{Field, Reading, is_typed_in, left_by_escape, read_value, typed_value};
pub use head::Head;
pub use icons::Icon;
pub use link::link;
pub use radio::radio_row;
pub use switch::switch;
pub use text::{columns_text, mixed, say, say_in};

use crate::theme;
use egui::{Rect, Response, Stroke, StrokeKind, Ui};

/// The ring round what the keyboard has reached.
pub(crate) fn focus_ring(ui: &Ui, response: &Response, rect: Rect) {
    if response.has_focus() {
        let stroke = Stroke::new(2.0, theme::colours(ui).blue);
        ui.painter().rect_stroke(rect.expand(2.0), 4.0, stroke, StrokeKind::Outside);
    }
}
