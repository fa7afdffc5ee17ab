//! Photos and jobs on disk, good and bad.

mod codings;
mod focal;
mod formats;
#[cfg(feature = "heic")]
mod heic;
mod hostile;
mod opening;
mod recovery;
mod samples;

use super::opening::Opening;
use super::*;
use image::RgbImage;
use image::codecs::jpeg::JpegEncoder;
use platewright_core::job::{self, Held, Job, LensBeliefs, Photo};
use samples::Field::Short;
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

/// A JPEG with EXIF that says how it was held and its 35 mm equivalent.
fn jpeg_with_exif(width: u32, height: u32, orientation: u16, f35_mm: u16) -> Vec<u8> {
    let tiff = samples::exif(&[(0x0112, Short(orientation))], &[(0xA405, Short(f35_mm))]);
    samples::jpeg_with_segment(&jpeg(width, height), &[b"Exif\0\0", &tiff[..]].concat())
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
    let opened = Opening::file(path.clone()).open(None).unwrap();
    assert_eq!((opened.job, opened.path, opened.is_new), (job, Some(path), false), "the job as written");
    let opened = Opening::file(folder.path().join("a.jpg")).open(None).unwrap();
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
        assert_eq!(save_job(&job, &photo, &path).unwrap().photo_file, file, "from {name}");
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
    assert_eq!(save_job(&job, gone, &path).unwrap().photo_file, "/no-such-folder/a.jpg", "absolute");
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
        assert_eq!(with_extension_of(PathBuf::from(typed), "dxf"), PathBuf::from(named), "{typed}");
    }
}
