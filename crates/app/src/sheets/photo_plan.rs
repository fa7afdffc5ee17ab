//! How to take a photo of this part: two figures in, the stand-off and what to expect of it out, while they are typed.

use super::figures::Lengths;
use crate::controls::{Field, Head, say, say_in};
use crate::session::{PlanTyped, Session};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::advice::{Expected, Plan, USUAL_PHONE, before};
use platewright_core::job::capital;
use platewright_core::units::parse_offset_mm;

/// Width of a field, points.
const FIELD: f32 = 120.0;
/// What a camera that is held square by eye may be tilted by, degrees: as it is believed of photos.
const TILT_DEG: f64 = 5.0;
/// The longest part that is asked about, mm: beyond it nobody stands far enough off.
const LONGEST_MM: f64 = 2000.0;
/// The most that is asked about lying off the face, mm.
const MOST_OFF_MM: f64 = 50.0;

/// Nobody holds a phone further off than this, mm; common practice, no source.
const FARTHEST_MM: f64 = 4000.0;
/// A phone's lens zooms no more than this; common practice, no source.
const MOST_ZOOM: f64 = 12.0;

/// The block.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    let lengths = Lengths::of(session);
    let typed = &mut session.screen.photo_advice.plan;
    Head::new("How far off?").note("by the photo alone, 95 %").show(ui);
    ui.horizontal_wrapped(|ui| {
        field(ui, "Longest side of the part", &mut typed.longest);
        ui.add_space(theme::HEAD_GAP);
        field(ui, "Height off the face", &mut typed.off);
    });
    match expected(typed, lengths) {
        Ok(expected) => {
            let [act, result] = sentences(&expected, lengths);
            say(ui, Lettering::Strong, &act);
            say(ui, Lettering::Body, &result);
        }
        Err(problem) => {
            say_in(ui, Lettering::Body, theme::colours(ui).disagree_text, &problem);
        }
    }
    let words = "For a phone's main camera of 26 mm, as of 35 mm film. Burrs and worn edges lie half a mm off the face as a rule; \
                 what you measure on another level lies as far off as that.";
    say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
}

fn field(ui: &mut Ui, name: &str, text: &mut String) {
    say_in(ui, Lettering::Body, theme::colours(ui).soft, name);
    let id = ui.make_persistent_id(name);
    Field { name, unit: "", hint: "", width: FIELD }.show(ui, id, text);
}

/// A length as it is typed, from `least` to `most` mm, or why it is none.
fn length(name: &str, text: &str, lengths: Lengths, [least, most]: [f64; 2]) -> Result<f64, String> {
    let mm = parse_offset_mm(text, lengths.typed())
        .map_err(|problem| format!("{name}: {}.", capital(&problem.to_string())))?;
    if (least..=most).contains(&mm) {
        return Ok(mm);
    }
    let [least, most] = [least, most].map(|mm| lengths.with_unit(mm));
    Err(format!("{name}: it has to be from {least} to {most}."))
}

/// What to expect by what is typed, or a sentence that says what is wrong with it.
fn expected(typed: &PlanTyped, lengths: Lengths) -> Result<Expected, String> {
    let longest_mm = length("Longest side", &typed.longest, lengths, [1.0, LONGEST_MM])?;
    let off_mm = length("Height off the face", &typed.off, lengths, [0.0, MOST_OFF_MM])?;
    let plan = Plan { longest_mm, off_mm, camera: USUAL_PHONE, tilt_deg: TILT_DEG };
    let expected = before(&plan).ok_or_else(|| "No photo shows such a part.".to_owned())?;
    if expected.stand_off_mm > FARTHEST_MM || expected.zoom > MOST_ZOOM {
        return Err(
            "What lies so far off the face is not measured in the same photo: bring it level with the face, or \
                    leave it out."
                .to_owned(),
        );
    }
    Ok(expected)
}

/// What to do, and what comes of it.
fn sentences(expected: &Expected, lengths: Lengths) -> [String; 2] {
    let Expected { stand_off_mm, px_per_mm, fill, zoom, plus_minus_mm, tilted_mm, zoomed_mm } = *expected;
    let off = if lengths == Lengths::MM { format!("{stand_off_mm:.0} mm") } else { lengths.with_unit(stand_off_mm) };
    let [plain, tilted, zoomed] = [plus_minus_mm, tilted_mm, zoomed_mm].map(|mm| lengths.plus_minus_with_unit(mm));
    let filled = 100.0 * fill;
    if zoom < ZOOM_SAID {
        let act = format!("Hold the phone {off} above the part: it then fills {filled:.0} % of the picture's length.");
        let result = format!(
            "There are {px_per_mm:.1} px to the mm, and a hole is good to {plain}; tilted by {TILT_DEG:.0}°, to {tilted}."
        );
        return [act, result];
    }
    let act = format!(
        "Hold the phone {off} above the part and zoom in {zoom:.1} times with the lens: it then fills {:.0} % of the \
         picture's length.",
        filled * zoom
    );
    let result = format!(
        "There are {:.1} px to the mm, and a hole is good to {zoomed}. Without zoom it is {px_per_mm:.1} px to the mm and \
         {plain}; tilted by {TILT_DEG:.0}° as well, {tilted}.",
        px_per_mm * zoom
    );
    [act, result]
}

/// A smaller zoom is not worth the word.
const ZOOM_SAID: f64 = 1.15;

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(longest: &str, off: &str) -> PlanTyped {
        PlanTyped { longest: longest.to_owned(), off: off.to_owned() }
    }

    #[test]
    fn what_is_typed_is_a_part_or_a_sentence_says_why_not() {
        let mm = |longest, off| expected(&typed(longest, off), Lengths::MM);
        assert!(mm("200", "0.5").is_ok() && mm("8 in", "1/64 in").is_ok() && mm("200 mm", "0").is_ok(), "parts");
        for (longest, off, part) in [
            ("", "0.5", "Longest side: "),
            ("two hands", "0.5", "Longest side: "),
            ("0", "0.5", "Longest side: it has to be from 1.00 mm to 2000.00 mm."),
            ("200", "-1", "Height off the face: it has to be from 0.00 mm to 50.00 mm."),
            ("200", "thick", "Height off the face: "),
            ("150", "30", "What lies so far off the face"),
            ("5", "0.3", "What lies so far off the face"),
        ] {
            let problem = mm(longest, off).unwrap_err();
            assert!(problem.starts_with(part) && problem.ends_with('.'), "{problem}");
        }
    }

    #[test]
    fn zoom_is_spoken_of_where_the_part_is_small_in_the_picture() {
        let words = |longest, off| sentences(&expected(&typed(longest, off), Lengths::MM).unwrap(), Lengths::MM);
        let [act, result] = words("200", "0.5");
        // 784 mm by the core's own formula with the phone's 3004 px, in steps of ten.
        assert!(act.starts_with("Hold the phone 790 mm above the part and zoom in 3.2 times"), "{act}");
        assert!(result.contains("good to ±0.07 mm") && result.contains("±0.13 mm"), "{result}");
        let [act, result] = words("200", "0");
        assert!(!act.contains("zoom") && act.contains("58 %"), "{act}");
        assert!(result.starts_with("There are 11.6 px to the mm"), "{result}");
    }
}
