//! Photos whose profile codes light otherwise than sRGB does.

use super::formats::{self, Extra, Writer, opened};
use super::samples;
use image::ExtendedColorType as Kind;
use moxcms::{ColorProfile, ToneReprCurve, curve_from_gamma};

/// sRGB's primaries with this tone curve.
fn profile(curve: ToneReprCurve) -> Vec<u8> {
    let mut profile = ColorProfile::new_srgb();
    // Else the codes of a standard stand in the profile beside the curve, and win.
    profile.cicp = None;
    profile.red_trc = Some(curve.clone());
    profile.green_trc = Some(curve.clone());
    profile.blue_trc = Some(curve);
    profile.encode().unwrap()
}

/// A photo of `code` with this profile opens with `expected`.
#[track_caller]
fn check(writer: Writer, code: u8, icc: Vec<u8>, expected: u8) {
    // Large enough for the TIFF decoder, which allows a profile memory in proportion to the pixels.
    let bytes = writer(&vec![code; 128 * 128 * 3], [128, 128], Kind::Rgb8, &Extra { icc: Some(icc), exif: None });
    let found = opened(&bytes).get_pixel(3, 3).0;
    assert_eq!(found, [expected; 3], "{code} in {:?}", &bytes[..4]);
}

#[test]
fn other_tone_curves_are_coded_as_srgb() {
    // 128 of 255 is 0.502 of the light in a linear profile, and sRGB's code of that is 188.0; the other exponents by the
    // same formula (IEC 61966-2-1).
    for writer in [formats::png, formats::tiff, formats::webp, formats::jpeg] as [Writer; 4] {
        check(writer, 128, profile(curve_from_gamma(1.0)), 188);
    }
    check(formats::png, 128, profile(curve_from_gamma(1.8)), 146);
    check(formats::png, 20, profile(curve_from_gamma(2.2)), 12);
    check(formats::png, 255, profile(curve_from_gamma(1.8)), 255);
}

#[test]
fn the_curve_of_srgb_passes_untouched_whatever_its_primaries() {
    for profile in [ColorProfile::new_srgb(), ColorProfile::new_display_p3()] {
        for code in [1, 20, 128, 254] {
            check(formats::png, code, profile.encode().unwrap(), code);
        }
    }
}

#[test]
fn sixteen_bits_are_coded_anew_before_they_are_cut_to_eight() {
    let light: Vec<u8> = [100_u16; 3].iter().flat_map(|sample| sample.to_ne_bytes()).collect();
    let extra = Extra { icc: Some(profile(curve_from_gamma(1.0))), exif: None };
    // 100 of 65,535 is 0.00153 of the light: 12.92 times that, of 255, is 5.03. Cut to eight bits first it would be 0.
    let image = opened(&formats::png(&light, [1, 1], Kind::Rgb16, &extra));
    assert_eq!(image.get_pixel(0, 0).0, [5; 3], "a dark grey");
}

#[test]
fn a_profile_that_cannot_be_meant_is_passed_over() {
    let whole = profile(curve_from_gamma(1.0));
    check(formats::png, 128, whole[..whole.len() / 2].to_vec(), 128);
    check(formats::png, 128, b"no profile".to_vec(), 128);
    check(formats::png, 128, profile(ToneReprCurve::Lut(vec![0, 0, 0])), 128);
}

#[test]
fn the_gamma_of_a_png_counts_where_it_is_not_that_of_srgb() {
    for (gamma, expected) in [(100_000_u32, 188), (45_455, 128), (55_556, 146), (0, 128), (u32::MAX, 128)] {
        let pieces: [(&[u8; 4], &[u8]); 3] = [
            (b"IHDR", &samples::png_head(1, 1, 8, 2)),
            (b"gAMA", &gamma.to_be_bytes()),
            (b"IDAT", &samples::png_rows(&[&[128; 3]])),
        ];
        assert_eq!(opened(&samples::png(&pieces)).get_pixel(0, 0).0, [expected; 3], "gamma {gamma}");
    }
}
