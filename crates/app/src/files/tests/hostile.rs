//! Files that are no good: cut short, promising what they do not hold, damaged at random, or no files at all.

use super::formats::{self, Extra, Writer, opened};
use super::samples::{self, Field::Short, fixture};
use super::*;
use crate::files::decode::decode;
use image::ExtendedColorType as Kind;

#[test]
fn a_jpeg_cut_anywhere_is_refused() {
    let bytes = jpeg(64, 48);
    for end in [bytes.len() - 1, bytes.len() - 2, bytes.len() / 2] {
        check_photo_refused(&bytes[..end], "a.jpg: the picture ends in the middle. Copy it from the camera again.");
    }
    let folder = tempfile::tempdir().unwrap();
    for end in 0..bytes.len() {
        let path = put(folder.path(), "cut.jpg", &bytes[..end]);
        assert!(load_photo(&path).is_err(), "cut after {end} of {} bytes", bytes.len());
    }
}

#[test]
fn headers_that_promise_gigabytes_are_refused_before_memory_is_taken() {
    // The size stands in SOF0 after its length and its precision (T.81, B.2.2).
    let mut huge = jpeg(64, 48);
    let frame = huge.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
    huge[frame + 5..frame + 9].fill(0xFF);
    check_photo_refused(
        &huge,
        "a.jpg: its header promises 65535 × 65535 px, and the limit is 205 megapixels. Export a smaller copy.",
    );
    let png = |width, height| samples::png(&[(b"IHDR", &samples::png_head(width, height, 8, 2)[..]), (b"IDAT", &[])]);
    let huge = png(60_000, 60_000);
    check_photo_refused(
        &huge,
        "a.jpg: its header promises 60000 × 60000 px, and the limit is 205 megapixels. Export a smaller copy.",
    );
    let memory = "a.jpg: decoding it would take more memory than a photo needs. Export a smaller copy.";
    check_photo_refused(&png(0x7FFF_FFFF, 0x7FFF_FFFF), memory);
    let colour = [(0x0102, Short(8)), (0x0106, Short(2)), (0x0115, Short(3))];
    check_photo_refused(
        &samples::tiff([100_000, 100_000], &[0; 3], &colour),
        "a.jpg: its header promises 100000 × 100000 px, and the limit is 205 megapixels. Export a smaller copy.",
    );
    // The canvas stands behind the flags of VP8X, less one, in three bytes each (RFC 9649, 2.7).
    let extended = [&b"RIFF\x16\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0"[..], &[0xFF, 0xFF, 0, 0xFE, 0xFF, 0]].concat();
    let said = decode(&extended).unwrap_err().to_string();
    assert!(!said.is_empty(), "a canvas without a picture: {said}");
    // Width and height less one stand in 14 bits each behind the signature of VP8L (RFC 9649, 3.4).
    let lossless = b"RIFF\x14\0\0\0WEBPVP8L\x08\0\0\0\x2f\xfe\xbf\xff\x0f\0\0\0";
    check_photo_refused(
        lossless,
        "a.jpg: its header promises 16383 × 16383 px, and the limit is 205 megapixels. Export a smaller copy.",
    );
}

#[test]
fn what_is_no_photo_is_refused() {
    let other = "a.jpg: this is no picture that is read here; JPEG, PNG, TIFF, WebP and HEIC are. Export it as JPEG.";
    check_photo_refused(b"", other);
    check_photo_refused(b"hello", other);
    check_photo_refused(b"GIF89a\x01\0\x01\0\0\0\0;", other);
    let said = load_photo(Path::new("/no/such/a.jpg")).unwrap_err().to_string();
    assert_eq!(said, "/no/such/a.jpg: there is no such file. Check the name and the folder.", "missing");
    let said = load_photo(Path::new("/")).unwrap_err().to_string();
    assert_eq!(said, "/: this is a folder. Name a file.", "a folder");
    #[cfg(unix)]
    {
        let said = load_photo(Path::new("/dev/zero")).unwrap_err().to_string();
        assert!(said.contains("no ordinary file"), "a device is not read for ever: {said}");
    }
}

/// A file of each format, small enough to be damaged many times.
fn whole_files() -> Vec<(&'static str, Vec<u8>)> {
    let picture = picture(40, 30);
    let write = |writer: Writer| writer(picture.as_raw(), [40, 30], Kind::Rgb8, &Extra::default());
    let mut files = vec![
        ("jpeg", jpeg_with_exif(40, 30, 6, 26)),
        ("jpeg in inks", fixture("inks.jpg")),
        ("png", write(formats::png)),
        ("tiff", write(formats::tiff)),
        ("webp", write(formats::webp)),
        ("webp with losses", fixture("lossy.webp")),
    ];
    if cfg!(feature = "heic") {
        files.extend(["grid_turned.heic", "ten_bits.heic", "see_through.heic"].map(|name| (name, fixture(name))));
    }
    files
}

#[test]
fn a_file_cut_in_the_middle_says_so_in_every_format() {
    for (format, bytes) in whole_files() {
        opened(&bytes);
        // The last bytes of a TIFF or of a HEIC may be any part of it, and are not always needed.
        for share in [0.3, 0.5, 0.8] {
            let cut = &bytes[..(bytes.len() as f64 * share) as usize];
            let said = decode(cut).unwrap_err().to_string();
            assert_eq!(said, "the picture ends in the middle. Copy it from the camera again.", "{format}, {share}");
        }
    }
}

#[test]
fn strips_that_promise_gigabytes_are_refused() {
    let colour = [(0x0102, Short(8)), (0x0106, Short(2)), (0x0115, Short(3))];
    for (tag, value) in [(0x0117, u32::MAX), (0x0111, u32::MAX), (0x0116, 0)] {
        let mut bytes = samples::tiff([4, 4], &[9; 48], &colour);
        let [high, low] = u16::to_be_bytes(tag);
        let at = bytes.windows(4).rposition(|window| window == [high, low, 0, 4]).unwrap();
        bytes[at + 8..at + 12].copy_from_slice(&value.to_be_bytes());
        // Whatever is made of it, it ends.
        if let Err(problem) = decode(&bytes) {
            assert!(!problem.to_string().is_empty(), "a sentence");
        }
    }
    let zero = decode(&samples::tiff([0, 4], &[], &colour)).unwrap_err().to_string();
    assert!(zero.starts_with("the picture is damaged ("), "{zero}");
}

#[test]
#[cfg(unix)]
fn what_is_no_ordinary_file_is_not_waited_for() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("a.jpg");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success(), "a pipe is made");
    let said = load_photo(&pipe).unwrap_err().to_string();
    assert!(said.ends_with("/a.jpg: this is no ordinary file. Copy what it holds into one first."), "{said}");
    let locked = put(folder.path(), "b.jpg", &jpeg(8, 8));
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::File::open(&locked).is_ok() {
        println!("skipped: whoever runs this may read everything");
        return;
    }
    let said = load_photo(&locked).unwrap_err().to_string();
    let ends = "/b.jpg: it could not be read: permission is denied. Check the disk and who may read the file.";
    assert!(said.ends_with(ends), "{said}");
}

/// Numbers without end, always the same from one seed (Marsaglia, Xorshift RNGs, 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % limit as u64) as usize
    }

    /// The bytes with a few of them changed, left out, or doubled.
    fn spoil(&mut self, bytes: &[u8]) -> Vec<u8> {
        let mut spoilt = bytes.to_vec();
        for _ in 0..=self.below(6) {
            let at = self.below(spoilt.len());
            match self.below(8) {
                0 => spoilt[at] = 0,
                1 => spoilt[at] = 0xFF,
                2 => spoilt[at] ^= 1 << self.below(8),
                3 if at + 4 <= spoilt.len() => spoilt[at..at + 4].fill(0xFF),
                4 if spoilt.len() > 64 => {
                    spoilt.remove(at);
                }
                5 => spoilt.insert(at, self.below(256) as u8),
                _ => spoilt[at] = self.below(256) as u8,
            }
        }
        spoilt
    }
}

/// `PLATEWRIGHT_SPOILT_FILES` says how many of each format are tried; a few hundred without it.
#[test]
fn no_damage_stops_the_program() {
    let count = std::env::var("PLATEWRIGHT_SPOILT_FILES").ok().and_then(|count| count.parse().ok()).unwrap_or(300);
    for (format, bytes) in whole_files() {
        let mut dice = Dice(0x2545_F491_4F6C_DD1D);
        let mut outcomes = std::collections::BTreeMap::new();
        for round in 0..count {
            let said = match decode(&dice.spoil(&bytes)) {
                Ok(_) => "opened".to_owned(),
                Err(problem) => problem.to_string(),
            };
            assert!(!said.contains("its decoder stopped"), "{format}, file {round}: {said}");
            *outcomes.entry(said.split(['(', '.', '×']).next().unwrap().trim().to_owned()).or_insert(0) += 1;
        }
        println!("{format}: {outcomes:?}");
        assert!(count < 100 || outcomes.len() > 1, "{format}: some damage shows");
    }
}
