//! What became of the photos of one scene.

use crate::sweeps::Taken;
use image::ExtendedColorType;
use image::codecs::jpeg::JpegEncoder;
use platewright_core::edge::{RimMeasurement, Verdict};
use platewright_tests::Bound;
use platewright_tests::rims::RimError;

/// Errors over the trusted rims of a scene.
#[derive(Debug)]
pub(crate) struct Errors {
    pub(crate) bias_px: f64,
    /// Standard deviation of the bias.
    pub(crate) bias_sigma_px: f64,
    /// About the bias.
    pub(crate) scatter_px: f64,
    /// Rims whose error is within the 95 % that is stated, as a share.
    pub(crate) held_share: f64,
}

/// What became of the photos of one scene.
#[derive(Debug)]
pub(crate) struct Outcome {
    pub(crate) found: usize,
    pub(crate) trusted: usize,
    /// The bias is along the fall of the plate, the scatter of one coordinate.
    pub(crate) centre: Errors,
    pub(crate) radius: Errors,
    pub(crate) bound: Bound,
}

/// 95 % of a normal value, and of the distance of a normal place, in standard deviations.
const WITHIN_95: f64 = 1.960;
const PLACE_WITHIN_95: f64 = 2.448;

impl Outcome {
    /// Measures every photo.
    pub(crate) fn of(taken: &Taken) -> Self {
        let coder = |size: [u32; 2], bytes: Vec<u8>| match taken.jpeg {
            Some(quality) => through_jpeg(size, &bytes, quality),
            None => bytes,
        };
        let measured: Vec<_> =
            (1..=taken.photos).filter_map(|seed| taken.scene.measure_through(seed, coder).ok()).collect();
        let found = measured.len();
        let trusted: Vec<_> = measured.into_iter().filter(|(rim, _)| rim.verdict == Verdict::Trusted).collect();
        let of = |value: fn(&RimError) -> f64| {
            mean_and_scatter(&trusted.iter().map(|(_, error)| value(error)).collect::<Vec<_>>())
        };
        let ((bias, along), (_, across)) = (of(|error| error.centre[0]), of(|error| error.centre[1]));
        let (radius_bias, radius) = of(|error| error.radius);
        let n = trusted.len() as f64;
        let centre_held = trusted.iter().filter(|(rim, error)| {
            let [x, y] = error.centre;
            x.hypot(y) <= PLACE_WITHIN_95 * (2.0_f64.sqrt() * stated_px(rim)).hypot(rim.shared_shift_px)
        });
        let radius_held = trusted
            .iter()
            .filter(|(rim, error)| error.radius.abs() <= WITHIN_95 * stated_px(rim).hypot(rim.shared_radius_px));
        Self {
            found,
            trusted: trusted.len(),
            centre: Errors {
                bias_px: bias,
                bias_sigma_px: along / n.sqrt(),
                scatter_px: (0.5 * (along * along + across * across)).sqrt(),
                held_share: centre_held.count() as f64 / n,
            },
            radius: Errors {
                bias_px: radius_bias,
                bias_sigma_px: radius / n.sqrt(),
                scatter_px: radius,
                held_share: radius_held.count() as f64 / n,
            },
            bound: taken.scene.bound(),
        }
    }
}

/// Standard deviation of the mean distance from the rim, of independent points as they state theirs; a coordinate of the
/// centre of a full circle has the square root of two times it.
fn stated_px(rim: &RimMeasurement) -> f64 {
    rim.points.iter().map(|point| point.sigma_px.powi(-2)).sum::<f64>().sqrt().recip()
}

fn mean_and_scatter(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
}

fn through_jpeg([width, height]: [u32; 2], bytes: &[u8], quality: u8) -> Vec<u8> {
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, quality)
        .encode(bytes, width, height, ExtendedColorType::Rgb8)
        .expect("a whole picture is written to memory");
    image::load_from_memory(&file).expect("it is read as it was written").to_rgb8().into_raw()
}
