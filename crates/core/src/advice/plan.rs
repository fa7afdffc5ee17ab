//! How to take a photo, before it is taken.
//!
//! Model: the farthest hole lies half the part's longest side L off its middle. From a stand-off S with a focal length f the
//! photo has f / S px to the mm. A rim's centre is measured to `RIM_PX`, which is `k RIM_PX S / f` mm (95 %, k of a place
//! in the plane); what lies h off the face is seen `h (L/2) / S` aside, tilted by t up to `h ((L/2) / S + tan t)`. The one grows
//! with S, the other shrinks, and the sum of their squares is least where both are equal:
//! `S² = h (L/2) f / (k RIM_PX)` (derived here). The part has to fit the picture with room all round, and the lens to focus:
//! those are the least S. Who zooms in with the lens keeps S and has more px to the mm.

use crate::tolerance::K95_PLACE;

/// A camera that a photo is to be taken with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Focal length without zoom, px.
    pub focal_px: f64,
    /// The picture's longer side, px.
    pub long_px: f64,
}

/// The main camera of a usual phone: 26 mm as of 35 mm film, 12 megapixels (4000 x 3000, diagonal 5000 px over 43.27 mm).
/// From memory; common practice, no source.
pub const USUAL_PHONE: Camera = Camera { focal_px: 26.0 * 5000.0 / 43.27, long_px: 4000.0 };

/// What is to be photographed, and how.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// The part's longest side, mm; more than 0.
    pub longest_mm: f64,
    /// How far what is picked may lie off the face, mm; 0 or more.
    pub off_mm: f64,
    /// What it is taken with.
    pub camera: Camera,
    /// How far it is held from square, degrees, under 60.
    pub tilt_deg: f64,
}

/// What to do and what to expect of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// How far off to stand, mm.
    pub stand_off_mm: f64,
    /// Px to the mm from there, without zoom.
    pub px_per_mm: f64,
    /// The share of the picture's longer side that the part fills, without zoom.
    pub fill: f64,
    /// By how much to zoom in with the lens, so that it fills as much as it may; 1 where it does so anyway.
    pub zoom: f64,
    /// What the farthest hole is good to by the photo alone, held square and without zoom, mm (95 %).
    pub plus_minus_mm: f64,
    /// The same with the tilt.
    pub tilted_mm: f64,
    /// The same held square and zoomed in.
    pub zoomed_mm: f64,
}

/// A rim's centre is measured to this, px, one coordinate (1 sigma): what real photos of printed discs left over a grid,
/// 0.10 to 0.13 px of both (`real_discs`).
const RIM_PX: f64 = 0.1;

/// The part fills this share of the picture's longer side: a fifth stays free on each side.
const FILLED: f64 = 0.6;

/// A phone's main camera does not focus nearer than this, mm. Common practice, no source.
const NEAREST_MM: f64 = 150.0;

/// Stand-offs are said in steps of this, mm.
const STEP_MM: f64 = 10.0;

/// How to take a photo; `None` where the plan's figures are none.
pub fn before(plan: &Plan) -> Option<Expected> {
    let Plan { longest_mm, off_mm, camera: Camera { focal_px, long_px }, tilt_deg } = *plan;
    let is_plan =
        longest_mm > 0.0 && off_mm >= 0.0 && focal_px > 0.0 && long_px > 0.0 && (0.0..60.0).contains(&tilt_deg);
    if !is_plan || !(longest_mm + off_mm + focal_px + long_px).is_finite() {
        return None;
    }
    let half_mm = 0.5 * longest_mm;
    let least_mm = (focal_px * longest_mm / (FILLED * long_px)).max(NEAREST_MM);
    let best_mm = (off_mm * half_mm * focal_px / (K95_PLACE * RIM_PX)).sqrt();
    let stand_off_mm = (best_mm.max(least_mm) / STEP_MM).ceil() * STEP_MM;
    let px_per_mm = focal_px / stand_off_mm;
    let fill = px_per_mm * longest_mm / long_px;
    let zoom = (FILLED / fill).max(1.0);
    let good_to = |px_per_mm: f64, slant: f64| (K95_PLACE * RIM_PX / px_per_mm).hypot(off_mm * slant);
    let (slant, tilt_rad) = (half_mm / stand_off_mm, tilt_deg.to_radians());
    Some(Expected {
        stand_off_mm,
        px_per_mm,
        fill,
        zoom,
        plus_minus_mm: good_to(px_per_mm, slant),
        tilted_mm: good_to(px_per_mm * tilt_rad.cos(), slant + tilt_rad.tan()),
        zoomed_mm: good_to(px_per_mm * zoom, slant),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(longest_mm: f64, off_mm: f64) -> Plan {
        Plan { longest_mm, off_mm, camera: Camera { focal_px: 3000.0, long_px: 4000.0 }, tilt_deg: 5.0 }
    }

    #[test]
    fn the_usual_plate_is_taken_from_about_four_lengths() {
        // sqrt(0.5 * 100 * 3000 / (2.4477 * 0.1)) = sqrt(612,819) = 782.8 mm, said as 790.
        let expected = before(&plan(200.0, 0.5)).unwrap();
        assert!((expected.stand_off_mm - 790.0).abs() < 1e-9, "{expected:?}");
        // 3000 / 790 = 3.797 px to the mm; 200 mm of it are 759 of 4000 px; to fill 0.6 it takes 3.16 times as much.
        assert!((expected.px_per_mm - 3.797).abs() < 1e-3 && (expected.fill - 0.1899).abs() < 1e-4, "{expected:?}");
        assert!((expected.zoom - 3.16).abs() < 1e-2, "{expected:?}");
        // 0.24477 / 3.797 = 0.0645 and 0.5 * 100 / 790 = 0.0633; together 0.0903.
        assert!((expected.plus_minus_mm - 0.0903).abs() < 1e-4, "{expected:?}");
        // Tilted by 5 degrees: 0.0645 / 0.9962 = 0.0647 and 0.5 * (0.1266 + 0.0875) = 0.1070; together 0.1251.
        assert!((expected.tilted_mm - 0.1251).abs() < 2e-4, "{expected:?}");
        // Zoomed in: 0.24477 / 12 = 0.0204 and 0.0633; together 0.0665.
        assert!((expected.zoomed_mm - 0.0665).abs() < 1e-4, "{expected:?}");
    }

    #[test]
    fn nearer_or_farther_is_worse() {
        // The stand-off is rounded up, so that its own neighbours are compared with steps of a tenth.
        let good_to =
            |stand_off_mm: f64| (K95_PLACE * RIM_PX * stand_off_mm / 3000.0).hypot(0.5 * 100.0 / stand_off_mm);
        let Expected { stand_off_mm, plus_minus_mm, .. } = before(&plan(200.0, 0.5)).unwrap();
        assert!((good_to(stand_off_mm) - plus_minus_mm).abs() < 1e-12, "the same formula");
        assert!(
            good_to(0.9 * stand_off_mm) > plus_minus_mm && good_to(1.1 * stand_off_mm) > plus_minus_mm,
            "least here"
        );
    }

    #[test]
    fn the_part_fits_and_the_lens_can_focus() {
        // A flat part with nothing off its face: as near as it fits, 3000 * 200 / 2400 = 250 mm.
        let flat = before(&plan(200.0, 0.0)).unwrap();
        assert!((flat.stand_off_mm - 250.0).abs() < 1e-9 && (flat.fill - FILLED).abs() < 1e-12, "{flat:?}");
        assert!((flat.zoom - 1.0).abs() < 1e-12, "no zoom: {flat:?}");
        let small = before(&plan(20.0, 0.0)).unwrap();
        assert!((small.stand_off_mm - NEAREST_MM).abs() < 1e-9, "{small:?}");
    }

    #[test]
    fn what_is_no_plan_has_no_answer() {
        for (longest_mm, off_mm) in [(0.0, 0.5), (-1.0, 0.5), (200.0, -0.1), (f64::NAN, 0.5), (f64::INFINITY, 0.5)] {
            assert_eq!(before(&plan(longest_mm, off_mm)), None, "{longest_mm}, {off_mm}");
        }
        assert_eq!(before(&Plan { tilt_deg: 75.0, ..plan(200.0, 0.5) }), None, "along the face nothing is seen");
    }
}
