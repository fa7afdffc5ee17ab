//! The cut file: DXF R2000 or R12, in millimetres or inches.
//!
//! Outlines and openings are closed LWPOLYLINEs (in R12, which has none, POLYLINEs) whose arcs are bulges, holes are CIRCLEs; outlines lie on the layer
//! `CUT_OUTER`, openings and holes on `CUT_INNER`. `MARK` holds what is not cut through: a cross at the centre of each
//! hole, and the part's name and notes below the part. The extents in the header are those of what is cut.

use super::ascii::ascii;
use super::lines::broken;
use super::{CutDrawing, CutHole, dxf_r12, dxf_repair};
use crate::geom::{Bounds, Contour, Segment};
use crate::job::FileUnit;
use crate::space::PlatePoint;
use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Polyline, Text, Vertex};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, LwPolylineVertex, Point};

/// Layer of the outline.
pub const LAYER_OUTER: &str = "CUT_OUTER";
/// Layer of openings and holes.
pub const LAYER_INNER: &str = "CUT_INNER";
/// Layer of what is not cut through.
pub const LAYER_MARK: &str = "MARK";

/// Height of the text below the part, mm (a height of ISO 3098, from memory), and from line to line.
pub(super) const TEXT_MM: f64 = 3.5;
pub(super) const TEXT_LINE_MM: f64 = 6.0;

/// Arms of a centre mark, mm, in a hole that is large enough.
pub(super) const MARK_ARM_MM: f64 = 1.0;

/// Why a drawing was not written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExportRefused {
    /// The drawing is empty.
    #[error("there is nothing to cut: draw an outline, or pick a hole, first")]
    NothingToCut,
    /// A coordinate is infinite or not a number.
    #[error("{0} has a coordinate that is not a number")]
    NotANumber(String),
    /// A hole has no size.
    #[error("{name} has the diameter {diameter_mm} mm, and nothing can be cut to that")]
    NoSize {
        /// The hole's name.
        name: String,
        /// Its diameter.
        diameter_mm: f64,
    },
    /// The library that writes the format failed.
    #[error("the DXF could not be put together: {0}")]
    NotPutTogether(String),
}

/// A release of the format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DxfRelease {
    /// The usual one.
    R2000,
    /// The plainest one, for old controls; it cannot say its unit.
    R12,
}

/// The bytes of the cut file.
///
/// # Errors
/// An empty drawing, a number that is none, or a hole without a size is refused.
pub(super) fn dxf(drawing: &CutDrawing, release: DxfRelease, unit: FileUnit) -> Result<Vec<u8>, ExportRefused> {
    let bounds = usable_bounds(drawing)?;
    let scale = unit.per_mm();
    let mut pen = Pen { out: empty_drawing(release, unit), release, scale };
    pen.show_whole(bounds);
    for (name, colour) in [(LAYER_OUTER, 7), (LAYER_INNER, 1), (LAYER_MARK, 5)] {
        pen.out.add_layer(Layer { name: name.to_owned(), color: Color::from_index(colour), ..Layer::default() });
    }
    let contours = drawing.outer.iter().map(|c| (LAYER_OUTER, c));
    for (layer, contour) in contours.chain(drawing.openings.iter().map(|c| (LAYER_INNER, c))) {
        pen.contour(layer, &contour.contour);
    }
    for hole in &drawing.holes {
        pen.hole(hole);
    }
    let lines = std::iter::once(&drawing.title).chain(&drawing.notes).flat_map(|line| broken(&ascii(line)));
    for (k, line) in lines.enumerate() {
        let at = PlatePoint::new(bounds.min.x, bounds.min.y - TEXT_LINE_MM * (k + 1) as f64);
        let text = Text { location: pen.point(at), text_height: TEXT_MM * scale, value: line, ..Text::default() };
        pen.add(LAYER_MARK, EntityType::Text(text));
    }
    let mut raw = Vec::new();
    pen.out.save(&mut raw).map_err(|err| ExportRefused::NotPutTogether(err.to_string()))?;
    let raw = String::from_utf8(raw).map_err(|err| ExportRefused::NotPutTogether(err.to_string()))?;
    let repaired = match release {
        DxfRelease::R2000 => dxf_repair::repaired(&raw),
        DxfRelease::R12 => dxf_r12::repaired(&raw),
    };
    repaired.map(String::into_bytes)
}

/// The box around what is cut; an empty drawing, a number that is none and a hole without a size are refused.
pub(crate) fn usable_bounds(drawing: &CutDrawing) -> Result<Bounds, ExportRefused> {
    let is_finite = |s: &Segment| s.from.is_finite() && s.to.is_finite() && s.bulge.is_finite();
    let contours = [("The outline", &drawing.outer), ("An opening", &drawing.openings)];
    for (what, contours) in contours {
        if contours.iter().flat_map(|c| &c.contour.segments).any(|s| !is_finite(s)) {
            return Err(ExportRefused::NotANumber(what.to_owned()));
        }
    }
    for hole in &drawing.holes {
        if !(hole.centre.is_finite() && hole.diameter_mm.is_finite()) {
            return Err(ExportRefused::NotANumber(hole.name.clone()));
        }
        if hole.diameter_mm <= 0.0 {
            return Err(ExportRefused::NoSize { name: hole.name.clone(), diameter_mm: hole.diameter_mm });
        }
    }
    drawing.bounds().ok_or(ExportRefused::NothingToCut)
}

/// A drawing of nothing, in its unit.
fn empty_drawing(release: DxfRelease, unit: FileUnit) -> Drawing {
    let mut out = Drawing::new();
    out.header.version = match release {
        DxfRelease::R2000 => AcadVersion::R2000,
        DxfRelease::R12 => AcadVersion::R12,
    };
    (out.header.default_drawing_units, out.header.drawing_units) = match unit {
        FileUnit::Mm => (Units::Millimeters, DrawingUnits::Metric),
        FileUnit::Inch => (Units::Inches, DrawingUnits::English),
    };
    out
}

/// Width of the view when the file is opened, over the size of the part.
const VIEW_MARGIN: f64 = 1.5;

/// What draws: millimetres in, the file's unit out.
struct Pen {
    out: Drawing,
    release: DxfRelease,
    /// How many of the file's units make a millimetre.
    scale: f64,
}

impl Pen {
    fn point(&self, p: PlatePoint) -> Point {
        Point::new(p.x * self.scale, p.y * self.scale, 0.0)
    }

    /// Extents and limits are those of what is cut, and a reader that opens the file shows all of it.
    fn show_whole(&mut self, bounds: Bounds) {
        let (min, max, size) = (self.point(bounds.min), self.point(bounds.max), bounds.size());
        let middle = self.point(bounds.min.lerp(bounds.max, 0.5));
        let height = size.x.max(size.y) * VIEW_MARGIN * self.scale;
        self.out.header.minimum_drawing_limits = min.clone();
        self.out.header.maximum_drawing_limits = max.clone();
        self.out.header.minimum_drawing_extents = min;
        self.out.header.maximum_drawing_extents = max;
        for view in self.out.view_ports_mut() {
            view.view_center = middle.clone();
            view.view_height = height;
        }
    }

    fn add(&mut self, layer: &str, specific: EntityType) {
        let mut entity = Entity::new(specific);
        layer.clone_into(&mut entity.common.layer);
        self.out.add_entity(entity);
    }

    /// A closed contour as one closed polyline; an open one as an open polyline for each run that hangs together.
    fn contour(&mut self, layer: &str, contour: &Contour) {
        if contour.closed && contour.is_closed_exactly() {
            return self.polyline(layer, &contour.segments, true);
        }
        contour.runs().for_each(|run| self.polyline(layer, run, false));
    }

    fn polyline(&mut self, layer: &str, run: &[Segment], closed: bool) {
        let end = run.last().filter(|_| !closed).map(|s| (s.to, 0.0));
        let vertices: Vec<(Point, f64)> =
            run.iter().map(|s| (s.from, s.bulge)).chain(end).map(|(at, bulge)| (self.point(at), bulge)).collect();
        let entity = match self.release {
            DxfRelease::R2000 => {
                let vertex =
                    |(at, bulge): (Point, f64)| LwPolylineVertex { x: at.x, y: at.y, bulge, ..Default::default() };
                let vertices = vertices.into_iter().map(vertex).collect();
                EntityType::LwPolyline(LwPolyline { flags: i32::from(closed), vertices, ..LwPolyline::default() })
            }
            // A lightweight polyline in an R12 file is dropped by the library without a word.
            DxfRelease::R12 => {
                let mut polyline = Polyline { flags: i32::from(closed), ..Polyline::default() };
                for (at, bulge) in vertices {
                    polyline.add_vertex(&mut self.out, Vertex { bulge, ..Vertex::new(at) });
                }
                EntityType::Polyline(polyline)
            }
        };
        self.add(layer, entity);
    }

    fn hole(&mut self, hole: &CutHole) {
        let radius = hole.diameter_mm / 2.0;
        self.add(LAYER_INNER, EntityType::Circle(Circle::new(self.point(hole.centre), radius * self.scale)));
        let arm = MARK_ARM_MM.min(radius / 2.0);
        let PlatePoint { x, y } = hole.centre;
        for (x_arm, y_arm) in [(arm, 0.0), (0.0, arm)] {
            let [from, to] = [PlatePoint::new(x - x_arm, y - y_arm), PlatePoint::new(x + x_arm, y + y_arm)];
            self.add(LAYER_MARK, EntityType::Line(Line::new(self.point(from), self.point(to))));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{dxf as written, *};
    use crate::export::CutContour;
    use crate::space::PlatePoint as P;

    fn dxf_mm(drawing: &CutDrawing) -> Result<Vec<u8>, ExportRefused> {
        written(drawing, DxfRelease::R2000, FileUnit::Mm)
    }

    fn cut(name: &str, contour: Contour) -> CutContour {
        CutContour { id: name.into(), name: name.to_owned(), contour }
    }

    fn drawing() -> CutDrawing {
        let hole = CutHole { id: "h1".into(), name: "H1".into(), centre: P::new(20.0, 0.0), diameter_mm: 6.6 };
        CutDrawing {
            title: "Käsepresse".into(),
            outer: vec![cut("the outline", Contour::slot(P::new(0.0, 0.0), 40.0, 0.0, 10.0))],
            openings: vec![cut("opening c2", Contour::circle(P::new(-20.0, 0.0), 2.0).oriented(false))],
            holes: vec![hole],
            notes: vec!["CHECKS FAILED: Closed.".into()],
            ..CutDrawing::default()
        }
    }

    /// Group codes and values, one pair to the line.
    fn pairs(bytes: Vec<u8>) -> String {
        let text = String::from_utf8(bytes).unwrap();
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        lines.chunks(2).map(|pair| pair.join(" ") + "\n").collect::<Vec<_>>().concat()
    }

    #[test]
    fn everything_is_there_on_its_layer_in_millimetres() {
        let text = pairs(dxf_mm(&drawing()).unwrap());
        for expected in [
            "9 $ACADVER\n1 AC1015\n",
            "9 $INSUNITS\n70 4\n",
            "9 $MEASUREMENT\n70 1\n",
            "9 $EXTMIN\n10 -25.0\n20 -5.0\n",
            "9 $EXTMAX\n10 25.0\n20 5.0\n",
            "100 AcDbPolyline\n90 4\n70 1\n10 -20.0\n20 -5.0\n10 20.0\n20 -5.0\n42 1.0\n10 20.0\n20 5.0\n",
            "8 CUT_INNER\n370 -1\n100 AcDbPolyline\n90 2\n70 1\n",
            "8 CUT_INNER\n370 -1\n100 AcDbCircle\n10 20.0\n20 0.0\n30 0.0\n40 3.3\n",
            "8 MARK\n370 -1\n100 AcDbLine\n10 19.0\n",
            "1 Kaesepresse\n",
            "1 CHECKS FAILED: Closed.\n",
        ] {
            assert!(text.contains(expected), "{expected:?} is missing in\n{text}");
        }
        assert_eq!(text.matches("0 LWPOLYLINE").count() + text.matches("0 CIRCLE").count(), 3, "nothing else is cut");
    }

    #[test]
    fn the_same_drawing_gives_the_same_bytes() {
        assert_eq!(dxf_mm(&drawing()), dxf_mm(&drawing()), "no date, no random number, no order of a hash");
    }

    #[test]
    fn an_open_contour_stays_open_and_broken_where_it_is() {
        let mut open = drawing();
        open.outer[0].contour.closed = false;
        open.outer[0].contour.segments.remove(1);
        let text = pairs(dxf_mm(&open).unwrap());
        assert_eq!(text.matches("8 CUT_OUTER\n370 -1\n100 AcDbPolyline\n90").count(), 2, "two runs");
        assert!(text.contains("90 2\n70 0\n10 -20.0\n20 -5.0\n10 20.0\n20 -5.0\n"), "its first line, with both ends");
    }

    #[test]
    fn what_cannot_be_cut_is_refused_by_name() {
        assert_eq!(dxf_mm(&CutDrawing::default()), Err(ExportRefused::NothingToCut));
        let mut bad = drawing();
        bad.holes[0].diameter_mm = 0.0;
        assert_eq!(
            dxf_mm(&bad).unwrap_err().to_string(),
            "H1 has the diameter 0 mm, and nothing can be cut to that",
            "a hole without a size"
        );
        bad.holes[0].diameter_mm = f64::NAN;
        assert_eq!(dxf_mm(&bad).unwrap_err().to_string(), "H1 has a coordinate that is not a number");
        bad = drawing();
        bad.outer[0].contour.segments[2].bulge = f64::INFINITY;
        assert_eq!(dxf_mm(&bad).unwrap_err().to_string(), "The outline has a coordinate that is not a number");
    }

    #[test]
    fn in_the_plainest_release_nothing_is_dropped() {
        let text = pairs(written(&drawing(), DxfRelease::R12, FileUnit::Mm).unwrap());
        for expected in [
            "9 $ACADVER\n1 AC1009\n",
            "0 POLYLINE\n8 CUT_OUTER\n66 1\n",
            "0 VERTEX\n8 CUT_OUTER\n10 20.0\n20 -5.0\n30 0.0\n42 1.0\n",
            "0 SEQEND\n8 CUT_INNER\n",
            "0 CIRCLE\n8 CUT_INNER\n",
        ] {
            assert!(text.contains(expected), "{expected:?} is missing in\n{text}");
        }
        assert_eq!(text.matches("0 POLYLINE").count() + text.matches("0 CIRCLE").count(), 3, "nothing else is cut");
        assert!(
            !text.contains("\n100 ") && !text.contains("$TDCREATE"),
            "nothing of later releases, nor of this minute"
        );
    }

    #[test]
    fn inches_are_millimetres_over_25_4() {
        let text = pairs(written(&drawing(), DxfRelease::R2000, FileUnit::Inch).unwrap());
        for expected in
            ["9 $INSUNITS\n70 1\n", "9 $MEASUREMENT\n70 0\n", "9 $EXTMAX\n10 0.98425196850", "40 0.1299212598"]
        {
            assert!(text.contains(expected), "{expected:?} is missing in\n{text}");
        }
    }

    #[test]
    fn no_text_is_longer_than_the_plainest_release_holds() {
        let notes = vec![["NOT", "CHECKED"].repeat(60).join(" ")];
        let text =
            String::from_utf8(written(&CutDrawing { notes, ..drawing() }, DxfRelease::R12, FileUnit::Mm).unwrap());
        let lines: Vec<usize> = text.unwrap().lines().filter(|line| line.contains("CHECKED")).map(str::len).collect();
        assert!(lines.len() > 3 && lines.iter().all(|length| *length <= 200), "{lines:?}");
    }
}
