//! The proof plate: what is to be cut as a solid to print and try on.
//!
//! What a printer does to it is allowed for beforehand: plastic shrinks as it cools, and holes come out small. Every contour
//! is flattened to a ring of straight sides, what cannot be printed is refused by name, and the rest is made solid
//! ([`super::plate_mesh`]).

use super::plate_mesh::{Mesh, solid};
use super::{CutContour, CutDrawing};
use crate::geom::{Bounds, Contour, contour_crossings, contours_beside, crossings_between};
use crate::job::capital;
use crate::space::PlatePoint;
use std::ops::RangeInclusive;

/// How thick a proof plate may be, mm: it takes a little to be stiff, and more would be no template.
pub const PLATE_THICKNESS_MM: RangeInclusive<f64> = 0.4..=20.0;
/// How much plastic may shrink, per cent; what shrinks more is printed larger by the printer's own program.
pub const SHRINK_PERCENT: RangeInclusive<f64> = 0.0..=5.0;
/// How much larger than they are cut holes may be made, mm across.
pub const HOLE_ALLOWANCE_MM: RangeInclusive<f64> = 0.0..=2.0;

/// What is allowed for in a proof plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateOptions {
    /// How thick it is, mm.
    pub thickness_mm: f64,
    /// How much the plastic shrinks as it cools, per cent: the plate is made larger by it in x and y.
    pub shrink_percent: f64,
    /// How much smaller than drawn holes come out, mm across: holes, slots and openings are made larger by it.
    pub hole_allowance_mm: f64,
    /// How far the straight sides of the solid may leave the arcs that they stand for, mm.
    pub chord_mm: f64,
}

impl PlateOptions {
    /// What is usual for a part that is cut from a sheet of this thickness: as thick as the sheet, from 2 to 5 mm; 3 mm
    /// where the sheet is not known. Common practice, no source, as are the other figures.
    pub fn usual(sheet_mm: Option<f64>) -> Self {
        let thickness_mm = sheet_mm.filter(|mm| mm.is_finite()).map_or(3.0, |mm| mm.clamp(2.0, 5.0));
        Self { thickness_mm, shrink_percent: 0.3, hole_allowance_mm: 0.2, chord_mm: 0.01 }
    }

    /// What the model is enlarged by in x and y.
    pub fn scale(&self) -> f64 {
        1.0 + self.shrink_percent / 100.0
    }

    /// What was allowed for, in one sentence.
    pub fn in_words(&self) -> String {
        format!(
            "{:.1} mm thick, {:.2} % larger in x and y for the plastic's shrinking, holes and openings {:.2} mm larger across",
            self.thickness_mm, self.shrink_percent, self.hole_allowance_mm
        )
    }
}

/// A plate to print.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofPlate {
    /// The part's name.
    pub title: String,
    /// What was allowed for.
    pub options: PlateOptions,
    /// The solid, mm; its lower face lies on z = 0, and its least x and y are 0. Seen from above it is what is cut.
    pub mesh: Mesh,
}

/// Why there is no plate.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlateRefused {
    /// A figure is out of its range.
    #[error("{what} has to be from {} to {} {unit}, and {given} is not", .range.start(), .range.end())]
    OutOfRange {
        /// Which figure.
        what: &'static str,
        /// Its unit.
        unit: &'static str,
        /// From where to where it may be.
        range: RangeInclusive<f64>,
        /// What was asked for.
        given: f64,
    },
    /// There is no outline, or more than one.
    #[error("a plate takes one closed outline, and there {}", if *.0 == 0 { "is none".to_owned() } else { format!("are {}", .0) })]
    NoOutline(usize),
    /// A coordinate is infinite or not a number.
    #[error("{0} has a coordinate that is not a number")]
    NotANumber(String),
    /// A hole has no size.
    #[error("{name} has the diameter {diameter_mm} mm, and nothing can be printed to that")]
    NoSize {
        /// Its name.
        name: String,
        /// Its diameter.
        diameter_mm: f64,
    },
    /// A contour does not close, or has no area.
    #[error("{0} does not close round an area")]
    NotClosed(String),
    /// A contour meets itself.
    #[error("{name} meets itself at x {:.2}, y {:.2} mm", .at.x, .at.y)]
    MeetsItself {
        /// Its name.
        name: String,
        /// Where, as drawn.
        at: PlatePoint,
    },
    /// A hole or an opening does not lie inside the outline, at the size at which it is printed.
    #[error("{0} does not lie inside the outline, at the size at which it is printed")]
    Outside(String),
    /// Two of them run into each other, at the sizes at which they are printed.
    #[error("{0} and {1} run into each other, at the sizes at which they are printed")]
    Meet(String, String),
    /// An opening cannot be made larger.
    #[error("{0} cannot be made larger by what holes come out smaller: its corners are too narrow")]
    NotEnlarged(String),
    /// The plate is too large, or too finely bent, to be held.
    #[error("the plate would take {0} corners, and the limit is {MOST_CORNERS}")]
    TooFine(usize),
    /// The library that cuts faces into triangles left something out.
    #[error("the face could not be cut into triangles without a gap")]
    NotWatertight,
}

/// The most corners of all rings together.
const MOST_CORNERS: usize = 1_000_000;

/// Corners nearer than this are one, mm: far below what a printer follows, and far above the rounding of single-precision
/// figures, which STL holds.
const SAME_CORNER_MM: f64 = 1e-3;

/// The solid of what is to be cut.
///
/// # Errors
/// Where there is no single closed outline, something meets what it should not, or a figure is none or out of range.
pub fn proof_plate(drawing: &CutDrawing, options: &PlateOptions) -> Result<ProofPlate, PlateRefused> {
    refuse_options(options)?;
    let outline = match drawing.outer.as_slice() {
        [outline] => outline,
        outlines => return Err(PlateRefused::NoOutline(outlines.len())),
    };
    let mut contours = vec![named(outline)];
    for opening in &drawing.openings {
        contours.push(enlarged(opening, options)?);
    }
    for hole in &drawing.holes {
        let radius_mm = f64::midpoint(hole.diameter_mm, options.hole_allowance_mm);
        if !(hole.centre.is_finite() && radius_mm.is_finite()) {
            return Err(PlateRefused::NotANumber(hole.name.clone()));
        }
        if hole.diameter_mm <= 0.0 {
            let name = hole.name.clone();
            return Err(PlateRefused::NoSize { name, diameter_mm: hole.diameter_mm });
        }
        contours.push((hole.name.clone(), Contour::circle(hole.centre, radius_mm)));
    }
    let rings = contours.iter().map(|(name, contour)| ring(name, contour, options)).collect::<Result<Vec<_>, _>>()?;
    refuse_meetings(&rings)?;
    let corners: Vec<Vec<PlatePoint>> = rings.into_iter().map(|ring| ring.corners).collect();
    let mesh = solid(&corners, options.thickness_mm, options.scale()).ok_or(PlateRefused::NotWatertight)?;
    Ok(ProofPlate { title: drawing.title.clone(), options: *options, mesh })
}

fn refuse_options(options: &PlateOptions) -> Result<(), PlateRefused> {
    let PlateOptions { thickness_mm, shrink_percent, hole_allowance_mm, chord_mm } = *options;
    for (what, unit, range, given) in [
        ("the thickness", "mm", PLATE_THICKNESS_MM, thickness_mm),
        ("what the plastic shrinks", "%", SHRINK_PERCENT, shrink_percent),
        ("what holes are made larger by", "mm", HOLE_ALLOWANCE_MM, hole_allowance_mm),
        ("the chord", "mm", 1e-3..=1.0, chord_mm),
    ] {
        if !range.contains(&given) {
            return Err(PlateRefused::OutOfRange { what, unit, range, given });
        }
    }
    Ok(())
}

fn named(cut: &CutContour) -> (String, Contour) {
    (capital(&cut.name), cut.contour.clone())
}

/// An opening as it is printed.
fn enlarged(opening: &CutContour, options: &PlateOptions) -> Result<(String, Contour), PlateRefused> {
    let (name, contour) = named(opening);
    if !is_finite(&contour) {
        return Err(PlateRefused::NotANumber(name));
    }
    if options.hole_allowance_mm == 0.0 || !(contour.closed && contour.is_closed_exactly()) {
        return Ok((name, contour));
    }
    match contours_beside(&contour, options.hole_allowance_mm / 2.0).as_deref() {
        Ok([one]) => Ok((name, one.clone())),
        _ => match contour_crossings(&contour).first() {
            Some(crossing) => Err(PlateRefused::MeetsItself { name, at: crossing.at }),
            None => Err(PlateRefused::NotEnlarged(name)),
        },
    }
}

fn is_finite(contour: &Contour) -> bool {
    contour.segments.iter().all(|s| s.from.is_finite() && s.to.is_finite() && s.bulge.is_finite())
}

/// A contour with straight sides: what is looked at is what is printed.
struct Ring {
    name: String,
    corners: Vec<PlatePoint>,
    sides: Contour,
    bounds: Bounds,
}

fn ring(name: &str, contour: &Contour, options: &PlateOptions) -> Result<Ring, PlateRefused> {
    let name = name.to_owned();
    if !is_finite(contour) {
        return Err(PlateRefused::NotANumber(name));
    }
    if !(contour.closed && contour.is_closed_exactly()) {
        return Err(PlateRefused::NotClosed(name));
    }
    let mut corners: Vec<PlatePoint> = Vec::new();
    for corner in contour.sampled(options.chord_mm / options.scale()) {
        if corners.last().is_none_or(|last| last.distance(corner) > SAME_CORNER_MM) {
            corners.push(corner);
        }
        if corners.len() > MOST_CORNERS {
            return Err(PlateRefused::TooFine(corners.len()));
        }
    }
    while corners.len() > 1 && corners[0].distance(corners[corners.len() - 1]) <= SAME_CORNER_MM {
        corners.pop();
    }
    let sides = Contour::polygon(&corners);
    let Some(bounds) = sides.bounds().filter(|_| corners.len() > 2) else {
        return Err(PlateRefused::NotClosed(name));
    };
    if let Some(crossing) = contour_crossings(&sides).first() {
        return Err(PlateRefused::MeetsItself { name, at: crossing.at });
    }
    Ok(Ring { name, corners, sides, bounds })
}

/// The first ring is the outline; all others lie inside it and apart.
fn refuse_meetings(rings: &[Ring]) -> Result<(), PlateRefused> {
    let Some((outline, inner)) = rings.split_first() else { return Err(PlateRefused::NoOutline(0)) };
    let all: usize = rings.iter().map(|ring| ring.corners.len()).sum();
    if all > MOST_CORNERS {
        return Err(PlateRefused::TooFine(all));
    }
    let meet = |a: &Ring, b: &Ring| a.bounds.overlaps(&b.bounds) && !crossings_between(&a.sides, &b.sides).is_empty();
    let holds = |a: &Ring, b: &Ring| a.sides.contains(b.corners[0]);
    for (k, ring) in inner.iter().enumerate() {
        if meet(outline, ring) || !holds(outline, ring) {
            return Err(PlateRefused::Outside(ring.name.clone()));
        }
        if let Some(other) =
            inner[..k].iter().find(|other| meet(other, ring) || holds(other, ring) || holds(ring, other))
        {
            return Err(PlateRefused::Meet(other.name.clone(), ring.name.clone()));
        }
    }
    Ok(())
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::export::CutHole;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    fn cut(name: &str, contour: Contour) -> CutContour {
        CutContour { id: name.into(), name: name.to_owned(), contour }
    }

    fn hole(name: &str, x: f64, y: f64, diameter_mm: f64) -> CutHole {
        CutHole { id: name.into(), name: name.to_owned(), centre: at(x, y), diameter_mm }
    }

    pub(in crate::export) fn options() -> PlateOptions {
        PlateOptions::usual(None)
    }

    /// A slot of 60 x 20 mm with a slotted opening and a hole.
    pub(in crate::export) fn drawing() -> CutDrawing {
        CutDrawing {
            title: "Flange <2> & \"cover\"".into(),
            outer: vec![cut("the outline", Contour::slot(at(0.0, 0.0), 40.0, 0.0, 20.0))],
            openings: vec![cut("opening c2", Contour::slot(at(-10.0, 0.0), 6.0, 0.3, 4.0).oriented(false))],
            holes: vec![hole("H1", 15.0, 0.0, 6.6)],
            ..CutDrawing::default()
        }
    }

    /// The corners of a ring of the mesh that lie within `reach` of a place as drawn, as distances from it in mm as drawn.
    fn distances(plate: &ProofPlate, centre: PlatePoint, reach: f64) -> Vec<f64> {
        let scale = plate.options.scale();
        let drawn =
            plate.mesh.vertices.iter().map(|v| at(f64::from(v[0]) / scale - 30.0, f64::from(v[1]) / scale - 10.0));
        drawn.map(|p| p.distance(centre)).filter(|d| *d < reach).collect()
    }

    #[test]
    fn holes_are_larger_by_the_allowance_and_everything_by_the_shrinking() {
        let plate = proof_plate(&drawing(), &options()).unwrap();
        let most =
            plate.mesh.vertices.iter().fold([0.0_f32; 3], |m, v| [m[0].max(v[0]), m[1].max(v[1]), m[2].max(v[2])]);
        for (found, wanted) in most.iter().zip([60.18, 20.06, 3.0]) {
            assert!((f64::from(*found) - wanted).abs() < 5e-4, "{most:?}");
        }
        let rim = distances(&plate, at(15.0, 0.0), 4.5);
        assert!(rim.len() > 40 && rim.iter().all(|r| (r - 3.4).abs() < 1e-3), "6.6 and 0.2 mm across: {rim:?}");
        let end = at(-10.0, 0.0) + crate::space::PlateVec::from_angle(0.3) * 3.0;
        let near = distances(&plate, end, 2.15);
        assert!(near.len() > 10 && near.iter().all(|r| (r - 2.1).abs() < 1e-3), "the slot's end: {near:?}");
    }

    #[test]
    fn chords_leave_arcs_by_no_more_than_is_said() {
        let coarse = PlateOptions { chord_mm: 0.5, ..options() };
        let corners = |options| proof_plate(&drawing(), &options).unwrap().mesh.vertices.len();
        assert!(corners(coarse) * 4 < corners(options()), "fewer corners for a coarser chord");
    }

    #[test]
    fn the_usual_thickness_is_that_of_the_sheet_where_it_makes_a_template() {
        let thickness = |sheet| PlateOptions::usual(sheet).thickness_mm;
        let all = [None, Some(1.0), Some(4.0), Some(10.0), Some(f64::NAN)].map(thickness);
        assert_eq!(all.map(f64::to_bits), [3.0, 2.0, 4.0, 5.0, 3.0_f64].map(f64::to_bits), "mm");
    }

    #[track_caller]
    fn check_refused(spoil: impl FnOnce(&mut CutDrawing), expected: &str) {
        let mut drawing = drawing();
        spoil(&mut drawing);
        assert_eq!(proof_plate(&drawing, &options()).unwrap_err().to_string(), expected);
    }

    #[test]
    fn what_cannot_be_printed_is_refused_by_name() {
        check_refused(|d| d.outer.clear(), "a plate takes one closed outline, and there is none");
        check_refused(|d| d.outer.push(d.outer[0].clone()), "a plate takes one closed outline, and there are 2");
        check_refused(|d| d.outer[0].contour.closed = false, "The outline does not close round an area");
        let bow = Contour::polygon(&[at(-40.0, -30.0), at(40.0, 30.0), at(40.0, -30.0), at(-40.0, 30.0)]);
        check_refused(|d| d.outer[0].contour = bow.clone(), "The outline meets itself at x 0.00, y 0.00 mm");
        check_refused(|d| d.openings[0].contour = bow, "Opening c2 meets itself at x 0.00, y 0.00 mm");
        check_refused(
            |d| d.holes[0].centre = at(29.0, 0.0),
            "H1 does not lie inside the outline, at the size at which it is printed",
        );
        check_refused(
            |d| d.holes[0].centre = at(99.0, 0.0),
            "H1 does not lie inside the outline, at the size at which it is printed",
        );
        check_refused(
            |d| d.holes.push(hole("H2", 21.75, 0.0, 6.6)),
            "H1 and H2 run into each other, at the sizes at which they are printed",
        );
        check_refused(
            |d| d.holes.push(hole("A1", 15.5, 0.0, 1.0)),
            "H1 and A1 run into each other, at the sizes at which they are printed",
        );
        check_refused(|d| d.holes[0].diameter_mm = f64::NAN, "H1 has a coordinate that is not a number");
        check_refused(|d| d.holes[0].diameter_mm = 0.0, "H1 has the diameter 0 mm, and nothing can be printed to that");
        check_refused(
            |d| d.openings[0].contour.segments[0].bulge = f64::INFINITY,
            "Opening c2 has a coordinate that is not a number",
        );
        let thick = PlateOptions { thickness_mm: 100.0, ..options() };
        let said = proof_plate(&drawing(), &thick).unwrap_err().to_string();
        assert_eq!(said, "the thickness has to be from 0.4 to 20 mm, and 100 is not");
        let nan = PlateOptions { shrink_percent: f64::NAN, ..options() };
        assert!(proof_plate(&drawing(), &nan).is_err(), "a figure that is none");
    }
}
