//! One of a list that opens under its box. By keyboard: Enter or Space opens it, the arrows go up and down in it, Enter
//! takes, Esc leaves, and the keyboard is back at the box.

use super::focus_ring;
use egui::{ComboBox, EventFilter, FocusDirection, Id, Key, Modifiers, Response, Ui};

/// How high a list grows before it scrolls, points; so high that those of eight sides do not.
const HEIGHT: f32 = 280.0;

/// A box with a list.
#[derive(Debug, Clone, Copy)]
pub struct DropDown<'a> {
    /// What it is a choice of: its accessible name, and what tells it from others beside it.
    pub name: &'a str,
    /// What stands in the box.
    pub shown: &'a str,
    /// Points.
    pub width: f32,
}

impl DropDown<'_> {
    /// Draws it over `choices` with their words; the newly chosen one, where another than `now` was chosen.
    pub fn show<T: PartialEq>(
        self,
        ui: &mut Ui,
        now: Option<&T>,
        choices: impl IntoIterator<Item = (T, String)>,
    ) -> (Response, Option<T>) {
        let mut taken = None;
        let combo = ComboBox::from_id_salt(self.name).width(self.width).height(HEIGHT).truncate();
        let shown = combo.selected_text(self.shown).show_ui(ui, |ui| {
            let mut items = Vec::new();
            for (choice, words) in choices {
                let is_now = now == Some(&choice);
                let item = ui.selectable_label(is_now, words);
                if item.clicked() {
                    taken = Some(choice);
                    ui.close();
                }
                items.push((item, is_now));
            }
            go_up_and_down(ui, &items);
        });
        let response = shown.response.accessible_name(self.name);
        focus_ring(ui, &response, response.rect);
        let is_open = shown.inner.is_some();
        give_back(ui, &response, is_open, taken.is_some());
        (response, taken.filter(|taken| now != Some(taken)))
    }
}

/// Gives the keyboard to the chosen item of a list that was just opened, and lets the arrows move it there.
fn go_up_and_down(ui: &Ui, items: &[(Response, bool)]) {
    let Some(focused) = items.iter().position(|(item, _)| item.has_focus()) else {
        let is_chosen = |(_, is_now): &&(Response, bool)| *is_now;
        if let Some((item, _)) = items.iter().find(is_chosen).or(items.first()) {
            item.request_focus();
            item.scroll_to_me(None);
        }
        return;
    };
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(items[focused].0.id, filter));
    let to = ui.input_mut(|input| {
        let down = input.count_and_consume_key(Modifiers::NONE, Key::ArrowDown);
        let up = input.count_and_consume_key(Modifiers::NONE, Key::ArrowUp);
        (focused + down).saturating_sub(up).min(items.len() - 1)
    });
    if to != focused {
        ui.memory_mut(|memory| memory.move_focus(FocusDirection::None));
        items[to].0.request_focus();
        items[to].0.scroll_to_me(None);
    }
}

/// Gives the keyboard back to the box of a list that was closed by a key.
fn give_back(ui: &Ui, response: &Response, is_open: bool, is_taken: bool) {
    let kept: Id = response.id.with("list-open");
    let was_open = ui.data(|data| data.get_temp::<bool>(kept)).unwrap_or(false);
    ui.data_mut(|data| data.insert_temp(kept, is_open && !is_taken));
    let by_key = ui.input(|input| input.key_pressed(Key::Escape) || input.key_pressed(Key::Enter));
    let by_key = by_key || ui.input(|input| input.key_pressed(Key::Space));
    let is_left = was_open && (is_taken || !is_open || ui.input(|input| input.key_pressed(Key::Escape)));
    if is_left && by_key {
        response.request_focus();
    }
}
