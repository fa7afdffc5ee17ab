//! Pixels of every kind into what is measured: three bytes a pixel, coded as sRGB codes light.
//!
//! Edges are measured in linear light that is worked out from sRGB bytes, so a photo whose profile has another tone curve
//! is coded anew: a grey of half the light has to come out as 188 of 255, or a blurred edge seems to lie elsewhere. The
//! primaries stay as they are, since no place depends on them; Display P3, which phones write, has the tone curve of sRGB
//! and passes untouched.

use super::error::Problem;
use image::{DynamicImage, RgbImage};
use moxcms::{ColorProfile, DataColorSpace, ToneCurveEvaluator, ToneReprCurve};

/// Codes that differ by no more than this from those of sRGB are taken as they are: profiles round.
const SAME_CODE: u8 = 1;

/// The gamma of a PNG that stands for sRGB (ISO 15948, 11.3.3.5, gives it as 0.45455); what is near it is meant so too.
const SRGB_GAMMA: std::ops::RangeInclusive<f64> = 0.42..=0.48;
/// Gammas of a PNG that can be meant.
const POSSIBLE_GAMMA: std::ops::RangeInclusive<f64> = 0.2..=2.0;

/// What a file says of how its samples code light.
#[derive(Debug, Default)]
pub(super) struct Coding {
    /// The ICC profile.
    pub(super) icc: Option<Vec<u8>>,
    /// The exponent of a PNG that codes light by a power.
    pub(super) gamma: Option<f64>,
}

/// How one channel codes light.
enum Curve {
    Srgb,
    Power(f64),
    Profile(Box<dyn ToneCurveEvaluator + Send + Sync>),
}

impl Curve {
    /// Light, 0 to 1, of a sample from 0 to 1.
    fn light(&self, sample: f64) -> f64 {
        match self {
            Self::Srgb => light_of_srgb(sample),
            Self::Power(gamma) => sample.powf(gamma.recip()),
            Self::Profile(curve) => f64::from(curve.evaluate_value(sample as f32)).clamp(0.0, 1.0),
        }
    }

    /// It tells black from white. One that does not would make a picture without edges.
    fn is_meant(&self) -> bool {
        self.light(1.0) - self.light(0.0) > 0.5
    }
}

impl Coding {
    /// The curves of red, green and blue, or three times that of grey; sRGB where the file says nothing that is meant.
    fn curves(&self) -> [Curve; 3] {
        self.of_profile().or_else(|| self.of_gamma()).unwrap_or([Curve::Srgb, Curve::Srgb, Curve::Srgb])
    }

    fn of_profile(&self) -> Option<[Curve; 3]> {
        let profile = ColorProfile::new_from_slice(self.icc.as_deref()?).ok()?;
        let [r, g, b] = match profile.color_space {
            DataColorSpace::Rgb => [&profile.red_trc, &profile.green_trc, &profile.blue_trc],
            DataColorSpace::Gray => [&profile.gray_trc; 3],
            // The profile of inks does not fit the pixels that the decoder made of them.
            _ => return None,
        };
        let curve = |trc: &Option<ToneReprCurve>| trc.as_ref()?.make_linear_evaluator().ok().map(Curve::Profile);
        let curves = [curve(r)?, curve(g)?, curve(b)?];
        curves.iter().all(Curve::is_meant).then_some(curves)
    }

    fn of_gamma(&self) -> Option<[Curve; 3]> {
        let gamma = self.gamma.filter(|gamma| POSSIBLE_GAMMA.contains(gamma) && !SRGB_GAMMA.contains(gamma))?;
        Some([Curve::Power(gamma), Curve::Power(gamma), Curve::Power(gamma)])
    }
}

/// A sample of 8 or 16 bits.
trait Sample: Copy {
    /// How many values it has.
    const VALUES: usize;
    fn index(self) -> usize;
}

impl Sample for u8 {
    const VALUES: usize = 1 << 8;
    fn index(self) -> usize {
        usize::from(self)
    }
}

impl Sample for u16 {
    const VALUES: usize = 1 << 16;
    fn index(self) -> usize {
        usize::from(self)
    }
}

/// The picture as sRGB bytes. What is see-through is laid on white, as on paper; the two mix as light does, so that an
/// edge stays where half of it is covered.
///
/// # Errors
/// Where the samples are floating-point numbers, which no camera writes and whose coding nothing tells.
pub(super) fn to_srgb(image: DynamicImage, coding: &Coding) -> Result<RgbImage, Problem> {
    let curves = coding.curves();
    let (width, height) = (image.width(), image.height());
    let bytes = match image {
        DynamicImage::ImageRgb8(rgb) => return Ok(recode(rgb, &curves)),
        DynamicImage::ImageLuma8(grey) => opaque(grey.as_raw().as_chunks::<1>().0, &curves),
        DynamicImage::ImageLuma16(grey) => opaque(grey.as_raw().as_chunks::<1>().0, &curves),
        DynamicImage::ImageRgb16(rgb) => opaque(rgb.as_raw().as_chunks::<3>().0, &curves),
        DynamicImage::ImageLumaA8(grey) => on_white(grey.as_raw().as_chunks::<2>().0, &curves),
        DynamicImage::ImageLumaA16(grey) => on_white(grey.as_raw().as_chunks::<2>().0, &curves),
        DynamicImage::ImageRgba8(rgb) => on_white(rgb.as_raw().as_chunks::<4>().0, &curves),
        DynamicImage::ImageRgba16(rgb) => on_white(rgb.as_raw().as_chunks::<4>().0, &curves),
        _ => return Err(Problem::Unsupported("floating-point pixels".to_owned())),
    };
    RgbImage::from_raw(width, height, bytes).ok_or_else(|| Problem::Damaged("pixels are missing".to_owned()))
}

/// The same picture coded as sRGB, in its own memory; untouched where it is already.
fn recode(mut rgb: RgbImage, curves: &[Curve; 3]) -> RgbImage {
    let codes = codes::<u8>(curves);
    let is_srgb = |codes: &Vec<u8>| (0..=u8::MAX).zip(codes).all(|(own, code)| own.abs_diff(*code) <= SAME_CODE);
    if !codes.iter().all(is_srgb) {
        for pixel in rgb.as_chunks_mut::<3>().0 {
            *pixel = [0, 1, 2].map(|channel| codes[channel][usize::from(pixel[channel])]);
        }
    }
    rgb
}

/// Pixels of `N` samples, grey or red, green and blue.
fn opaque<S: Sample, const N: usize>(pixels: &[[S; N]], curves: &[Curve; 3]) -> Vec<u8> {
    let codes = codes::<S>(curves);
    pixels.iter().flat_map(|pixel| [0, 1, 2].map(|channel| codes[channel][pixel[channel.min(N - 1)].index()])).collect()
}

/// Pixels of `N` samples, the last of which says how much they cover.
fn on_white<S: Sample, const N: usize>(pixels: &[[S; N]], curves: &[Curve; 3]) -> Vec<u8> {
    let codes = codes::<S>(curves);
    let light = [0, 1, 2].map(|channel: usize| table::<S, _>(|sample| curves[channel].light(sample)));
    let most = S::VALUES - 1;
    let pixel = |pixel: &[S; N]| {
        let cover = pixel[N - 1].index();
        [0, 1, 2].map(|channel| {
            let sample = pixel[channel.min(N - 2)].index();
            if cover == most {
                return codes[channel][sample];
            }
            let cover = cover as f64 / most as f64;
            code_of_light(cover * light[channel][sample] + 1.0 - cover)
        })
    };
    pixels.iter().flat_map(pixel).collect()
}

/// The sRGB bytes of all values that a sample has, by channel.
fn codes<S: Sample>(curves: &[Curve; 3]) -> [Vec<u8>; 3] {
    [0, 1, 2].map(|channel: usize| {
        table::<S, _>(|sample| match &curves[channel] {
            Curve::Srgb => (sample * 255.0).round() as u8,
            curve => code_of_light(curve.light(sample)),
        })
    })
}

/// Something of each value that a sample has, which is from 0 to 1.
fn table<S: Sample, T>(of: impl Fn(f64) -> T) -> Vec<T> {
    let most = (S::VALUES - 1) as f64;
    (0..S::VALUES).map(|value| of(value as f64 / most)).collect()
}

/// Light, 0 to 1, of an sRGB sample from 0 to 1 (IEC 61966-2-1).
fn light_of_srgb(sample: f64) -> f64 {
    if sample <= 0.040_45 { sample / 12.92 } else { ((sample + 0.055) / 1.055).powf(2.4) }
}

/// The sRGB byte of light, 0 to 1 (IEC 61966-2-1).
fn code_of_light(light: f64) -> u8 {
    let sample = if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    (sample * 255.0).round() as u8
}
