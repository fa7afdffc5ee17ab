//! The cut file as a picture of lines in true size: SVG 1.1 (W3C Recommendation, 2011).
//!
//! One unit of the drawing is one millimetre or one inch, as the width and height say; y runs down, as it does in every
//! SVG. Each layer is a group of its name; contours are paths of lines and arcs, holes are circles.

use super::lines::broken;
use super::xml::xml;
use super::{CutDrawing, ExportRefused, LAYER_INNER, LAYER_MARK, LAYER_OUTER};
use crate::export::dxf::{MARK_ARM_MM, TEXT_LINE_MM, TEXT_MM, usable_bounds};
use crate::geom::{Contour, Segment};
use crate::job::FileUnit;
use crate::space::PlatePoint;
use crate::units::format_short;
use std::fmt::Write as _;

/// White left round the part, mm.
const MARGIN_MM: f64 = 2.0;

/// Width of the lines, mm: a hairline, as cutters ask for.
const LINE_MM: f64 = 0.1;

/// The bytes of the cut file.
///
/// # Errors
/// An empty drawing, a number that is none, or a hole without a size is refused.
pub(super) fn svg(drawing: &CutDrawing, unit: FileUnit) -> Result<Vec<u8>, ExportRefused> {
    let bounds = usable_bounds(drawing)?;
    let texts: Vec<String> =
        std::iter::once(&drawing.title).chain(&drawing.notes).flat_map(|text| broken(text)).collect();
    // The words stand below the part and are as wide as they are: the page ends with the part or with them.
    let longest = texts.iter().map(|text| text.chars().count()).max().unwrap_or(0) as f64 * TEXT_MM * WIDE_LETTER;
    let (min, size) = (bounds.grown(MARGIN_MM).min, bounds.grown(MARGIN_MM).size());
    let wide = size.x.max(longest + 2.0 * MARGIN_MM);
    let high = size.y + TEXT_LINE_MM * texts.len() as f64;
    let on = Paper { left: min.x, top: min.y + size.y, per_mm: unit.per_mm() };
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let (w, h, name) = (on.number(wide), on.number(high), unit.suffix());
    out.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\"");
    put(&mut out, format_args!(" width=\"{w}{name}\" height=\"{h}{name}\" viewBox=\"0 0 {w} {h}\">\n"));
    put(&mut out, format_args!("<title>{}</title>\n", xml(&drawing.title)));
    let stroke = on.number(LINE_MM);
    let mut group = |layer: &str, colour: &str, inside: String| {
        let attributes = format_args!(
            "<g id=\"{layer}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{stroke}\">\n{inside}</g>\n"
        );
        put(&mut out, attributes);
    };
    let paths = |cuts: &[super::CutContour]| cuts.iter().map(|cut| on.path(&cut.contour)).collect::<String>();
    let holes: String = drawing.holes.iter().map(|hole| on.circle(hole.centre, hole.diameter_mm / 2.0)).collect();
    let crosses: String = drawing.holes.iter().map(|hole| on.cross(hole.centre, hole.diameter_mm)).collect();
    group(LAYER_OUTER, "#000000", paths(&drawing.outer));
    group(LAYER_INNER, "#ff0000", paths(&drawing.openings) + &holes);
    group(LAYER_MARK, "#0000ff", crosses + &on.words(&texts, size.y));
    out.push_str("</svg>\n");
    Ok(out.into_bytes())
}

/// The widest that a line of letters gets, as a share of its height for each letter: an estimate for the page's width.
const WIDE_LETTER: f64 = 0.62;

impl FileUnit {
    /// How many of it make a millimetre.
    pub fn per_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Inch => 1.0 / crate::units::MM_PER_INCH,
        }
    }

    fn suffix(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "in",
        }
    }
}

/// The page: where its upper left corner lies on the plate, and its unit.
struct Paper {
    left: f64,
    top: f64,
    per_mm: f64,
}

/// Writing to a text cannot fail.
fn put(out: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = out.write_fmt(text);
}

impl Paper {
    /// A length in the page's unit, to a millionth of a millimetre.
    fn number(&self, mm: f64) -> String {
        format_short(mm * self.per_mm, 7)
    }

    fn place(&self, p: PlatePoint) -> String {
        format!("{} {}", self.number(p.x - self.left), self.number(self.top - p.y))
    }

    fn path(&self, contour: &Contour) -> String {
        let mut out = String::from("<path d=\"");
        let whole = contour.closed && contour.is_closed_exactly();
        for run in contour.runs() {
            for (k, piece) in run.iter().enumerate() {
                if k == 0 {
                    put(&mut out, format_args!("M{}", self.place(piece.from)));
                }
                piece.in_half_turns().iter().for_each(|piece| self.piece(&mut out, piece));
            }
        }
        out.push_str(if whole { "Z\"/>\n" } else { "\"/>\n" });
        out
    }

    fn piece(&self, out: &mut String, piece: &Segment) {
        match piece.radius_mm() {
            None => put(out, format_args!(" L{}", self.place(piece.to))),
            Some(radius) => {
                let r = self.number(radius);
                // y runs down, so that what turns left on the plate turns left on the page by a falling angle.
                let sweep = u8::from(piece.bulge < 0.0);
                put(out, format_args!(" A{r} {r} 0 0 {sweep} {}", self.place(piece.to)));
            }
        }
    }

    fn circle(&self, centre: PlatePoint, radius_mm: f64) -> String {
        let (x, y) = (self.number(centre.x - self.left), self.number(self.top - centre.y));
        format!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>\n", self.number(radius_mm))
    }

    fn cross(&self, PlatePoint { x, y }: PlatePoint, diameter_mm: f64) -> String {
        let arm = MARK_ARM_MM.min(diameter_mm / 4.0);
        let at = |x, y| self.place(PlatePoint::new(x, y));
        format!("<path d=\"M{} L{} M{} L{}\"/>\n", at(x - arm, y), at(x + arm, y), at(x, y - arm), at(x, y + arm))
    }

    fn words(&self, texts: &[String], part_high_mm: f64) -> String {
        let line = |(k, text): (usize, &String)| {
            let (x, y) = (self.number(MARGIN_MM), self.number(part_high_mm + TEXT_LINE_MM * (k as f64 + 0.75)));
            let size = self.number(TEXT_MM);
            let font = "font-family=\"sans-serif\" fill=\"#0000ff\" stroke=\"none\"";
            format!("<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" {font}>{}</text>\n", xml(text))
        };
        texts.iter().enumerate().map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::{CutContour, CutHole};
    use crate::space::PlatePoint as P;

    fn drawing() -> CutDrawing {
        let slot = Contour::slot(P::new(0.0, 0.0), 40.0, 0.0, 10.0);
        let hole = CutHole { id: "h1".into(), name: "H1".into(), centre: P::new(20.0, 0.0), diameter_mm: 6.6 };
        CutDrawing {
            title: "Cover <A> & B\u{1}".into(),
            outer: vec![CutContour { id: "c1".into(), name: "the outline".into(), contour: slot }],
            holes: vec![hole],
            ..CutDrawing::default()
        }
    }

    #[test]
    fn lines_arcs_and_circles_stand_in_true_size() {
        let text = String::from_utf8(svg(&drawing(), FileUnit::Mm).unwrap()).unwrap();
        for expected in [
            "width=\"54mm\" height=\"20mm\" viewBox=\"0 0 54 20\">",
            "<title>Cover &lt;A&gt; &amp; B </title>",
            "<g id=\"CUT_OUTER\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.1\">\n<path d=\"M7 12 L47 12 A5 5 0 0 0 47 2 L7 2 A5 5 0 0 0 7 12Z\"/>",
            "<circle cx=\"47\" cy=\"7\" r=\"3.3\"/>",
            "<path d=\"M46 7 L48 7 M47 8 L47 6\"/>",
        ] {
            assert!(text.contains(expected), "{expected} is missing in\n{text}");
        }
        let inches = String::from_utf8(svg(&drawing(), FileUnit::Inch).unwrap()).unwrap();
        assert!(inches.contains("width=\"2.1259843in\""), "54 / 25.4: {inches}");
    }

    #[test]
    fn what_is_no_number_is_refused_and_the_same_comes_out_twice() {
        assert_eq!(svg(&CutDrawing::default(), FileUnit::Mm), Err(ExportRefused::NothingToCut));
        let mut bad = drawing();
        bad.holes[0].centre.x = f64::NAN;
        assert_eq!(svg(&bad, FileUnit::Mm), Err(ExportRefused::NotANumber("H1".into())));
        assert_eq!(svg(&drawing(), FileUnit::Mm), svg(&drawing(), FileUnit::Mm));
    }
}
