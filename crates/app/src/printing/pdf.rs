//! Pages as a PDF: exact sizes, subsets of the typeface in the file, and the same bytes each time.

use super::Plex;
use crate::theme::Theme;
use image::codecs::jpeg::JpegEncoder;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use platewright_core::geom::{Bounds, Contour, Segment};
use platewright_core::paper::{Align, Ink, Item, Page, Pen, Picture, Turned, Weight, Words, width_mm};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_core::units::MM_PER_INCH;

/// Points in a millimetre: 72 in an inch (ISO 32000-1, 8.3.2.3).
const PT_PER_MM: f64 = 72.0 / MM_PER_INCH;

/// How finely pictures are coded, of 100.
const JPEG_QUALITY: u8 = 88;

/// Why pages did not become a PDF.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NotPrinted {
    /// The program's own typeface is damaged.
    #[error("the program's own typeface cannot be read: {0}")]
    Typeface(String),
    /// A page has no size, or one that is no number.
    #[error("page {0} has no size")]
    NoSize(usize),
    /// The library that codes pictures failed.
    #[error("a picture could not be put in: {0}")]
    Picture(String),
    /// The library that writes the format failed.
    #[error("the PDF could not be put together: {0}")]
    NotPutTogether(String),
}

/// The bytes of a PDF of `pages`, with `title` as its own.
///
/// # Errors
/// Where a page has no size, or a library fails.
pub fn pdf(title: &str, pages: &[Page]) -> Result<Vec<u8>, NotPrinted> {
    let plex = Plex::new().map_err(|error| NotPrinted::Typeface(error.to_string()))?;
    let font = |weight| {
        let font = Font::new(Plex::bytes(weight).into(), 0);
        font.ok_or_else(|| NotPrinted::Typeface("it is no font".to_owned()))
    };
    let [regular, semi_bold] = [font(Weight::Regular)?, font(Weight::SemiBold)?];
    let mut document = Document::new_with(SerializeSettings { enable_tagging: false, ..SerializeSettings::default() });
    let title = if title.is_empty() { "Platewright" } else { title };
    let metadata = Metadata::new().title(title.to_owned()).creator("Platewright".to_owned());
    document.set_metadata(metadata.language("en".to_owned()));
    for (k, page) in pages.iter().enumerate() {
        let [width, height] = page.size_mm.map(|mm| (mm * PT_PER_MM) as f32);
        let settings = PageSettings::from_wh(width, height).ok_or(NotPrinted::NoSize(k + 1))?;
        let mut sheet = document.start_page_with(settings);
        let surface = sheet.surface();
        Writer { page, plex: &plex, regular: &regular, semi_bold: &semi_bold, surface }.items(&page.items)?;
        sheet.finish();
    }
    document.finish().map_err(|error| NotPrinted::NotPutTogether(error.to_string()))
}

/// Draws the items of a page.
struct Writer<'a, 's> {
    page: &'a Page,
    plex: &'a Plex,
    regular: &'a Font,
    semi_bold: &'a Font,
    surface: Surface<'s>,
}

impl Writer<'_, '_> {
    fn items(&mut self, items: &[Item]) -> Result<(), NotPrinted> {
        for item in items {
            match item {
                Item::Stroke { contour, pen } => self.path(self.outline([contour]), Some(*pen), None),
                Item::Fill { contours, ink } => self.path(self.outline(contours), None, Some(*ink)),
                Item::Circle { centre, radius_mm, pen, fill } => {
                    let circle = Contour::circle(*centre, *radius_mm);
                    self.path(self.outline([&circle]), *pen, *fill);
                }
                Item::Words(words) => self.words(words),
                Item::Picture(picture) => self.picture(picture)?,
                Item::Within { window, items } => {
                    let Some(clip) = self.window(*window) else { continue };
                    self.surface.push_clip_path(&clip, &FillRule::NonZero);
                    let drawn = self.items(items);
                    self.surface.pop();
                    drawn?;
                }
            }
        }
        Ok(())
    }

    /// Where a place lies on the sheet, pt from its upper left corner.
    fn point(&self, drawn: PlatePoint) -> Point {
        let at = self.page.on_sheet(drawn);
        let [_, height] = self.page.size_mm;
        Point::from_xy((at.x * PT_PER_MM) as f32, ((height - at.y) * PT_PER_MM) as f32)
    }

    /// A length that has no direction, pt.
    fn length(&self, mm: f64) -> f32 {
        let stretch = self.page.stretch;
        (mm * (stretch.across * stretch.up).sqrt() * PT_PER_MM) as f32
    }

    fn window(&self, window: Bounds) -> Option<Path> {
        let (a, b) = (self.point(window.min), self.point(window.max));
        let mut path = PathBuilder::new();
        path.push_rect(Rect::from_ltrb(a.x, b.y, b.x, a.y)?);
        path.finish()
    }

    /// Contours as one path; `None` where there is nothing in them.
    fn outline<'c>(&self, contours: impl IntoIterator<Item = &'c Contour>) -> Option<Path> {
        let mut path = PathBuilder::new();
        for contour in contours {
            for run in contour.runs() {
                let Some(first) = run.first() else { continue };
                let start = self.point(first.from);
                path.move_to(start.x, start.y);
                for piece in run {
                    self.piece(piece, &mut path);
                }
                if contour.closed && run.last().is_some_and(|last| last.to == first.from) {
                    path.close();
                }
            }
        }
        path.finish()
    }

    fn piece(&self, piece: &Segment, path: &mut PathBuilder) {
        if piece.is_line() {
            let to = self.point(piece.to);
            path.line_to(to.x, to.y);
            return;
        }
        for part in quarters(*piece) {
            let [a, b, to] = cubic(&part).map(|place| self.point(place));
            path.cubic_to(a.x, a.y, b.x, b.y, to.x, to.y);
        }
    }

    fn path(&mut self, path: Option<Path>, pen: Option<Pen>, ink: Option<Ink>) {
        let Some(path) = path else { return };
        self.surface.set_fill(ink.map(fill));
        self.surface.set_stroke(pen.map(|pen| {
            let Fill { paint, opacity, .. } = fill(pen.ink);
            let dash =
                pen.dashes.map(|dashes| StrokeDash { array: dashes.map(|mm| self.length(mm)).to_vec(), offset: 0.0 });
            Stroke { paint, opacity, width: self.length(pen.width_mm), dash, ..Stroke::default() }
        }));
        self.surface.draw_path(&path);
    }

    fn words(&mut self, words: &Words) {
        let mut glyphs = Vec::with_capacity(words.text.len());
        for (at, character) in words.text.char_indices() {
            // Pages hold characters that the typeface has; one that it lacks anyhow leaves its room empty.
            let Some((number, advance)) = self.plex.glyph(character, words.weight) else { continue };
            let range = at..at + character.len_utf8();
            glyphs.push(KrillaGlyph::new(GlyphId::new(u32::from(number)), advance as f32, 0.0, 0.0, 0.0, range, None));
        }
        let length = width_mm(&words.text, words.height_mm, words.weight, self.plex);
        let start = match words.align {
            Align::Start => 0.0,
            Align::Middle => -length / 2.0,
            Align::End => -length,
        };
        let along = match words.turned {
            Turned::Level => PlateVec::new(start, 0.0),
            Turned::Up => PlateVec::new(0.0, start),
        };
        let at = self.point(words.at + along);
        let [across, up] = [self.page.stretch.across as f32, self.page.stretch.up as f32];
        // Columns: where the text goes on, and where it goes down, in a frame whose y goes down.
        let place = match words.turned {
            Turned::Level => Transform::from_row(across, 0.0, 0.0, up, at.x, at.y),
            Turned::Up => Transform::from_row(0.0, -up, across, 0.0, at.x, at.y),
        };
        let font = match words.weight {
            Weight::Regular => self.regular,
            Weight::SemiBold => self.semi_bold,
        };
        self.surface.set_fill(Some(fill(words.ink)));
        self.surface.set_stroke(None);
        self.surface.push_transform(&place);
        let size = (words.height_mm * PT_PER_MM) as f32;
        self.surface.draw_glyphs(Point::from_xy(0.0, 0.0), &glyphs, font.clone(), &words.text, size, false);
        self.surface.pop();
    }

    fn picture(&mut self, picture: &Picture) -> Result<(), NotPrinted> {
        let mut coded = Vec::new();
        let [width, height] = picture.pixels;
        let encoder = JpegEncoder::new_with_quality(&mut coded, JPEG_QUALITY);
        let not_coded = |error: image::ImageError| NotPrinted::Picture(error.to_string());
        image::ImageEncoder::write_image(encoder, &picture.rgb, width, height, image::ExtendedColorType::Rgb8)
            .map_err(not_coded)?;
        let image = Image::from_jpeg(coded.into(), true).map_err(NotPrinted::Picture)?;
        let [across, up] = picture.size_mm;
        let low = self.point(picture.corner);
        let high = self.point(picture.corner + PlateVec::new(across, up));
        let Some(size) = Size::from_wh(high.x - low.x, low.y - high.y) else { return Ok(()) };
        self.surface.push_transform(&Transform::from_translate(low.x, high.y));
        self.surface.draw_image(image, size);
        self.surface.pop();
        Ok(())
    }
}

/// A colour on white paper.
fn fill(ink: Ink) -> Fill {
    let [r, g, b, a] = match ink {
        Ink::Paper => [255; 4],
        ink => Theme::Paper.colours().of_ink(ink).to_srgba_unmultiplied(),
    };
    let opacity = NormalizedF32::new(f32::from(a) / 255.0).unwrap_or(NormalizedF32::ONE);
    Fill { paint: rgb::Color::new(r, g, b).into(), opacity, rule: FillRule::EvenOdd }
}

/// An arc in parts of a quarter turn at most: there a cubic leaves it by less than 3e-4 of its radius, and by a
/// hundredth of that in parts of half of it.
fn quarters(arc: Segment) -> Vec<Segment> {
    let halves = arc.halved();
    let is_short = halves.iter().all(|half| half.bulge.abs() <= EIGHTH_TURN_BULGE);
    if is_short { halves.to_vec() } else { halves.into_iter().flat_map(quarters).collect() }
}

/// Tangent of a quarter of an eighth turn: `tan(pi / 16)`.
const EIGHTH_TURN_BULGE: f64 = 0.198_912_367_379_658;

/// Levers and end of the cubic that stands for an arc: levers of `4/3 tan(sweep/4)` radii along the ends' directions (L.
/// Maisonobe 2003, from memory). With the bulge `b` and the chord `c` that is `c (1 + b²) / 3`.
fn cubic(arc: &Segment) -> [PlatePoint; 3] {
    let lever = arc.chord().length() * (1.0 + arc.bulge * arc.bulge) / 3.0;
    let direction = |direction: Option<PlateVec>| direction.unwrap_or_default() * lever;
    [arc.from + direction(arc.start_direction()), arc.to - direction(arc.end_direction()), arc.to]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cubics_of_an_arc_lie_on_it() {
        let circle = Contour::circle(PlatePoint::new(3.0, -2.0), 100.0);
        for part in circle.segments.iter().flat_map(|piece| quarters(*piece)) {
            let [a, b, to] = cubic(&part);
            for k in 0..=20 {
                let t = f64::from(k) / 20.0;
                let lerp = |p: PlatePoint, q: PlatePoint| p.lerp(q, t);
                let (p, q, r) = (lerp(part.from, a), lerp(a, b), lerp(b, to));
                let on_cubic = lerp(lerp(p, q), lerp(q, r));
                let off = (on_cubic.distance(PlatePoint::new(3.0, -2.0)) - 100.0).abs();
                assert!(off < 1e-3, "{off} mm off a radius of 100 mm");
            }
        }
    }

    #[test]
    fn a_page_without_size_is_refused_by_number() {
        let said = pdf("t", &[Page::new([210.0, 297.0]), Page::new([0.0, f64::NAN])]).unwrap_err().to_string();
        assert_eq!(said, "page 2 has no size");
    }
}
