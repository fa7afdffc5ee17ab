//! The colours by their role.

use egui::Color32;
use platewright_core::paper::Ink;

/// The colours of one theme, by role.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Colours {
    /// Ground of window, cards and flags.
    pub paper: Color32,
    /// Open operation, fields, buttons.
    pub sheet: Color32,
    /// Behind the photo; hover fill of quiet controls.
    pub tray: Color32,
    /// Text and frame lines.
    pub ink: Color32,
    /// Second text, units, disabled text.
    pub soft: Color32,
    /// Edge of quiet controls, empty sign-off box, dashed card lines.
    pub line: Color32,
    /// Hairlines that carry no meaning.
    pub rule: Color32,
    /// Graphics: open-card bar, magnifier ring, levers, chosen piece.
    pub brass: Color32,
    /// Operation numbers.
    pub brass_text: Color32,
    /// What can be done now: main button, link, focus ring, field being typed in.
    pub blue: Color32,
    /// Text on the main button.
    pub on_blue: Color32,
    /// The main button under the pointer.
    pub blue_hover: Color32,
    /// The main button pressed.
    pub blue_pressed: Color32,
    /// Agrees: bars and ticks.
    pub agree: Color32,
    /// Agrees, as text.
    pub agree_text: Color32,
    /// Disagrees: bars and marks.
    pub disagree: Color32,
    /// Disagrees, as text.
    pub disagree_text: Color32,
    /// Not yet known: graphics.
    pub unknown: Color32,
    /// Not yet known, as text.
    pub unknown_text: Color32,
    /// Warnings that do not stop anyone.
    pub caution: Color32,
    /// Ground of flags on the photo.
    pub flag: Color32,
    /// Text of flags on the photo.
    pub flag_ink: Color32,
}

impl Colours {
    /// The colour of what is drawn on a page.
    pub const fn of_ink(&self, ink: Ink) -> Color32 {
        match ink {
            Ink::Cut => self.ink,
            Ink::Soft => self.soft,
            Ink::Rule => self.rule,
            Ink::Brass => self.brass,
            Ink::Mark => self.blue,
            Ink::Agree => self.agree_text,
            Ink::Disagree => self.disagree_text,
            Ink::Caution => self.caution,
            Ink::Unknown => self.unknown_text,
            Ink::Paper => self.sheet,
            Ink::Light => on_photo::LIGHT,
            Ink::Casing => on_photo::CASING,
        }
    }
}

const fn hex(rgb: u32) -> Color32 {
    Color32::from_rgb((rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8)
}

/// The light theme.
pub(super) const PAPER: Colours = Colours {
    paper: hex(0x00F5_F1E8),
    sheet: hex(0x00FF_FDF6),
    tray: hex(0x00E8_E1D2),
    ink: hex(0x0020_282D),
    soft: hex(0x0056_5E60),
    line: hex(0x008A_8578),
    rule: hex(0x00CF_C6B4),
    brass: hex(0x00A8_752A),
    brass_text: hex(0x0085_591A),
    blue: hex(0x001F_3F73),
    on_blue: hex(0x00F5_F1E8),
    blue_hover: hex(0x002A_4E8A),
    blue_pressed: hex(0x0016_305A),
    agree: hex(0x003F_7350),
    agree_text: hex(0x0035_6645),
    disagree: hex(0x00B2_432F),
    disagree_text: hex(0x00A6_3A27),
    unknown: hex(0x007A_6A8A),
    unknown_text: hex(0x006C_5C7D),
    caution: hex(0x008A_5A00),
    flag: hex(0x00F5_F1E8),
    flag_ink: hex(0x0020_282D),
};

/// The dark theme.
pub(super) const NIGHT_SHIFT: Colours = Colours {
    paper: hex(0x0016_1C20),
    sheet: hex(0x0020_282D),
    tray: hex(0x000F_1417),
    ink: hex(0x00EC_E7DB),
    soft: hex(0x00AE_B6B5),
    line: hex(0x0075_828A),
    rule: hex(0x003A_464D),
    brass: hex(0x00D6_A24C),
    brass_text: hex(0x00D6_A24C),
    blue: hex(0x009C_BBEA),
    on_blue: hex(0x0016_1C20),
    blue_hover: hex(0x00B4_CDF0),
    blue_pressed: hex(0x007F_A6E0),
    agree: hex(0x0086_C39B),
    agree_text: hex(0x0086_C39B),
    disagree: hex(0x00F2_937D),
    disagree_text: hex(0x00F2_937D),
    unknown: hex(0x00BC_A9D0),
    unknown_text: hex(0x00BC_A9D0),
    caution: hex(0x00E6_C06A),
    flag: hex(0x0020_282D),
    flag_ink: hex(0x00EC_E7DB),
};

/// Over the window while something is asked: black at 38 %, premultiplied.
pub const VEIL: Color32 = Color32::from_rgba_premultiplied(0, 0, 0, 96);

/// The colour of a photo's own pixel, unchanged.
pub fn of_pixel([r, g, b]: [u8; 3]) -> Color32 {
    Color32::from_rgb(r, g, b)
}

/// What is drawn on the photo, the same in both themes; every line over [`on_photo::CASING`].
pub mod on_photo {
    use super::{Color32, hex};

    /// Rims, outlines, dimensions.
    pub const LIGHT: Color32 = hex(0x00FF_FDF6);
    /// Picks, dots, the ellipses.
    pub const BRASS_LIGHT: Color32 = hex(0x00F3_D9A0);
    /// Solid bars: levers, the chosen piece.
    pub const BRASS: Color32 = hex(0x00D9_A550);
    /// What disagrees.
    pub const DISAGREE: Color32 = hex(0x00F2_937D);
    /// What is not known yet.
    pub const UNKNOWN: Color32 = hex(0x00D3_C2E6);
    /// Under every line: 14191C at 80 %, premultiplied.
    pub const CASING: Color32 = Color32::from_rgba_premultiplied(0x10, 0x14, 0x16, 0xCC);
    /// The lines between the bands of the heat map, and their values.
    pub const HEAT_LINE: Color32 = hex(0x002B_1C40);
    /// Round those values and under those lines.
    pub const HEAT_HALO: Color32 = hex(0x00F5_F1E8);

    /// Under the samples of the legend: bare metal as a photo shows it.
    pub const METAL: Color32 = hex(0x00DE_DCD6);

    /// So many layers of 4A3466 at 17 % each: what is known less is darker.
    pub fn heat(layers: usize) -> Color32 {
        let covered = 1.0 - 0.83_f32.powf(layers as f32);
        Color32::from_rgba_unmultiplied(0x4A, 0x34, 0x66, (255.0 * covered).round() as u8)
    }

    /// The hatch of a closed outline: light at 25 %, premultiplied.
    pub const HATCH: Color32 = Color32::from_rgba_premultiplied(0x40, 0x3F, 0x3D, 0x40);
    /// Under the hatch: 14191C at 16 %, premultiplied.
    pub const HATCH_CASING: Color32 = Color32::from_rgba_premultiplied(0x03, 0x04, 0x04, 0x29);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance by WCAG 2.x (W3C Recommendation, definition of relative luminance).
    fn luminance(colour: Color32) -> f64 {
        let channel = |code: u8| {
            let c = f64::from(code) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    }

    /// Contrast ratio by WCAG 2.x.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_has_4_5_and_graphics_3_on_both_grounds() {
        for c in [&PAPER, &NIGHT_SHIFT] {
            for ground in [c.paper, c.sheet] {
                for text in
                    [c.ink, c.soft, c.brass_text, c.blue, c.agree_text, c.disagree_text, c.unknown_text, c.caution]
                {
                    assert!(contrast(text, ground) >= 4.5, "{text:?} on {ground:?}: {}", contrast(text, ground));
                }
                for graphic in [c.line, c.brass, c.agree, c.disagree, c.unknown] {
                    assert!(contrast(graphic, ground) >= 3.0, "{graphic:?} on {ground:?}");
                }
            }
            for fill in [c.blue, c.blue_hover, c.blue_pressed] {
                assert!(contrast(c.on_blue, fill) >= 4.5, "main button {fill:?}");
            }
            assert!(contrast(c.flag_ink, c.flag) >= 4.5, "flags");
        }
    }

    #[test]
    fn lines_on_the_photo_stand_out_from_their_casing_over_white() {
        let casing_over_white = hex(0x0043_4749);
        for line in [on_photo::LIGHT, on_photo::BRASS_LIGHT, on_photo::BRASS, on_photo::DISAGREE, on_photo::UNKNOWN] {
            assert!(contrast(line, casing_over_white) >= 3.0, "{line:?}");
        }
    }
}
