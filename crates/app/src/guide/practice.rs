//! The practice caliper: what a caliper would read on the plate of the demo's photo.

use platewright_core::job::MeasureKind;
use platewright_core::space::{PhotoPoint, PlatePoint};
use serde::Deserialize;

/// What the plate on the photo measures.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Practice {
    /// The photo's file name, beside this one.
    pub photo: String,
    /// Its holes.
    pub holes: Vec<DrawnHole>,
}

/// A hole of the plate as its drawing has it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct DrawnHole {
    /// Its centre on the photo, px.
    pub at_px: [f64; 2],
    /// Its centre on the plate, mm.
    pub at_mm: [f64; 2],
    /// Its diameter, mm.
    pub diameter_mm: f64,
}

/// How far from a drawn hole's centre the middle of a hole's picks may lie, px: the picks need not be spread evenly. Of two
/// holes as near as that, the nearer counts.
const SAME_PX: f64 = 180.0;

impl Practice {
    /// What the caliper reads between the holes that are centred there on the photo, mm, to its last digit; `None` where one
    /// of them is none of the plate's or where the kind of measure is not one of holes.
    pub fn reading(&self, kind: MeasureKind, centres: &[PhotoPoint]) -> Option<f64> {
        let holes: Option<Vec<&DrawnHole>> = centres.iter().map(|at| self.hole_at(*at)).collect();
        let apart = |a: &DrawnHole, b: &DrawnHole| a.place().distance(b.place());
        let radii = |a: &DrawnHole, b: &DrawnHole| f64::midpoint(a.diameter_mm, b.diameter_mm);
        let mm = match (kind, holes?.as_slice()) {
            (MeasureKind::Diameter, [hole]) => hole.diameter_mm,
            (MeasureKind::FarRims, [a, b]) => apart(a, b) + radii(a, b),
            (MeasureKind::NearRims, [a, b]) => apart(a, b) - radii(a, b),
            (MeasureKind::Centres, [a, b]) => apart(a, b),
            _ => return None,
        };
        Some((mm * 100.0).round() / 100.0)
    }

    fn hole_at(&self, at: PhotoPoint) -> Option<&DrawnHole> {
        let far = |hole: &&DrawnHole| at.distance(PhotoPoint::new(hole.at_px[0], hole.at_px[1]));
        self.holes.iter().filter(|hole| far(hole) < SAME_PX).min_by(|a, b| far(a).total_cmp(&far(b)))
    }
}

impl DrawnHole {
    fn place(&self) -> PlatePoint {
        PlatePoint::new(self.at_mm[0], self.at_mm[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caliper_reads_what_the_drawing_gives() {
        let hole = |u: f64, x: f64, y: f64, diameter_mm: f64| DrawnHole { at_px: [u, 0.0], at_mm: [x, y], diameter_mm };
        let practice =
            Practice { photo: "p.jpg".to_owned(), holes: vec![hole(0.0, 0.0, 0.0, 9.0), hole(900.0, 30.0, 40.0, 6.5)] };
        let [a, b] = [PhotoPoint::new(3.0, -4.0), PhotoPoint::new(905.0, 2.0)];
        // By hand: centres 50 apart, radii 4.5 and 3.25.
        assert_eq!(practice.reading(MeasureKind::FarRims, &[a, b]), Some(57.75), "far sides");
        assert_eq!(practice.reading(MeasureKind::NearRims, &[b, a]), Some(42.25), "near sides");
        assert_eq!(practice.reading(MeasureKind::Centres, &[a, b]), Some(50.0), "centres");
        assert_eq!(practice.reading(MeasureKind::Diameter, &[b]), Some(6.5), "across");
        assert_eq!(practice.reading(MeasureKind::FarRims, &[a]), None, "one hole only");
        assert_eq!(practice.reading(MeasureKind::Edges, &[a, b]), None, "no holes");
        assert_eq!(practice.reading(MeasureKind::Diameter, &[PhotoPoint::new(400.0, 0.0)]), None, "none there");
    }
}
