//! Every format that is read, in the kinds that cameras, scanners and editors write.

use super::samples::{self, Field::Short, fixture};
use crate::files::decode::decode;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::tiff::TiffEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ExtendedColorType as Kind, ImageEncoder, Rgb, RgbImage};

/// One of the formats, with what `to_bytes` makes of samples.
pub(super) type Writer = fn(&[u8], [u32; 2], Kind, &Extra) -> Vec<u8>;

/// What goes into a file besides its pixels.
#[derive(Debug, Default)]
pub(super) struct Extra {
    pub(super) icc: Option<Vec<u8>>,
    pub(super) exif: Option<Vec<u8>>,
}

fn write(mut encoder: impl ImageEncoder, samples: &[u8], [width, height]: [u32; 2], kind: Kind, extra: &Extra) {
    if let Some(icc) = &extra.icc {
        encoder.set_icc_profile(icc.clone()).unwrap();
    }
    if let Some(exif) = &extra.exif {
        encoder.set_exif_metadata(exif.clone()).unwrap();
    }
    encoder.write_image(samples, width, height, kind).unwrap();
}

pub(super) fn jpeg(samples: &[u8], size: [u32; 2], kind: Kind, extra: &Extra) -> Vec<u8> {
    let mut bytes = Vec::new();
    write(JpegEncoder::new_with_quality(&mut bytes, 98), samples, size, kind, extra);
    bytes
}

pub(super) fn png(samples: &[u8], size: [u32; 2], kind: Kind, extra: &Extra) -> Vec<u8> {
    let mut bytes = Vec::new();
    write(PngEncoder::new(&mut bytes), samples, size, kind, extra);
    bytes
}

pub(super) fn tiff(samples: &[u8], size: [u32; 2], kind: Kind, extra: &Extra) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    write(TiffEncoder::new(&mut bytes), samples, size, kind, extra);
    bytes.into_inner()
}

pub(super) fn webp(samples: &[u8], size: [u32; 2], kind: Kind, extra: &Extra) -> Vec<u8> {
    let mut bytes = Vec::new();
    write(WebPEncoder::new_lossless(&mut bytes), samples, size, kind, extra);
    bytes
}

/// The pixels of a file that has to open.
#[track_caller]
pub(super) fn opened(bytes: &[u8]) -> RgbImage {
    decode(bytes).unwrap().0
}

/// A file of one even colour, of these samples a pixel, opens with this colour, give or take `off`.
#[track_caller]
fn check_even(writer: Writer, sample: &[u8], kind: Kind, expected: [u8; 3], off: u8) {
    let image = opened(&writer(&sample.repeat(16 * 8), [16, 8], kind, &Extra::default()));
    assert_eq!(image.dimensions(), (16, 8), "{kind:?}");
    for pixel in image.pixels() {
        let is_near = pixel.0.iter().zip(expected).all(|(found, expected)| found.abs_diff(expected) <= off);
        assert!(is_near, "{kind:?}: {pixel:?} instead of {expected:?}");
    }
}

/// Samples of 16 bits in the machine's order, as the encoders take them.
fn deep(samples: &[u16]) -> Vec<u8> {
    samples.iter().flat_map(|sample| sample.to_ne_bytes()).collect()
}

#[test]
fn grey_and_colour_of_8_and_16_bits_keep_their_codes() {
    for writer in [png, tiff, webp] as [Writer; 3] {
        check_even(writer, &[200, 90, 30], Kind::Rgb8, [200, 90, 30], 0);
        check_even(writer, &[200, 90, 30, 255], Kind::Rgba8, [200, 90, 30], 0);
    }
    check_even(jpeg, &[200, 90, 30], Kind::Rgb8, [200, 90, 30], 2);
    for writer in [jpeg, png, tiff, webp] as [Writer; 4] {
        check_even(writer, &[77], Kind::L8, [77; 3], 1);
    }
    for writer in [png, tiff] as [Writer; 2] {
        // 257 codes of 16 bits to one of 8; 128 of them more go to the next but one less does not.
        check_even(writer, &deep(&[200 * 257, 90 * 257 + 128, 30 * 257 + 129]), Kind::Rgb16, [200, 90, 31], 0);
        check_even(writer, &deep(&[77 * 257 - 128]), Kind::L16, [77; 3], 0);
        check_even(writer, &deep(&[513, 0, 65_535, 65_535]), Kind::Rgba16, [2, 0, 255], 0);
    }
    check_even(png, &deep(&[77 * 257, 65_535]), Kind::La16, [77; 3], 0);
}

#[test]
fn what_is_see_through_lies_on_white_and_mixes_as_light_does() {
    for writer in [png, tiff, webp] as [Writer; 3] {
        check_even(writer, &[200, 90, 30, 0], Kind::Rgba8, [255; 3], 0);
        // Black covering 128 of 255: light 127/255 = 0.498, which IEC 61966-2-1 codes as 187.2.
        check_even(writer, &[0, 0, 255, 128], Kind::Rgba8, [187, 187, 255], 0);
    }
    check_even(png, &[0, 128], Kind::La8, [187; 3], 0);
    check_even(png, &deep(&[0, 0x8080]), Kind::La16, [187; 3], 0);
    check_even(tiff, &deep(&[0, 0, 65_535, 0x8080]), Kind::Rgba16, [187, 187, 255], 0);
}

#[test]
fn palettes_and_few_bits_are_spread_out() {
    let palette: &[u8] = &[10, 20, 30, 200, 100, 50];
    let pieces: [(&[u8; 4], &[u8]); 3] = [
        (b"IHDR", &samples::png_head(4, 1, 8, 3)),
        (b"PLTE", palette),
        (b"IDAT", &samples::png_rows(&[&[0, 1, 1, 0]])),
    ];
    let image = opened(&samples::png(&pieces));
    assert_eq!(
        image.as_raw().as_slice(),
        [10, 20, 30, 200, 100, 50, 200, 100, 50, 10, 20, 30],
        "the palette's colours"
    );
    let pieces: [(&[u8; 4], &[u8]); 2] =
        [(b"IHDR", &samples::png_head(4, 1, 1, 0)), (b"IDAT", &samples::png_rows(&[&[0b1010_0000]]))];
    assert_eq!(
        opened(&samples::png(&pieces)).as_raw().as_slice(),
        [255, 255, 255, 0, 0, 0].repeat(2),
        "one bit a pixel"
    );
    // Photometric interpretation 1: black is 0; 0: white is 0 (TIFF 6.0, section 3).
    for (interpretation, lit) in [(1, 255), (0, 0)] {
        let fields = [(0x0102, Short(1)), (0x0106, Short(interpretation)), (0x0115, Short(1))];
        let image = opened(&samples::tiff([4, 1], &[0b1010_0000], &fields));
        let rest = 255 - lit;
        assert_eq!(image.as_raw().as_slice(), [[lit; 3], [rest; 3]].concat().repeat(2), "one bit, {interpretation}");
    }
}

#[test]
fn a_jpeg_in_printing_inks_opens_in_its_colours() {
    // Red 220, 40, 30 on a dark ramp from 60, 80, 100, as another program turned it into inks.
    let image = opened(&fixture("inks.jpg"));
    for (place, expected) in [((30, 20), [220, 40, 30]), ((4, 4), [62, 82, 100])] {
        let found = image.get_pixel(place.0, place.1).0;
        assert!(found.iter().zip(expected).all(|(a, b): (&u8, u8)| a.abs_diff(b) <= 6), "{found:?} for {expected:?}");
    }
}

#[test]
fn a_webp_with_losses_opens() {
    let image = opened(&fixture("lossy.webp"));
    assert_eq!(image.dimensions(), (64, 48), "its size");
    let found = image.get_pixel(50, 40).0;
    assert!(found.iter().zip([85, 100, 100]).all(|(a, b): (&u8, u8)| a.abs_diff(b) <= 6), "{found:?}");
}

#[test]
fn the_smallest_pictures_open() {
    for writer in [jpeg, png, tiff, webp] as [Writer; 4] {
        for size in [[1, 1], [300, 1], [1, 300]] {
            let samples = [120, 120, 120].repeat((size[0] * size[1]) as usize);
            let image = opened(&writer(&samples, size, Kind::Rgb8, &Extra::default()));
            assert_eq!([image.width(), image.height()], size, "its size");
            assert!(image.pixels().all(|pixel| pixel.0[0].abs_diff(120) <= 1), "grey all over");
        }
    }
}

const RED: Rgb<u8> = Rgb([250, 0, 0]);
const BLUE: Rgb<u8> = Rgb([0, 0, 250]);

/// Red in the top left, blue in the top right, grey elsewhere.
fn cornered() -> RgbImage {
    RgbImage::from_fn(48, 32, |x, y| match (x, y) {
        (0..16, 0..16) => RED,
        (32.., 0..16) => BLUE,
        _ => Rgb([128; 3]),
    })
}

/// Which corner (right, lower) shows mostly this channel.
fn corner_of(image: &RgbImage, channel: usize) -> (bool, bool) {
    let (right, lower) = (image.width() - 3, image.height() - 3);
    let corners = [(false, false), (true, false), (false, true), (true, true)];
    let strength = |corner: &(bool, bool)| {
        let pixel = image.get_pixel(if corner.0 { right } else { 2 }, if corner.1 { lower } else { 2 }).0;
        i32::from(pixel[channel]) - i32::from(pixel[1])
    };
    corners.into_iter().max_by_key(strength).unwrap()
}

#[test]
fn every_orientation_of_every_format_is_turned_upright() {
    // Where row 0 and column 0 of the stored picture are to be seen (EXIF 2.32, 4.6.4, tag 0x0112): corners of the stored
    // top left and top right as (right, lower).
    let corners = [
        (1, (false, false), (true, false)),
        (2, (true, false), (false, false)),
        (3, (true, true), (false, true)),
        (4, (false, true), (true, true)),
        (5, (false, false), (false, true)),
        (6, (true, false), (true, true)),
        (7, (true, true), (true, false)),
        (8, (false, true), (false, false)),
    ];
    let stored = cornered();
    for (orientation, red, blue) in corners {
        let exif = samples::exif(&[(0x0112, Short(orientation))], &[]);
        let extra = Extra { exif: Some(exif.clone()), icc: None };
        let writers = [jpeg, png, webp] as [Writer; 3];
        let mut files = writers.map(|writer| writer(stored.as_raw(), [48, 32], Kind::Rgb8, &extra)).to_vec();
        let fields = [(0x0102, Short(8)), (0x0106, Short(2)), (0x0112, Short(orientation)), (0x0115, Short(3))];
        files.push(samples::tiff([48, 32], stored.as_raw(), &fields));
        // A PNG may say it after its pixels, too (Extensions to PNG 1.5.0, 3.7).
        let plain = png(stored.as_raw(), [48, 32], Kind::Rgb8, &Extra::default());
        let late = samples::png(&[(b"eXIf", &exif)]);
        files.push([&plain[..plain.len() - 12], &late[8..]].concat());
        for (index, bytes) in files.iter().enumerate() {
            let image = opened(bytes);
            let size = if orientation < 5 { (48, 32) } else { (32, 48) };
            assert_eq!(image.dimensions(), size, "orientation {orientation}, file {index}");
            let found = (corner_of(&image, 0), corner_of(&image, 2));
            assert_eq!(found, (red, blue), "orientation {orientation}, file {index}");
        }
    }
}

#[test]
fn floating_point_pixels_are_refused() {
    let samples: Vec<u8> = [0.5_f32; 3].iter().flat_map(|sample| sample.to_be_bytes()).collect();
    let fields = [(0x0102, Short(32)), (0x0106, Short(2)), (0x0115, Short(3)), (0x0153, Short(3))];
    let said = decode(&samples::tiff([1, 1], &samples, &fields)).unwrap_err().to_string();
    assert!(said.starts_with("the picture is of a kind that is not read here ("), "{said}");
    assert!(said.ends_with("). Export it as JPEG."), "{said}");
}
