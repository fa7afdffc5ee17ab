//! Fields to type in, with their unit inside.

use crate::theme::{self, Lettering};
use egui::text::CCursorRange;
use egui::text_edit::TextEditState;
use egui::{
    Align2, Context, Event, Frame, Id, Key, Margin, Modifiers, Rect, Response, Stroke, StrokeKind, TextEdit, Ui, pos2,
    vec2,
};

/// A field to type in.
#[derive(Debug, Clone, Copy)]
pub struct Field<'a> {
    /// Its accessible name.
    pub name: &'a str,
    /// What figures are in, `mm`; may be empty.
    pub unit: &'a str,
    /// What is shown while it is empty.
    pub hint: &'a str,
    /// Points.
    pub width: f32,
}

impl Field<'_> {
    /// Draws it with `text` under the identity `id`.
    pub fn show(&self, ui: &mut Ui, id: Id, text: &mut String) -> Response {
        let colours = theme::colours(ui);
        let (_, rect) = ui.allocate_space(vec2(self.width, theme::CONTROL_HEIGHT));
        let typing = ui.memory(|memory| memory.has_focus(id));
        ui.painter().rect_filled(rect, 2.0, colours.sheet);
        let unit = ui.painter().layout_no_wrap(self.unit.to_owned(), Lettering::Small.font(), colours.soft);
        let unit_room = if self.unit.is_empty() { 8.0 } else { unit.size().x + 12.0 };
        let inside = Rect::from_min_max(rect.min + vec2(8.0, 1.0), pos2(rect.right() - unit_room, rect.bottom() - 1.0));
        let hint = egui::RichText::new(self.hint).color(colours.soft);
        if is_reached_by_key(ui, id) {
            select_all(ui, id, text);
        }
        let edit = TextEdit::singleline(text)
            .id(id)
            .frame(Frame::NONE)
            .margin(Margin::ZERO)
            .font(Lettering::Strong.font())
            .text_color(colours.ink)
            .hint_text(hint)
            .desired_width(inside.width())
            .min_size(inside.size())
            .align(Align2::LEFT_CENTER);
        let response = ui.place(inside, edit);
        if response.has_focus() {
            ui.data_mut(|data| data.insert_temp(last_typed_in(), id));
        }
        let unit_at = pos2(rect.right() - 7.0, rect.center().y);
        ui.painter().text(unit_at, Align2::RIGHT_CENTER, self.unit, Lettering::Small.font(), colours.soft);
        let stroke = if typing { Stroke::new(2.0, colours.blue) } else { Stroke::new(1.0, colours.ink) };
        ui.painter().rect_stroke(rect, 2.0, stroke, StrokeKind::Inside);
        response.accessible_name(self.name)
    }
}

/// The keyboard came to the field since the last frame, by Tab or because the program gave it. A pointer that is pressed
/// says itself where the typing goes on.
fn is_reached_by_key(ui: &Ui, id: Id) -> bool {
    let has_focus = ui.memory(|memory| memory.has_focus(id));
    let (pass, kept) = (ui.ctx().cumulative_pass_nr(), id.with("had-keyboard-in"));
    let before = ui.data(|data| data.get_temp::<u64>(kept));
    if !has_focus {
        return false;
    }
    ui.data_mut(|data| data.insert_temp(kept, pass));
    let by_pointer = ui.input(|input| input.pointer.any_down() || input.pointer.any_released());
    before.is_none_or(|before| before + 1 < pass) && !by_pointer
}

/// Selects all of a field's text, so that typing replaces it.
fn select_all(ui: &Ui, id: Id, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::select_all_str(text)));
    state.store(ui.ctx(), id);
}

/// Where it is kept which field was typed in last.
fn last_typed_in() -> Id {
    Id::unique("typed-in-last")
}

/// A field is being typed in, or was until this very key: Esc takes the keyboard from it before anybody sees the key.
pub fn is_typed_in(ctx: &Context) -> bool {
    let last = ctx.data(|data| data.get_temp::<Id>(last_typed_in()));
    ctx.text_edit_focused() || last.is_some_and(|id| ctx.memory(|memory| memory.had_focus_last_frame(id)))
}

/// The field was left with Esc in this frame.
pub fn left_by_escape(ui: &Ui, id: Id) -> bool {
    let was_left = ui.memory(|memory| memory.had_focus_last_frame(id) && !memory.has_focus(id));
    was_left && was_pressed(ui, Key::Escape)
}

/// The key came in this frame, whoever has taken it since.
fn was_pressed(ui: &Ui, wanted: Key) -> bool {
    let is_wanted = |event: &Event| matches!(event, Event::Key { key, pressed: true, .. } if *key == wanted);
    ui.input(|input| input.raw.events.iter().any(is_wanted))
}

/// A field that holds `value` and hands back what was typed instead, once the person leaves it or presses Enter. Esc
/// leaves it as it was.
pub fn typed_value(ui: &mut Ui, id: Id, field: &Field<'_>, value: &str) -> Option<String> {
    let typing = ui.memory(|memory| memory.has_focus(id));
    let kept = ui.data(|data| data.get_temp::<String>(id));
    let mut text = kept.filter(|_| typing).unwrap_or_else(|| value.to_owned());
    let left_by_escape = left_by_escape(ui, id);
    if left_by_escape {
        value.clone_into(&mut text);
    }
    let response = field.show(ui, id, &mut text);
    if response.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, text));
        return None;
    }
    if response.lost_focus() {
        // The Enter that ends the typing is not also the main button's.
        ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter));
    }
    let done = response.lost_focus() && !left_by_escape && text.trim() != value;
    ui.data_mut(|data| data.remove::<String>(id));
    done.then(|| text.trim().to_owned())
}

/// What became of a field that is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading<T> {
    /// What was typed, once the person left the field and it could be read.
    pub value: Option<T>,
    /// Why what stands in the field cannot be read, as a sentence; it belongs beside the field.
    pub problem: Option<String>,
}

/// What was typed and could not be read: it stays in its field.
#[derive(Debug, Clone)]
struct Refused {
    text: String,
    problem: String,
}

/// A field that holds `value` and hands back what `read` makes of what was typed instead. What cannot be read stays in
/// the field with the sentence that says why, until it is put right or Esc leaves it; where Enter ended it the field keeps
/// the keyboard, so that no digit of what is typed instead is taken for a command.
pub fn read_value<T>(
    ui: &mut Ui,
    id: Id,
    field: &Field<'_>,
    value: &str,
    read: impl FnOnce(&str) -> Result<T, String>,
) -> Reading<T> {
    let refused_id = id.with("refused");
    if left_by_escape(ui, id) {
        ui.data_mut(|data| data.remove::<Refused>(refused_id));
    }
    let refused = ui.data(|data| data.get_temp::<Refused>(refused_id));
    let shown = refused.as_ref().map_or(value, |refused| &refused.text);
    let Some(typed) = typed_value(ui, id, field, shown) else {
        return Reading { value: None, problem: refused.map(|refused| refused.problem) };
    };
    ui.data_mut(|data| data.remove::<Refused>(refused_id));
    if typed == value {
        return Reading { value: None, problem: None };
    }
    match read(&typed) {
        Ok(value) => Reading { value: Some(value), problem: None },
        Err(problem) => {
            if was_pressed(ui, Key::Enter) {
                ui.memory_mut(|memory| memory.request_focus(id));
            }
            ui.data_mut(|data| data.insert_temp(refused_id, Refused { text: typed, problem: problem.clone() }));
            Reading { value: None, problem: Some(problem) }
        }
    }
}
