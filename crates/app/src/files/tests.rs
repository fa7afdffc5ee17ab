//! Photos and jobs on disk, good and bad.

use super::*;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder as _, RgbImage};
use platewright_core::job::{self, Held, Job, LensBeliefs, Photo};
use std::fs;
use std::path::Path;
use std::path::PathBuf;

/// A picture whose corners differ: red top left, else grey.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| image::Rgb(if x < 8 && y < 8 { [250, 0, 0] } else { [128, 128, 128] }))
}

fn jpeg(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 95).encode_image(&picture(width, height)).unwrap();
    bytes
}

/// A JPEG with EXIF that says how it was held and its 35 mm equivalent (EXIF 2.32, 4.6: a TIFF header, IFD 0 with the
/// orientation and the pointer to the Exif IFD, and that IFD with the focal length).
fn jpeg_with_exif(width: u32, height: u32, orientation: u8, f35_mm: u8) -> Vec<u8> {
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    tiff.extend([0, 2]);
    tiff.extend([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0]);
    tiff.extend([0x87, 0x69, 0, 4, 0, 0, 0, 1, 0, 0, 0, 38]);
    tiff.extend([0, 0, 0, 0]);
    tiff.extend([0, 1]);
    tiff.extend([0xA4, 0x05, 0, 3, 0, 0, 0, 1, 0, f35_mm, 0, 0]);
    tiff.extend([0, 0, 0, 0]);
    let plain = jpeg(width, height);
    let length = u16::try_from(2 + 6 + tiff.len()).unwrap().to_be_bytes();
    let segment = [&[0xFF, 0xE1], &length[..], b"Exif\0\0", &tiff].concat();
    [&plain[..2], &segment, &plain[2..]].concat()
}

fn put(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    fs::write(&path, bytes).unwrap();
    path
}

#[track_caller]
fn check_photo_refused(bytes: &[u8], sentence: &str) {
    let folder = tempfile::tempdir().unwrap();
    let path = put(folder.path(), "a.jpg", bytes);
    let said = load_photo(&path).unwrap_err().to_string();
    assert_eq!(said.strip_prefix(&format!("{}/", folder.path().display())), Some(sentence), "all that is said: {said}");
}

#[test]
fn a_photo_is_turned_upright_and_its_focal_length_is_read() {
    let folder = tempfile::tempdir().unwrap();
    // Orientation 6: the picture has to be turned clockwise by a quarter, which takes the top left to the top right.
    let path = put(folder.path(), "a.jpg", &jpeg_with_exif(64, 48, 6, 26));
    let photo = load_photo(&path).unwrap();
    assert_eq!(photo.size(), [48, 64], "width and height change places");
    assert!(photo.image.get_pixel(45, 2).0[0] > 200 && photo.image.get_pixel(45, 2).0[1] < 60, "the red corner");
    assert_eq!(photo.image.get_pixel(2, 2).0[0].abs_diff(128) / 8, 0, "the other corner is grey");
    // 26 mm on 80 px of diagonal.
    let focal_px = photo.exif_focal_px.unwrap();
    assert!((focal_px - 26.0 * 80.0 / 43.266_615).abs() < 1e-3, "{focal_px}");
    assert_eq!(photo.path, path, "where it was read");
}

#[test]
fn a_photo_without_or_with_broken_exif_says_nothing_of_its_focal_length() {
    let folder = tempfile::tempdir().unwrap();
    let plain = put(folder.path(), "plain.jpg", &jpeg(64, 48));
    assert_eq!(load_photo(&plain).unwrap().exif_focal_px, None, "no EXIF");
    let unknown = put(folder.path(), "unknown.jpg", &jpeg_with_exif(64, 48, 1, 0));
    assert_eq!(load_photo(&unknown).unwrap().exif_focal_px, None, "0 stands for unknown");
    let mut broken = jpeg_with_exif(64, 48, 1, 26);
    broken[20..40].fill(0xEE);
    let broken = put(folder.path(), "broken.jpg", &broken);
    assert_eq!(load_photo(&broken).unwrap().exif_focal_px, None, "broken EXIF");
}

#[test]
fn the_digest_is_that_of_the_bytes() {
    // SHA-256 of the two bytes of a picture cannot be published; that of the file is taken by another program.
    let folder = tempfile::tempdir().unwrap();
    let path = put(folder.path(), "a.jpg", &jpeg(16, 16));
    let out = std::process::Command::new("sha256sum").arg(&path).output().unwrap();
    let expected = String::from_utf8(out.stdout).unwrap();
    assert_eq!(load_photo(&path).unwrap().sha256, expected[..64], "as sha256sum says");
}

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
fn a_png_cut_in_the_middle_is_refused() {
    let picture = picture(64, 48);
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes).write_image(picture.as_raw(), 64, 48, ExtendedColorType::Rgb8).unwrap();
    check_photo_refused(
        &bytes[..bytes.len() / 2],
        "a.jpg: the picture ends in the middle. Copy it from the camera again.",
    );
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
    let huge = png_header(60_000, 60_000);
    check_photo_refused(
        &huge,
        "a.jpg: its header promises 60000 × 60000 px, and the limit is 205 megapixels. Export a smaller copy.",
    );
    let huge = png_header(0x7FFF_FFFF, 0x7FFF_FFFF);
    check_photo_refused(&huge, "a.jpg: decoding it would take more memory than a photo needs. Export a smaller copy.");
}

/// The start of a PNG of this size, up to its first (empty) piece of picture.
fn png_header(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let size = [width.to_be_bytes(), height.to_be_bytes()].concat();
    for (name, data) in [(b"IHDR", [&size[..], &[8, 2, 0, 0, 0]].concat()), (b"IDAT", Vec::new())] {
        bytes.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        let start = bytes.len();
        bytes.extend(name);
        bytes.extend(&data);
        bytes.extend(crc32(&bytes[start..]).to_be_bytes());
    }
    bytes
}

/// CRC-32 as PNG wants it (ISO 15948, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}

#[test]
fn what_is_no_photo_is_refused() {
    let other = "a.jpg: this is no picture that is read here; JPEG, PNG, TIFF and WebP are. Export it as JPEG.";
    check_photo_refused(b"", other);
    check_photo_refused(b"hello", other);
    check_photo_refused(
        b"\0\0\0\x18ftypheic\0\0\0\0",
        "a.jpg: this is a HEIC picture, which is not read here. Export it as JPEG.",
    );
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

/// A job on a fresh photo, both in `folder`.
fn job_with_photo(folder: &Path) -> (PathBuf, Job) {
    let path = put(folder, "a.jpg", &jpeg(64, 48));
    let photo = load_photo(&path).unwrap();
    let photo = Photo {
        file: "a.jpg".to_owned(),
        sha256: photo.sha256.clone(),
        size: photo.size(),
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    };
    let job = Job::new(photo);
    let path = put(folder, "a.plate.json", job::write(&job).as_bytes());
    (path, job)
}

#[test]
fn a_job_opens_with_its_photo_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let (path, job) = job_with_photo(folder.path());
    let opened = open_job_or_photo(&path).unwrap();
    assert_eq!((opened.job, opened.path, opened.is_new), (job, Some(path), false), "the job as written");
    let opened = open_job_or_photo(&folder.path().join("a.jpg")).unwrap();
    assert!(opened.is_new && opened.path.is_none(), "a photo begins a job");
    assert_eq!(opened.job.photo.size, [64, 48], "with its size");
}

#[test]
fn a_photo_that_is_not_the_jobs_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (path, mut job) = job_with_photo(folder.path());
    let refused = || open_job(&path).unwrap_err().to_string();
    job.photo.size = [48, 64];
    put(folder.path(), "a.plate.json", job::write(&job).as_bytes());
    let says = "the job says 48 × 64 px, and the photo has 64 × 48 px. Put the right photo back, or correct the job.";
    assert_eq!(refused(), format!("a.jpg (photo.size): {says}"), "another size");
    put(folder.path(), "a.jpg", &jpeg(64, 40));
    let says = "the photo has changed since the job was made. Put the old photo back, or begin a new job on this one.";
    assert_eq!(refused(), format!("a.jpg (photo.sha256): {says}"), "another photo");
    fs::remove_file(folder.path().join("a.jpg")).unwrap();
    let says = "there is no such photo. Put it back where the job has it.";
    assert_eq!(refused(), format!("a.jpg (photo.file): {says}"), "no photo");
}

#[test]
fn what_is_no_job_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = put(folder.path(), "b.plate.json", b"\xff\xfe{\0}\0");
    let said = read_job(&path).unwrap_err().to_string();
    assert!(said.ends_with("this is not text, so it is no job. Open the job's .plate.json file."), "{said}");
    put(folder.path(), "b.plate.json", b"{}");
    let said = read_job(&path).unwrap_err().to_string();
    assert!(said.ends_with("b.plate.json (format): is missing: this is no job file."), "{said}");
}

#[test]
fn a_saved_job_finds_its_photo_from_where_it_lies() {
    let folder = tempfile::tempdir().unwrap();
    let (_, job) = job_with_photo(folder.path());
    let photo = folder.path().join("a.jpg");
    fs::create_dir(folder.path().join("jobs")).unwrap();
    for (name, file) in [("b.plate.json", "a.jpg"), ("jobs/b.plate.json", "../a.jpg")] {
        let path = folder.path().join(name);
        assert_eq!(save_job(&job, &photo, &path).unwrap(), file, "from {name}");
        let opened = open_job(&path).unwrap();
        assert_eq!(opened.job.photo.file, file, "as it was saved");
        assert_eq!(Job { photo: job.photo.clone(), ..opened.job }, job, "nothing else changed");
    }
}

#[test]
fn a_job_far_from_its_photo_names_it_from_the_root() {
    let folder = tempfile::tempdir().unwrap();
    let (_, job) = job_with_photo(folder.path());
    let path = folder.path().join("b.plate.json");
    let gone = Path::new("/no-such-folder/a.jpg");
    assert_eq!(save_job(&job, gone, &path).unwrap(), "/no-such-folder/a.jpg", "absolute");
}

#[test]
fn a_job_file_gets_its_extension_once() {
    for (typed, named) in [("a", "a.plate.json"), ("a.plate.json", "a.plate.json"), ("a.json", "a.json")] {
        assert_eq!(with_job_extension(PathBuf::from(typed)), PathBuf::from(named), "{typed}");
    }
}

#[test]
fn a_cut_file_never_takes_the_name_of_a_job_or_a_photo() {
    for (typed, named) in [("a.dxf", "a.dxf"), ("a.DXF", "a.DXF"), ("a", "a.dxf"), ("a.plate.json", "a.plate.json.dxf")]
    {
        assert_eq!(with_cut_extension(PathBuf::from(typed)), PathBuf::from(named), "{typed}");
    }
}
