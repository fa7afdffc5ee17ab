//! Measurements in pictures whose light is known at every pixel by an integral.

use super::curve::Circle;
use super::picture::Mixture;
use super::profile::{Profile, Strip};
use super::station::Station;
use super::step::{Channels, Expected, Ground, normal, steps};
use super::*;
use crate::camera::{Lens, PlateMap, Pose};
use crate::space::{PhotoPoint, PlatePoint};

const SIDE: u32 = 160;

/// Square over the face, 10 px per mm, the plate's origin at the middle of the picture.
fn square_map() -> PlateMap {
    let middle = f64::from(SIDE - 1) / 2.0;
    PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(middle, middle)), Pose::square(300.0))
}

/// Grey sRGB bytes of a picture of light between 0 and 1 (IEC 61966-2-1), rounded with a seeded dither so that the
/// rounding is noise and no bias.
fn bytes(light: impl Fn(f64, f64) -> f64) -> Vec<u8> {
    let mut state = 1_u64;
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        let linear = light(f64::from(pixel % SIDE), f64::from(pixel / SIDE)).clamp(0.0, 1.0);
        let coded = if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let dither = (state >> 40) as f64 / f64::from(1 << 24);
        rgb.extend([(coded * 255.0 + dither).floor().min(255.0) as u8; 3]);
    }
    rgb
}

/// Light of a disc of light one and this radius, blurred by a Gaussian, at a distance from its centre: across the disc
/// by the normal distribution, along it by the trapezium rule.
fn blurred_disc(radius: f64, blur: f64, distance: f64) -> f64 {
    const STRIPS: i32 = 400;
    let reach = radius.min(7.0 * blur);
    let step = 2.0 * reach / f64::from(STRIPS);
    let strip = |number: i32| {
        let y = f64::from(number) * step - reach;
        let half = (radius * radius - y * y).max(0.0).sqrt();
        let across = normal((half - distance) / blur).0 - normal((-half - distance) / blur).0;
        normal(y / blur).1 / blur * across * step
    };
    (0..=STRIPS).map(strip).sum()
}

/// A dark hole of this radius, px, in a bright face, its centre a little off the middle of a pixel.
fn hole(radius: f64, blur: f64) -> (Vec<u8>, PhotoPoint) {
    let centre = PhotoPoint::new(79.63, 80.21);
    let table: Vec<f64> = (0..1200).map(|i| blurred_disc(radius, blur, f64::from(i) * 0.1)).collect();
    let light = |x: f64, y: f64| {
        let place = PhotoPoint::new(x, y).distance(centre) * 10.0;
        let below = (place as usize).min(table.len() - 2);
        let covered = table[below] + (table[below + 1] - table[below]) * (place - below as f64);
        0.7 - 0.6 * covered
    };
    (bytes(light), centre)
}

fn start(map: &PlateMap, centre: PhotoPoint, radius_px: f64) -> RimStart {
    let centre = map.plate_from_photo(centre + crate::space::PhotoVec::new(1.5, -1.0)).unwrap();
    RimStart { centre, radius_mm: radius_px / 10.0 + 0.08, reach_px: 6.0 }
}

#[test]
fn blurred_discs_are_measured_at_their_true_radius() {
    let map = square_map();
    // Radius, blur, and the shift of the half level by an exact integral: the bias that is put back.
    let published = [
        (5.0, 1.0, -0.10173),
        (10.0, 1.0, -0.05021),
        (20.0, 1.0, -0.02503),
        (10.0, 2.0, -0.20347),
        (20.0, 2.0, -0.10042),
        (50.0, 1.0, -0.01000),
    ];
    for (radius, blur, shift) in published {
        let (mut low, mut high) = (radius - 1.0, radius + 1.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if blurred_disc(radius, blur, middle) > 0.5 { low = middle } else { high = middle }
        }
        assert!((low - radius - shift).abs() < 2e-4, "half level of R {radius}, blur {blur}: {}", low - radius);
        let (rgb, centre) = hole(radius, blur);
        let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
        let rim = measure_rim(&picture, &map, &start(&map, centre, radius)).unwrap();
        let off = rim.radius_mm * 10.0 - radius;
        assert!(off.abs() < 0.006 - 0.1 * shift, "R {radius}, blur {blur}: radius off by {off} px");
        let beside = map.photo_from_plate(rim.centre).unwrap().distance(centre);
        assert!(beside < 0.01, "R {radius}, blur {blur}: centre off by {beside} px");
        assert_eq!(rim.verdict, Verdict::Trusted, "R {radius}, blur {blur}");
        assert!((rim.blur_px - blur).abs() < 0.1 * blur, "blur {} of {blur}", rim.blur_px);
    }
}

#[test]
fn a_rim_that_leaves_the_photo_is_a_short_arc() {
    let map = square_map();
    let light =
        |x: f64, y: f64| 0.1 + 0.6 * normal(PhotoPoint::new(x, y).distance(PhotoPoint::new(8.0, 80.0)) - 40.0).0;
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, PhotoPoint::new(8.0, 80.0), 40.0)).unwrap();
    assert_eq!(rim.verdict, Verdict::ShortArc, "{} degrees", rim.arc_deg);
    assert!(
        rim.rejected.iter().any(|rejected| rejected.reason == Rejection::OffPhoto),
        "some places are off the photo"
    );
}

#[test]
fn of_a_broken_edge_the_outer_line_is_the_rim() {
    let map = square_map();
    let centre = PhotoPoint::new(80.3, 79.4);
    let light = |x: f64, y: f64| {
        let distance = PhotoPoint::new(x, y).distance(centre);
        0.1 + 0.2 * normal(distance - 36.0).0 + 0.4 * normal(distance - 40.0).0
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, centre, 38.0)).unwrap();
    assert!((rim.radius_mm - 4.0).abs() < 0.002, "the outer: {}", rim.radius_mm);
    assert_eq!(rim.verdict, Verdict::Trusted, "the other line is explained");
    let inner = rim.inner_radius_mm.unwrap();
    assert!((inner - 3.6).abs() < 0.01, "the inner: {inner}");
    let far = measure_rim_at_any_slant(&picture, &map, &start(&map, centre, 38.0)).unwrap();
    assert!((far.radius_mm - 40.0).abs() < 0.02, "by a far camera, 1 px per mm: {}", far.radius_mm);
    assert_eq!(far.inner_radius_mm, None, "its px would be taken for mm of a break's width");
}

#[test]
fn two_circles_about_two_centres_are_two_rims() {
    let map = square_map();
    let (outer, inner) = (PhotoPoint::new(80.3, 79.4), PhotoPoint::new(80.3, 81.6));
    let light = |x: f64, y: f64| {
        let at = PhotoPoint::new(x, y);
        0.1 + 0.2 * normal(at.distance(inner) - 35.0).0 + 0.4 * normal(at.distance(outer) - 40.0).0
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, outer, 38.0)).unwrap();
    match rim.verdict {
        Verdict::TwoRims { other_radius_mm } => {
            assert!((other_radius_mm - 3.5).abs() < 0.15, "the inner, roughly: {other_radius_mm}");
        }
        other => panic!("{other:?} of two rims, inner {:?}", rim.inner_radius_mm),
    }
}

#[test]
fn sides_and_their_corner_are_measured() {
    let map = square_map();
    // The face lies above y = 100 + 0.2 x and left of x = 100 - 0.1 y; both edges blurred.
    let (below, beside) = (0.2_f64, 0.1_f64);
    let light = |x: f64, y: f64| {
        let above = (100.0 + below * x - y) / below.hypot(1.0);
        let left = (100.0 - beside * y - x) / beside.hypot(1.0);
        0.1 + 0.6 * normal(above).0 * normal(left).0
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    // The face lies on the left of each way as the plate, whose y is up, shows it.
    let lower = [PhotoPoint::new(10.0, 103.5), PhotoPoint::new(75.0, 114.0)];
    let right = [PhotoPoint::new(91.0, 105.0), PhotoPoint::new(99.5, 15.0)];
    let [lower, right] = [lower, right].map(|picks| measure_side(&picture, &map, picks, 5.0).unwrap());
    assert_eq!((lower.verdict, right.verdict), (SideVerdict::Trusted, SideVerdict::Trusted), "both are straight");
    let seen = map.photo_from_plate(corner(&lower, &right).unwrap()).unwrap();
    // 100 + 0.2 x = y and x = 100 - 0.1 y.
    let (x, y) = (90.0 / 1.02, 100.0 + 0.2 * 90.0 / 1.02);
    assert!(seen.distance(PhotoPoint::new(x, y)) < 0.02, "corner at {seen:?}, not ({x}, {y})");
    assert_eq!(corner(&lower, &lower), None, "a side has no corner with itself");
}

/// A hole over ground in its own shade: 0.32 at the foot and lighter each px, beside a face of 0.2, both uneven by 0.02. By even
/// levels the rim lies a third of a pixel too far in; a slope takes more than half of that away.
#[test]
fn a_slope_of_the_ground_keeps_shade_from_moving_a_rim() {
    const RADIUS: f64 = 20.0;
    const UNEVEN: f64 = 0.02;
    let (map, centre) = (square_map(), PhotoPoint::new(79.6, 80.2));
    let state = std::cell::Cell::new(7_u64);
    let uneven = || {
        let next = || {
            state.set(state.get().wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407));
            (state.get() >> 40) as f64 / f64::from(1 << 24) - 0.5
        };
        // The sum of three has the variance of a quarter.
        2.0 * UNEVEN * (next() + next() + next())
    };
    let light = |x: f64, y: f64| {
        let off = PhotoPoint::new(x, y).distance(centre) - RADIUS;
        let ground = 0.32 + 0.015 * (-off).clamp(0.0, 12.0);
        ground + (0.2 - ground) * normal(off).0 + uneven()
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let circle = Circle { centre: map.plate_from_photo(centre).unwrap(), radius_mm: RADIUS / 10.0 };
    let mixture = Mixture::of_coded_colour(1.0 / UNEVEN, 1.0);
    let strip = Strip { inside_px: 2.9, outside_px: 2.9, half_width_px: 2.0 };
    let mean_off_px = |ground| {
        let expected = Expected { blur_px: 1.0, channels: Channels::Brightness, variance: 1.0, ground };
        let off = |number: u32| {
            let station = Station::new(&map, &circle, f64::from(number) / 32.0).unwrap();
            let profile = Profile::collect(&picture, &mixture, &station, &strip).unwrap();
            steps(&profile, 0.0, None, &expected).unwrap().steps[0].unwrap().off_px
        };
        (0..32).map(off).sum::<f64>() / 32.0
    };
    let [even, sloping] = [Ground::Even, Ground::Sloping].map(mean_off_px);
    assert!(even < -0.3 && sloping.abs() < 0.5 * even.abs(), "even {even} px, sloping {sloping} px");
}

/// Every figure of a measurement is a number.
fn check_finite(rim: &RimMeasurement) {
    let shared = [rim.shared_shift_px, rim.shared_radius_px];
    let figures = [rim.radius_mm, rim.arc_deg, rim.rms_px, rim.blur_px, rim.rejected_share()].into_iter().chain(shared);
    assert!(figures.into_iter().all(f64::is_finite) && rim.centre.is_finite(), "{rim:?}");
    let points =
        rim.points.iter().all(|point| point.at.is_finite() && point.sigma_px > 0.0 && point.sigma_px.is_finite());
    assert!(points, "{rim:?}");
}

#[test]
fn nothing_that_is_handed_in_does_harm() {
    let map = square_map();
    let even = bytes(|_, _| 0.4);
    let black = vec![0; even.len()];
    let white = vec![255; even.len()];
    let (disc, centre) = hole(12.0, 1.0);
    let checkers = bytes(|x, y| if ((x / 3.0) as u32 + (y / 3.0) as u32).is_multiple_of(2) { 0.1 } else { 0.9 });
    let radii = [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9, 0.05, 0.2, 0.39, 1.2, 7.0, 60.0, 1e5];
    for rgb in [&even, &black, &white, &disc, &checkers] {
        let picture = Picture::from_srgb([SIDE, SIDE], rgb).unwrap();
        for radius_mm in radii {
            for at in [
                PlatePoint::default(),
                PlatePoint::new(7.9, 7.9),
                PlatePoint::new(1e4, 0.0),
                PlatePoint::new(f64::NAN, 0.0),
            ] {
                for reach_px in [0.0, 8.0, 1e9, f64::NAN] {
                    if let Ok(rim) = measure_rim(&picture, &map, &RimStart { centre: at, radius_mm, reach_px }) {
                        check_finite(&rim);
                    }
                }
            }
        }
    }
    let one = Picture::from_srgb([1, 1], &[9; 3]).unwrap();
    let start = start(&map, centre, 12.0);
    assert_eq!(measure_rim(&one, &map, &start), Err(NoRim::NotFound), "a picture of one pixel");
    let none = Picture::from_srgb([0, 0], &[]).unwrap();
    assert_eq!(measure_rim(&none, &map, &start), Err(NoRim::NotFound), "a picture of none");
    let picks = [PhotoPoint::new(5.0, 5.0); 2];
    assert_eq!(measure_side(&one, &map, picks, 5.0), Err(NoSide::OffPlate), "one place twice");
    let picks = [PhotoPoint::new(5.0, 5.0), PhotoPoint::new(90.0, 50.0)];
    assert_eq!(measure_side(&one, &map, picks, f64::NAN), Err(NoSide::NotFound), "nothing there");
}

#[test]
fn glare_is_named_and_left_out() {
    let map = square_map();
    let centre = PhotoPoint::new(80.3, 79.4);
    // Towards the right the face is three times as light as white.
    let light = |x: f64, y: f64| {
        let from_centre = PhotoPoint::new(x, y) - centre;
        let covered = normal((from_centre.length() - 30.0) / 0.8).0;
        0.1 + covered * if from_centre.y.abs() < 1.2 * from_centre.x { 2.9 } else { 0.5 }
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, centre, 30.0)).unwrap();
    let glare = rim.rejected.iter().filter(|rejected| rejected.reason == Rejection::Glare).count();
    assert!(glare > 8, "a quarter of the rim is glare: {:?}", rim.rejected);
    assert!((rim.radius_mm - 3.0).abs() < 0.002, "the rest tells the radius: {}", rim.radius_mm);
}

#[test]
fn rims_share_the_blur_of_their_photo() {
    let map = square_map();
    let (rgb, centre) = hole(20.0, 1.0);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let starts = [start(&map, centre, 20.0), start(&map, centre, 20.3), start(&map, centre, 19.7)];
    let nowhere = RimStart { centre: PlatePoint::new(1e6, 0.0), ..starts[0] };
    let rims = measure_rims(&picture, &map, &[starts[0], nowhere, starts[1], starts[2]]);
    assert!(rims[1].is_err(), "each start has its own answer");
    for rim in [0, 2, 3].map(|number| rims[number].as_ref().unwrap()) {
        assert!((rim.blur_px - 1.0).abs() < 0.03, "blur {}", rim.blur_px);
        assert!((rim.radius_mm - 2.0).abs() < 0.001, "radius {}", rim.radius_mm);
    }
    let alone = measure_rim(&picture, &map, &starts[0]);
    assert_eq!(measure_rims(&picture, &map, &starts[..1]), [alone], "one rim is no photo's blur");
}

#[test]
fn a_faint_rim_says_how_good_it_is() {
    let map = square_map();
    let centre = PhotoPoint::new(80.3, 79.4);
    let mut state = 7_u64;
    let noise: Vec<f64> = (0..SIDE * SIDE)
        .map(|_| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((state >> 40) as f64 / f64::from(1 << 24) - 0.5) * 0.09
        })
        .collect();
    let light = |x: f64, y: f64| {
        let covered = normal(PhotoPoint::new(x, y).distance(centre) - 20.0).0;
        0.3 + 0.12 * covered + noise[(y * f64::from(SIDE) + x) as usize]
    };
    let rgb = bytes(light);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, centre, 20.0)).unwrap();
    match rim.verdict {
        Verdict::Faint { good_to_px } => assert!(good_to_px > 0.075 && good_to_px < 0.3, "good to {good_to_px}"),
        other => panic!("{other:?} of an edge in noise"),
    }
}

#[test]
fn an_even_picture_has_no_rim() {
    let map = square_map();
    let rgb = bytes(|_, _| 0.4);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, PhotoPoint::new(80.0, 80.0), 30.0));
    assert!(rim.is_err() || rim.is_ok_and(|rim| rim.verdict != Verdict::Trusted), "nothing is there to be trusted");
}

#[test]
fn a_tiny_hole_is_not_trusted() {
    let map = square_map();
    let (rgb, centre) = hole(2.5, 1.0);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rim = measure_rim(&picture, &map, &start(&map, centre, 2.5));
    assert!(rim.is_err() || rim.is_ok_and(|rim| rim.verdict != Verdict::Trusted), "2.5 px across a blur of 1");
}

#[test]
fn picks_say_how_far_to_look() {
    let map = square_map();
    let on =
        |degrees: f64| PhotoPoint::new(80.0, 80.0) + crate::space::PhotoVec::from_angle(degrees.to_radians()) * 30.0;
    let wide = RimStart::from_picks(&map, &[on(0.0), on(120.0), on(240.0)], 2.0).unwrap();
    assert!((wide.radius_mm - 3.0).abs() < 1e-9, "the circle of the picks: {wide:?}");
    let narrow = RimStart::from_picks(&map, &[on(0.0), on(60.0), on(120.0)], 2.0).unwrap();
    assert!(narrow.reach_px > wide.reach_px, "picks on one side leave more open");
    assert_eq!(RimStart::from_picks(&map, &[on(0.0), on(60.0)], 2.0), None, "two picks make no circle");
}
