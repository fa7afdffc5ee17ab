//! The cut file: DXF R2000, millimetres.
//!
//! Outlines and openings are closed LWPOLYLINEs whose arcs are bulges, holes are CIRCLEs; outlines lie on the layer
//! `CUT_OUTER`, openings and holes on `CUT_INNER`. `MARK` holds what is not cut through: a cross at the centre of each
//! hole, and the part's name and notes below the part. The extents in the header are those of what is cut.

use super::ascii::ascii;
use super::dxf_repair::repaired;
use super::{CutDrawing, CutHole};
use crate::geom::{Bounds, Contour, Segment};
use crate::space::PlatePoint;
use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Text};
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
const TEXT_MM: f64 = 3.5;
const TEXT_LINE_MM: f64 = 6.0;

/// Arms of a centre mark, mm, in a hole that is large enough.
const MARK_ARM_MM: f64 = 1.0;

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

/// The bytes of the cut file.
///
/// # Errors
/// An empty drawing, a number that is none, or a hole without a size is refused.
pub fn dxf(drawing: &CutDrawing) -> Result<Vec<u8>, ExportRefused> {
    let bounds = usable_bounds(drawing)?;
    let mut out = empty_drawing();
    show_whole(&mut out, bounds);
    for (name, colour) in [(LAYER_OUTER, 7), (LAYER_INNER, 1), (LAYER_MARK, 5)] {
        out.add_layer(Layer { name: name.to_owned(), color: Color::from_index(colour), ..Layer::default() });
    }
    let contours = drawing.outer.iter().map(|c| (LAYER_OUTER, c));
    for (layer, contour) in contours.chain(drawing.openings.iter().map(|c| (LAYER_INNER, c))) {
        for polyline in polylines(&contour.contour) {
            add(&mut out, layer, EntityType::LwPolyline(polyline));
        }
    }
    for hole in &drawing.holes {
        add_hole(&mut out, hole);
    }
    let lines = std::iter::once(&drawing.title).chain(&drawing.notes).map(|line| ascii(line));
    for (k, line) in lines.filter(|line| !line.is_empty()).enumerate() {
        let location = Point::new(bounds.min.x, bounds.min.y - TEXT_LINE_MM * (k + 1) as f64, 0.0);
        let text = Text { location, text_height: TEXT_MM, value: line, ..Text::default() };
        add(&mut out, LAYER_MARK, EntityType::Text(text));
    }
    let mut raw = Vec::new();
    out.save(&mut raw).map_err(|err| ExportRefused::NotPutTogether(err.to_string()))?;
    let raw = String::from_utf8(raw).map_err(|err| ExportRefused::NotPutTogether(err.to_string()))?;
    repaired(&raw).map(String::into_bytes)
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

/// A drawing of nothing in millimetres.
fn empty_drawing() -> Drawing {
    let mut out = Drawing::new();
    out.header.version = AcadVersion::R2000;
    out.header.default_drawing_units = Units::Millimeters;
    out.header.drawing_units = DrawingUnits::Metric;
    out
}

/// Extents and limits are those of what is cut, and a reader that opens the file shows all of it.
fn show_whole(out: &mut Drawing, bounds: Bounds) {
    let (min, max, size) = (dxf_point(bounds.min), dxf_point(bounds.max), bounds.size());
    out.header.minimum_drawing_limits = min.clone();
    out.header.maximum_drawing_limits = max.clone();
    out.header.minimum_drawing_extents = min;
    out.header.maximum_drawing_extents = max;
    let middle = bounds.min.lerp(bounds.max, 0.5);
    for view in out.view_ports_mut() {
        view.view_center = dxf_point(middle);
        view.view_height = size.x.max(size.y) * VIEW_MARGIN;
    }
}

/// Width of the view when the file is opened, over the size of the part.
const VIEW_MARGIN: f64 = 1.5;

fn dxf_point(p: PlatePoint) -> Point {
    Point::new(p.x, p.y, 0.0)
}

fn add(out: &mut Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    layer.clone_into(&mut entity.common.layer);
    out.add_entity(entity);
}

/// A closed contour as one closed polyline; an open one as an open polyline for each run that hangs together.
fn polylines(contour: &Contour) -> Vec<LwPolyline> {
    let vertex = |at: PlatePoint, bulge: f64| LwPolylineVertex { x: at.x, y: at.y, bulge, ..Default::default() };
    let polyline = |run: &[Segment], closed: bool| {
        let mut vertices: Vec<_> = run.iter().map(|s| vertex(s.from, s.bulge)).collect();
        vertices.extend(run.last().filter(|_| !closed).map(|s| vertex(s.to, 0.0)));
        LwPolyline { flags: i32::from(closed), vertices, ..LwPolyline::default() }
    };
    if contour.closed && contour.is_closed_exactly() {
        return vec![polyline(&contour.segments, true)];
    }
    contour.runs().map(|run| polyline(run, false)).collect()
}

fn add_hole(out: &mut Drawing, hole: &CutHole) {
    let radius = hole.diameter_mm / 2.0;
    add(out, LAYER_INNER, EntityType::Circle(Circle::new(dxf_point(hole.centre), radius)));
    let arm = MARK_ARM_MM.min(radius / 2.0);
    let PlatePoint { x, y } = hole.centre;
    for (x_arm, y_arm) in [(arm, 0.0), (0.0, arm)] {
        let [from, to] = [Point::new(x - x_arm, y - y_arm, 0.0), Point::new(x + x_arm, y + y_arm, 0.0)];
        add(out, LAYER_MARK, EntityType::Line(Line::new(from, to)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::CutContour;
    use crate::space::PlatePoint as P;

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
        let text = pairs(dxf(&drawing()).unwrap());
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
        assert_eq!(dxf(&drawing()), dxf(&drawing()), "no date, no random number, no order of a hash");
    }

    #[test]
    fn an_open_contour_stays_open_and_broken_where_it_is() {
        let mut open = drawing();
        open.outer[0].contour.closed = false;
        open.outer[0].contour.segments.remove(1);
        let text = pairs(dxf(&open).unwrap());
        assert_eq!(text.matches("8 CUT_OUTER\n370 -1\n100 AcDbPolyline\n90").count(), 2, "two runs");
        assert!(text.contains("90 2\n70 0\n10 -20.0\n20 -5.0\n10 20.0\n20 -5.0\n"), "its first line, with both ends");
    }

    #[test]
    fn what_cannot_be_cut_is_refused_by_name() {
        assert_eq!(dxf(&CutDrawing::default()), Err(ExportRefused::NothingToCut));
        let mut bad = drawing();
        bad.holes[0].diameter_mm = 0.0;
        assert_eq!(
            dxf(&bad).unwrap_err().to_string(),
            "H1 has the diameter 0 mm, and nothing can be cut to that",
            "a hole without a size"
        );
        bad.holes[0].diameter_mm = f64::NAN;
        assert_eq!(dxf(&bad).unwrap_err().to_string(), "H1 has a coordinate that is not a number");
        bad = drawing();
        bad.outer[0].contour.segments[2].bulge = f64::INFINITY;
        assert_eq!(dxf(&bad).unwrap_err().to_string(), "The outline has a coordinate that is not a number");
    }
}
