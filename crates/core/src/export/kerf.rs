//! The path of the cutter's middle, so that what is left has its finished size.
//!
//! A cutter takes away a strip as wide as its kerf, half of it on either side of the path. The outline's path lies half a
//! kerf outside it, that of an opening or a hole half a kerf inside: beside the part, never in it.

use super::{CutContour, CutDrawing, CutHole};
use crate::geom::{OffsetRefused, contours_beside};
use crate::job::{Id, Stock};

/// Why there is no path that allows for the kerf.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum KerfRefused {
    /// The cutter does not go into an opening or a hole.
    #[error("{name} is no wider than the kerf of {kerf_mm:.2} mm; make it wider, or leave it out")]
    TooNarrow {
        /// What it is called in a sentence.
        name: String,
        /// The kerf, mm.
        kerf_mm: f64,
    },
    /// The path falls apart: a bay or a neck is narrower than the kerf.
    #[error(
        "{name} has a place that is narrower than the kerf of {kerf_mm:.2} mm, and the cutter does not get into it; make it wider, \
         or let the shop allow for the kerf"
    )]
    FallsApart {
        /// What it is called in a sentence.
        name: String,
        /// The kerf, mm.
        kerf_mm: f64,
    },
    /// There is no path beside what is open or meets itself.
    #[error("{name} is not closed or meets itself, so there is no path beside it for the kerf")]
    NoRing {
        /// What it is called in a sentence.
        name: String,
    },
}

impl CutDrawing {
    /// The drawing of the cutter's path: half of `kerf_mm` beside everything that is cut, and a note that says so.
    ///
    /// # Errors
    /// Where a contour is open, or too narrow for the cutter.
    pub fn allowing_for_kerf(mut self, kerf_mm: f64) -> Result<Self, KerfRefused> {
        let half = kerf_mm / 2.0;
        self.outer.iter_mut().try_for_each(|cut| move_beside(cut, half, kerf_mm))?;
        self.openings.iter_mut().try_for_each(|cut| move_beside(cut, -half, kerf_mm))?;
        self.holes.iter_mut().try_for_each(|hole| make_smaller(hole, kerf_mm))?;
        self.notes.push(format!("ALLOWS FOR A KERF OF {} mm: cut on the line", Stock::kerf_figure(kerf_mm)));
        Ok(self)
    }

    /// The same where the file allows for the kerf, else the drawing at its finished size.
    ///
    /// # Errors
    /// As [`Self::allowing_for_kerf`].
    pub fn cutters_path(self, stock: &Stock) -> Result<Self, KerfRefused> {
        match stock.kerf_to_allow_mm() {
            Some(kerf_mm) => self.allowing_for_kerf(kerf_mm),
            None => Ok(self),
        }
    }

    /// Everything that a cutter whose cut is `kerf_mm` wide does not get into, or has no path beside it, by its id.
    pub fn refused_by_kerf(&self, kerf_mm: f64) -> Vec<(&Id, KerfRefused)> {
        let half = kerf_mm / 2.0;
        let beside =
            |outward_mm: f64| move |cut: &'_ CutContour| move_beside(&mut cut.clone(), outward_mm, kerf_mm).err();
        let (outside, inside) = (beside(half), beside(-half));
        let outer = self.outer.iter().filter_map(|cut| Some((&cut.id, outside(cut)?)));
        let openings = self.openings.iter().filter_map(|cut| Some((&cut.id, inside(cut)?)));
        let holes =
            self.holes.iter().filter_map(|hole| Some((&hole.id, make_smaller(&mut hole.clone(), kerf_mm).err()?)));
        outer.chain(openings).chain(holes).collect()
    }
}

fn make_smaller(hole: &mut CutHole, kerf_mm: f64) -> Result<(), KerfRefused> {
    hole.diameter_mm -= kerf_mm;
    if hole.diameter_mm > 0.0 { Ok(()) } else { Err(KerfRefused::TooNarrow { name: hole.name.clone(), kerf_mm }) }
}

fn move_beside(cut: &mut CutContour, outward_mm: f64, kerf_mm: f64) -> Result<(), KerfRefused> {
    let name = || cut.name.clone();
    let mut beside = contours_beside(&cut.contour, outward_mm).map_err(|refused| match refused {
        OffsetRefused::NoRing => KerfRefused::NoRing { name: name() },
        OffsetRefused::NoRingBeside => KerfRefused::FallsApart { name: name(), kerf_mm },
    })?;
    match (beside.pop(), beside.len()) {
        (Some(path), 0) => cut.contour = path,
        (None, _) => return Err(KerfRefused::TooNarrow { name: name(), kerf_mm }),
        (Some(_), _) => return Err(KerfRefused::FallsApart { name: name(), kerf_mm }),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Contour;
    use crate::space::PlatePoint as P;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    fn cut(name: &str, contour: Contour) -> CutContour {
        CutContour { id: name.into(), name: name.to_owned(), contour }
    }

    fn polygon(corners: &[(f64, f64)]) -> Contour {
        Contour::polygon(&corners.iter().map(|(x, y)| P::new(*x, *y)).collect::<Vec<_>>())
    }

    fn plate() -> CutDrawing {
        let hole = CutHole { id: "h1".into(), name: "H1".into(), centre: P::new(20.0, 0.0), diameter_mm: 6.6 };
        CutDrawing {
            outer: vec![cut("the outline", polygon(&[(-30.0, -20.0), (30.0, -20.0), (30.0, 20.0), (-30.0, 20.0)]))],
            openings: vec![cut("opening c2", Contour::slot(P::new(-10.0, 0.0), 10.0, 0.0, 8.0).oriented(false))],
            holes: vec![hole],
            ..CutDrawing::default()
        }
    }

    /// By Steiner's formula the outline gains its length times half a kerf and a quarter round each corner, and the opening
    /// loses its length times half a kerf, less the round ends.
    #[test]
    fn what_is_taken_away_leaves_the_finished_size() {
        let (before, after) = (plate(), plate().allowing_for_kerf(0.3).unwrap());
        let area = |cut: &CutContour| cut.contour.signed_area_mm2();
        assert_relative_eq!(area(&after.outer[0]), 2400.0 + 200.0 * 0.15 + PI * 0.15 * 0.15, epsilon = 1e-9);
        let lost = 0.15 * before.openings[0].contour.length_mm() - PI * 0.15 * 0.15;
        assert_relative_eq!(area(&after.openings[0]), area(&before.openings[0]) + lost, epsilon = 1e-9);
        assert!(!after.openings[0].contour.is_counter_clockwise(), "still gone round clockwise");
        assert_relative_eq!(after.holes[0].diameter_mm, 6.3, epsilon = 1e-12);
        assert_eq!(after.notes, ["ALLOWS FOR A KERF OF 0.3 mm: cut on the line"]);
    }

    #[test]
    fn what_the_cutter_does_not_get_into_is_named() {
        let said = |drawing: CutDrawing, kerf_mm| drawing.allowing_for_kerf(kerf_mm).unwrap_err().to_string();
        let narrow = "is no wider than the kerf of 8.10 mm; make it wider, or leave it out";
        assert_eq!(said(plate(), 8.1), format!("opening c2 {narrow}"));
        let only_hole = CutDrawing { openings: Vec::new(), ..plate() };
        assert_eq!(said(only_hole, 8.1), format!("H1 {narrow}"));
        // A bay whose mouth is 0.2 wide and whose inside is wider: outside it a pocket is left.
        let mut bay = plate();
        let corners = [(-30.0, -20.0), (30.0, -20.0), (30.0, 20.0), (0.1, 20.0), (0.1, 15.0), (5.0, 15.0), (5.0, 10.0)];
        let back = [(-5.0, 10.0), (-5.0, 15.0), (-0.1, 15.0), (-0.1, 20.0), (-30.0, 20.0)];
        bay.outer = vec![cut("the outline", polygon(&[&corners[..], &back].concat()))];
        assert!(said(bay, 0.5).starts_with("the outline has a place that is narrower than the kerf of 0.50 mm"));
        let whole = plate();
        let ids = |kerf_mm| whole.refused_by_kerf(kerf_mm).into_iter().map(|(id, _)| id.0.as_str()).collect::<Vec<_>>();
        assert_eq!((ids(0.3), ids(8.1)), (vec![], vec!["opening c2", "h1"]), "each by itself");
        let mut open = plate();
        open.outer[0].contour.closed = false;
        assert!(said(open, 0.5).starts_with("the outline is not closed"));
    }
}
