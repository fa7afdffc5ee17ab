//! The file is the one that the camera wrote, not one made smaller on its way.
//!
//! Model: a phone writes [`USUAL_PIXELS`] or more; a file with fewer that has lost the record of its lens as well was reduced,
//! and the whole one has every edge to so many fewer mm (adjusted anew). Hard packing as JPEG moves rims beyond what their
//! points tell: on rendered photos of quality 60 by 0.03 px (`rim_sweep`), and in proportion to the steps of its rounding, which
//! are `2 (100 - q)` % of the standard's tables from 50 up and `5000 / q` % below (Independent JPEG Group's scale; the
//! tables: ITU-T T.81, annex K). That comes on top of the ±.

use super::sharper::scale_all;
use super::{Advice, Case};
use crate::solution::{BeliefSource, beliefs};
use crate::tolerance::K95_PLACE;

pub(super) const NAME: &str = "File";

/// Pixels of a phone's photo. Common practice, no source.
const USUAL_PIXELS: f64 = 12e6;

/// A file with fewer than this share of them was made smaller, where it lost its record.
const REDUCED: f64 = 0.5;

/// What packing at quality 60 moves rims by, px, and the step of its rounding, % of the standard's.
const PACKED_PX: f64 = 0.03;
const PACKED_STEP: f64 = 80.0;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let [width, height] = case.job().photo.size;
    let pixels = f64::from(width) * f64::from(height);
    let has_record = beliefs(case.inputs).focal_px.source == BeliefSource::Photo;
    let is_reduced = !has_record && case.inputs.exif_focal_px.is_none() && pixels < REDUCED * USUAL_PIXELS;
    let (farthest, least) = case.worst(|hole| -case.map.least_px_per_mm(hole.centre));
    let packed_mm = case.file.jpeg_quality.map_or(0.0, |quality| K95_PLACE * packed_px(quality) / -least);
    let said = format!("The photo is {width} x {height} px");
    let quality = case.file.jpeg_quality.map_or_else(String::new, |q| format!(", packed at quality {q:.0} of 100"));
    let (hole, reduced_mm) = if is_reduced {
        let gain = case.sharper.gain(|problem| scale_all(problem, (pixels / USUAL_PIXELS).sqrt()));
        (&case.solution.holes[gain.hole], gain.mm)
    } else {
        (farthest, 0.0)
    };
    let text = if is_reduced {
        format!("{said}{quality}, without the camera's record: it may have been made smaller on its way.")
    } else {
        format!("{said}{quality}.")
    };
    let way_out = "Copy the file from the phone itself, by cable or as a document, and not as a picture in a message.";
    case.advice(NAME, packed_mm.max(reduced_mm), if packed_mm > reduced_mm { farthest } else { hole }, text, way_out)
}

/// What packing at a quality moves a rim's centre by, px (1 sigma).
fn packed_px(quality: f64) -> f64 {
    let quality = quality.clamp(1.0, 100.0);
    let step = if quality < 50.0 { 5000.0 / quality } else { 200.0 - 2.0 * quality };
    PACKED_PX * step / PACKED_STEP
}

#[cfg(test)]
mod tests {
    use super::packed_px;

    #[test]
    fn what_packing_costs_goes_with_its_steps() {
        // Steps of the standard's tables: 20 % at 90, 80 % at 60, 100 % at 50 from either side, 200 % at 25.
        for (quality, expected) in [(100.0, 0.0), (90.0, 0.0075), (60.0, 0.03), (50.0, 0.0375), (25.0, 0.075)] {
            assert!((packed_px(quality) - expected).abs() < 1e-12, "{quality}: {}", packed_px(quality));
        }
        assert!((packed_px(49.999_999) - packed_px(50.0)).abs() < 1e-6, "no jump where the scale bends");
    }
}
