//! Inside corners that the cutter cannot reach.
//!
//! A cut as wide as the kerf leaves every corner that it goes round on the inside with half the kerf as its radius. Contours
//! run with the material on the left, so those are the turns to the right.

use super::{Case, Check, Verdict, count, found_or};
use crate::export::{CutContour, CutDrawing, KerfRefused};
use crate::geom::{Contour, Segment};
use crate::job::{Id, capital};
use crate::space::PlatePoint;
use crate::tolerance::SHOWN_MM;

const NAME: &str = "Corners";

/// A corner that turns by less than this is rounded by so little that nothing will not go into it, rad (15 degrees: with half
/// a millimetre of kerf 0.002 mm). Common practice, no source.
const SHARP_RAD: f64 = 15.0 * std::f64::consts::PI / 180.0;

pub(super) fn check(Case { job, cut, .. }: Case<'_>) -> Vec<Check> {
    let contours: Vec<&CutContour> = cut.outer.iter().chain(&cut.openings).filter(|cut| cut.contour.closed).collect();
    if contours.is_empty() && cut.holes.is_empty() {
        return vec![Check::of(NAME, Verdict::CannotTell, "Nothing is to be cut yet.")];
    }
    let Some(kerf_mm) = job.stock.and_then(|stock| stock.kerf_mm) else {
        let corners: usize = contours.iter().map(|cut| unreached(&cut.contour, 0.0).len()).sum();
        let check = match corners {
            0 => Check::of(NAME, Verdict::Pass, "There is no sharp inside corner."),
            n => {
                let corners = count(n, "sharp inside corner");
                let text = format!("No kerf is said, so nothing says how round {corners} will come out.");
                Check::of(NAME, Verdict::CannotTell, text)
                    .at(contours.iter().flat_map(|cut| unreached(&cut.contour, 0.0)))
            }
        };
        return vec![check];
    };
    let radius_mm = kerf_mm / 2.0;
    // Where the file allows for the kerf, what the cutter does not get into is told by a rule of its own.
    let refused = if job.stock.is_some_and(|stock| stock.kerf_in_file) { vec![] } else { cut.refused_by_kerf(kerf_mm) };
    let narrow = refused.into_iter().filter_map(|(id, refused)| no_way_in(cut, id, &refused));
    let found = narrow.chain(contours.iter().filter_map(|cut| round(cut, radius_mm))).collect();
    found_or(found, || {
        let text = format!("The cutter reaches every inside corner, with a radius of {radius_mm:.2} mm.");
        Check::of(NAME, Verdict::Pass, text)
    })
}

/// What the cutter does not get into is not cut to its size, whoever allows for the kerf.
fn no_way_in(cut: &CutDrawing, id: &Id, refused: &KerfRefused) -> Option<Check> {
    let text = match refused {
        KerfRefused::TooNarrow { name, kerf_mm } => {
            let name = capital(name);
            format!(
                "{name} is no wider than the cut, {kerf_mm:.2} mm. Have it drilled, make it larger, or leave it out."
            )
        }
        KerfRefused::FallsApart { name, kerf_mm } => format!(
            "{} has a place that is narrower than the cut, {kerf_mm:.2} mm, which does not get into it. Make it wider there.",
            capital(name)
        ),
        // The rules that contours close and cross nowhere tell it.
        KerfRefused::NoRing { .. } => return None,
    };
    let hole = cut.holes.iter().find(|hole| hole.id == *id);
    Some(Check::of(NAME, Verdict::Fail, text).about(id).at(hole.map(|hole| hole.centre)))
}

fn round(cut: &CutContour, radius_mm: f64) -> Option<Check> {
    let places = unreached(&cut.contour, radius_mm);
    let (corners, come) = match places.len() {
        0 => return None,
        1 => ("an inside corner".to_owned(), "It comes"),
        n => (format!("{n} inside corners"), "They come"),
    };
    let name = capital(&cut.name);
    let text = format!(
        "{name} has {corners} sharper than the cut. {come} out with a radius of {radius_mm:.2} mm, half the kerf. Where \
         something square goes in, draw a relief, or file it."
    );
    Some(Check::of(NAME, Verdict::Warn, text).about(&cut.id).at(places))
}

/// The inside corners of a closed contour that are rounder after the cut than before: sharp ones, and arcs of a smaller
/// radius than the cut's, mm.
fn unreached(contour: &Contour, radius_mm: f64) -> Vec<PlatePoint> {
    let pieces: Vec<&Segment> = contour.segments.iter().filter(|piece| piece.chord().length() > 0.0).collect();
    let sharp = pieces.iter().zip(pieces.iter().cycle().skip(1)).filter_map(|(piece, next)| {
        let (arriving, leaving) = (piece.end_direction()?, next.start_direction()?);
        let turn_rad = arriving.cross(leaving).atan2(arriving.dot(leaving));
        (turn_rad < -SHARP_RAD).then_some(piece.to)
    });
    let tight = pieces.iter().filter(|piece| {
        let turns_right = piece.sweep_rad() < -SHARP_RAD;
        turns_right && piece.radius_mm().is_some_and(|radius| radius < radius_mm - SHOWN_MM)
    });
    sharp.chain(tight.map(|piece| piece.point_at(0.5))).collect()
}
