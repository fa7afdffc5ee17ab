//! The focal length that a photo says of itself.

use super::samples::Field::{self, Long, Rational, Short};
use super::samples::exif;
use crate::files::exif_tags::Tags;

const F35: u16 = 0xA405;
const FOCAL: u16 = 0x920A;
const ZOOM: u16 = 0xA404;
const WIDTH: u16 = 0xA002;
const HEIGHT: u16 = 0xA003;
const PLANE_X: u16 = 0xA20E;
const PLANE_Y: u16 = 0xA20F;
const PLANE_UNIT: u16 = 0xA210;

/// A picture of this size whose EXIF holds `fields` has this focal length, px.
#[track_caller]
fn check(fields: &[(u16, Field)], size: [u32; 2], expected_px: Option<f64>) {
    // EXIF alone is a TIFF without a picture.
    let found = Tags::read(&exif(&[], fields)).focal_px(size);
    let is_near = match (found, expected_px) {
        (Some(found), Some(expected)) => (found / expected - 1.0).abs() < 1e-4,
        (found, expected) => found == expected,
    };
    assert!(is_near, "{fields:?} on {size:?}: {found:?} instead of {expected_px:?}");
}

/// 26 mm on the diagonal of 4000 x 3000 px: 26 * 5000 / 43.2666.
const F26_PX: f64 = 3004.64;

#[test]
fn the_equivalent_counts_on_the_diagonal_of_the_photo_as_taken() {
    let taken = [(F35, Short(26)), (WIDTH, Long(4000)), (HEIGHT, Long(3000))];
    check(&taken[..1], [4000, 3000], Some(F26_PX));
    check(&taken, [4000, 3000], Some(F26_PX));
    check(&taken, [3000, 4000], Some(F26_PX));
    // Made smaller as a whole, with the sides rounded.
    check(&taken, [1000, 750], Some(F26_PX / 4.0));
    check(&taken, [133, 100], Some(F26_PX * 133.0 / 4000.0));
    // Cut to a square or to a strip: the pixels are as large as before.
    check(&taken, [3000, 3000], Some(F26_PX));
    check(&taken, [900, 2000], Some(F26_PX));
    // No part of that photo.
    check(&taken, [5000, 3000], None);
    check(&[(F35, Short(26)), (WIDTH, Long(0)), (HEIGHT, Long(3000))], [4000, 3000], Some(F26_PX));
}

#[test]
fn without_it_the_sensor_tells() {
    // A sensor of 23.5 x 15.6 mm, 6000 x 4000 px: 255.3 px a mm. 35 mm are 8936 px.
    let px_per_inch = Rational(6_485_100, 1000);
    let sensor = |unit: Field, resolution: Field| {
        [
            (FOCAL, Rational(350, 10)),
            (WIDTH, Short(6000)),
            (HEIGHT, Short(4000)),
            (PLANE_X, resolution),
            (PLANE_Y, resolution),
            (PLANE_UNIT, unit),
        ]
    };
    let inch = sensor(Short(2), px_per_inch);
    check(&inch, [6000, 4000], Some(35.0 * 6485.1 / 25.4));
    check(&inch[..5], [6000, 4000], Some(35.0 * 6485.1 / 25.4));
    check(&inch, [2000, 3000], Some(35.0 * 6485.1 / 25.4 / 2.0));
    check(&inch, [4000, 4000], Some(35.0 * 6485.1 / 25.4));
    check(&sensor(Short(3), Rational(25_532, 10)), [6000, 4000], Some(35.0 * 255.32));
    check(&sensor(Short(1), px_per_inch), [6000, 4000], None);
    check(&inch[..4], [6000, 4000], None);
    // The equivalent comes first, unless it is one that cannot be meant.
    check(&[&inch[..], &[(F35, Short(26))]].concat(), [6000, 4000], Some(26.0 * 7211.10 / 43.266_615));
    check(&[&inch[..], &[(F35, Short(48_388))]].concat(), [6000, 4000], Some(35.0 * 6485.1 / 25.4));
}

#[test]
fn a_digital_zoom_is_in_the_equivalent_and_not_in_the_sensor() {
    check(&[(F35, Short(26)), (ZOOM, Rational(2, 1))], [4000, 3000], Some(F26_PX));
    let plane = [(FOCAL, Rational(35, 1)), (PLANE_X, Rational(6485, 1)), (PLANE_Y, Rational(6485, 1))];
    for (zoom, expected) in [(Rational(0, 1), true), (Rational(1, 1), true), (Rational(2, 1), false)] {
        let fields = [&plane[..], &[(ZOOM, zoom)]].concat();
        check(&fields, [6000, 4000], expected.then_some(35.0 * 6485.0 / 25.4));
    }
}

#[test]
fn hostile_numbers_say_nothing() {
    for f35 in [Short(0), Short(1), Short(u16::MAX), Long(u32::MAX), Rational(26, 1)] {
        check(&[(F35, f35)], [4000, 3000], None);
    }
    let numbers = [Rational(0, 0), Rational(0, 1), Rational(1, 0), Rational(u32::MAX, 1), Rational(1, u32::MAX)];
    for hostile in numbers {
        for tag in [FOCAL, PLANE_X, PLANE_Y] {
            let good = [(FOCAL, Rational(35, 1)), (PLANE_X, Rational(6485, 1)), (PLANE_Y, Rational(6485, 1))];
            let fields = good.map(|(own, value)| (own, if own == tag { hostile } else { value }));
            check(&fields, [6000, 4000], None);
        }
    }
    // Of such a photo no picture of this size is a part that anyone cuts out.
    check(&[(F35, Short(26)), (WIDTH, Long(u32::MAX)), (HEIGHT, Long(u32::MAX))], [4000, 3000], None);
}
