//! Unsaved work that was left, on the start sheet, and when it was kept.

use crate::command::Command;
use crate::controls::{Button, Head, say, say_in};
use crate::files::opening::Opening;
use crate::files::recovery::Leftover;
use crate::session::Session;
use crate::theme::{self, Lettering};
use chrono::{DateTime, Datelike as _, Local, TimeDelta};
use egui::Ui;
use std::time::SystemTime;

/// The work that was left, each with its two ways out.
pub(super) fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if session.left.is_empty() {
        return;
    }
    Head::new("Unsaved work").first().show(ui);
    for (index, leftover) in session.left.iter().enumerate() {
        entry(ui, leftover, index == 0, commands);
    }
    ui.add_space(theme::HEAD_GAP);
}

fn entry(ui: &mut Ui, leftover: &Leftover, is_main: bool, commands: &mut Vec<Command>) {
    let when = of_when(leftover.kept);
    let title = &leftover.title;
    say(ui, Lettering::Strong, &format!("{title}, unsaved work {when}"));
    let place = match &leftover.path {
        Some(path) => path.display().to_string(),
        None => "Never saved".to_owned(),
    };
    say_in(ui, Lettering::Small, theme::colours(ui).soft, &place);
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = theme::BUTTON_GAP;
        let words = "Go on with it";
        let go_on = if is_main { Button::main(words) } else { Button::rest(words) };
        let go_on = go_on.name(format!("Go on with {title}, {when}"));
        if go_on.show(ui).clicked() {
            commands.push(Command::OpenAs(Box::new(Opening::left(leftover.clone()))));
        }
        // There is no way back: it takes a second press.
        let asked = ui.make_persistent_id(("throw away", title, &when));
        let is_asked = ui.data(|data| data.get_temp::<bool>(asked)).unwrap_or(false);
        let (words, name) = if is_asked {
            ("Throw it away for good", format!("Throw away {title} for good"))
        } else {
            ("Throw it away", format!("Throw away {title}, {when}"))
        };
        if Button::quiet(words).name(name).show(ui).clicked() {
            ui.data_mut(|data| data.insert_temp(asked, !is_asked));
            commands.extend(is_asked.then(|| Command::ThrowAway(Box::new(leftover.clone()))));
        }
    });
    ui.add_space(4.0);
}

/// When it was kept, by the person's own clock: `of 14:32 today`.
pub(super) fn of_when(kept: SystemTime) -> String {
    when_words(&DateTime::from(kept), &Local::now())
}

fn when_words(kept: &DateTime<Local>, now: &DateTime<Local>) -> String {
    let (day, today) = (kept.date_naive(), now.date_naive());
    let time = kept.format("%H:%M");
    match (today - day).num_days() {
        0 => format!("of {time} today"),
        1 => format!("of {time} yesterday"),
        // A clock that was wrong then or is wrong now gives a day to come: the whole date says most.
        2.. if day.year() == today.year() || today - day < TimeDelta::days(180) => {
            format!("of {time} on {}", kept.format("%-d %B"))
        }
        _ => format!("of {time} on {}", kept.format("%-d %B %Y")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone as _;

    #[test]
    fn when_it_was_kept_is_said_shortly_and_never_wrongly() {
        let at = |year, month, day, hour, minute| Local.with_ymd_and_hms(year, month, day, hour, minute, 0).unwrap();
        let now = at(2026, 1, 15, 16, 0);
        for (kept, words) in [
            (at(2026, 1, 15, 14, 32), "of 14:32 today"),
            (at(2026, 1, 14, 23, 59), "of 23:59 yesterday"),
            (at(2026, 1, 3, 8, 5), "of 08:05 on 3 January"),
            (at(2025, 12, 30, 8, 5), "of 08:05 on 30 December"),
            (at(2024, 12, 30, 8, 5), "of 08:05 on 30 December 2024"),
            (at(2031, 3, 1, 8, 5), "of 08:05 on 1 March 2031"),
            (at(1970, 1, 2, 8, 5), "of 08:05 on 2 January 1970"),
        ] {
            assert_eq!(when_words(&kept, &now), words);
        }
    }
}
