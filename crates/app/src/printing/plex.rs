//! IBM Plex Sans as pages are set in it.

use crate::theme;
use platewright_core::paper::{Lettering, Weight};
use ttf_parser::Face;

/// The two weights of IBM Plex Sans that pages are set in, read from the program itself.
pub struct Plex {
    regular: Face<'static>,
    semi_bold: Face<'static>,
}

impl std::fmt::Debug for Plex {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Plex")
    }
}

impl Plex {
    /// Reads the typeface.
    ///
    /// # Errors
    /// Where the program's own font files are damaged.
    pub fn new() -> Result<Self, ttf_parser::FaceParsingError> {
        let face = |weight| Face::parse(Self::bytes(weight), 0);
        Ok(Self { regular: face(Weight::Regular)?, semi_bold: face(Weight::SemiBold)? })
    }

    /// The font file of a weight.
    pub(super) fn bytes(weight: Weight) -> &'static [u8] {
        match weight {
            Weight::Regular => theme::Weight::Regular,
            Weight::SemiBold => theme::Weight::SemiBold,
        }
        .bytes()
    }

    const fn face(&self, weight: Weight) -> &Face<'static> {
        match weight {
            Weight::Regular => &self.regular,
            Weight::SemiBold => &self.semi_bold,
        }
    }

    /// The number of a character's glyph, and how far it moves the next one on, in sizes of the type.
    pub(super) fn glyph(&self, character: char, weight: Weight) -> Option<(u16, f64)> {
        let face = self.face(weight);
        let glyph = face.glyph_index(character)?;
        let advance = face.glyph_hor_advance(glyph)?;
        Some((glyph.0, f64::from(advance) / f64::from(face.units_per_em())))
    }
}

impl Lettering for Plex {
    fn advance(&self, character: char, weight: Weight) -> Option<f64> {
        self.glyph(character, weight).map(|(_, advance)| advance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::paper::legible;

    #[test]
    fn figures_and_their_signs_are_equally_wide() {
        let plex = Plex::new().unwrap();
        for weight in [Weight::Regular, Weight::SemiBold] {
            for c in "0123456789+−±×\u{2007}".chars() {
                assert_eq!(plex.advance(c, weight), Some(0.6), "{c} in {weight:?}");
            }
            assert_eq!(plex.advance('\u{2300}', weight), None, "no diameter sign");
        }
        assert_eq!(legible("Käse \u{2300} 牛", &plex), "Käse dia.  <U+725B>", "what it lacks is said with what it has");
    }
}
