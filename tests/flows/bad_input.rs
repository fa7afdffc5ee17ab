//! Bad input, as it comes: each gets one plain sentence with the file and the key, exit code 1, and leaves every file as
//! it was.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

mod program;

use program::platewright;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

/// The text that stands for the photo's digest below.
const DIGEST: &str = "DIGEST";

/// A job that is as it should be, but for its photo's digest.
const JOB: &str = r#"{
  "format": "platewright-job", "version": 1, "title": "Milk valve flange",
  "photo": { "file": "flange.jpg", "sha256": "DIGEST", "size": [64, 48], "focal_px": { "value": 60.0, "sigma": 3.0 } },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[10.5, 10.0], [15.0, 14.5], [10.0, 19.0]], "measure_rim": false, "group": "studs" },
    { "id": "h2", "name": "H2", "rim": [[50.5, 10.0], [55.0, 14.5], [50.0, 19.0]], "measure_rim": false }
  ],
  "points": [ { "id": "p1", "name": "P1", "at": [3.0, 4.0] } ],
  "measures": [ { "id": "m1", "kind": "far-rims", "between": ["h1", "h2"], "mm": 231.45, "sigma_mm": 0.05 } ],
  "groups": [ { "id": "studs", "fastener": "M6", "clearance": "medium", "finished_mm": 6.6 } ],
  "datum": { "origin": "h1", "along": "h2" },
  "trials": [ { "id": "t1", "hole": "h2", "outcome": "went-on" } ]
}
"#;

/// A folder with a job and its photo, both good until a check spoils one of them.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        fs::write(bench.photo(), jpeg()).unwrap();
        let digest = platewright::files::load_photo(&bench.photo()).unwrap().sha256;
        fs::write(bench.job(), JOB.replace(DIGEST, &digest)).unwrap();
        bench
    }

    fn job(&self) -> PathBuf {
        self.folder.path().join("flange.plate.json")
    }

    fn photo(&self) -> PathBuf {
        self.folder.path().join("flange.jpg")
    }

    /// Puts `by` in the place of `piece`, which has to be in the job once.
    fn spoil_job(self, piece: &str, by: &str) -> Self {
        let text = fs::read_to_string(self.job()).unwrap();
        assert_eq!(text.matches(piece).count(), 1, "“{piece}” has to be there once");
        fs::write(self.job(), text.replace(piece, by)).unwrap();
        self
    }

    fn spoil_photo(self, bytes: &[u8]) -> Self {
        fs::write(self.photo(), bytes).unwrap();
        self
    }

    fn run(&self, command: &[&str]) -> program::Ran {
        let in_place = |word: &str| match word {
            "JOB" => self.job().into_os_string(),
            "OUT" => self.folder.path().join("flange.dxf").into_os_string(),
            word => OsString::from(word),
        };
        platewright(command.iter().map(|word| in_place(word)))
    }

    /// Both commands refuse with this one line, whose file's folder is left out here, and touch nothing.
    #[track_caller]
    fn check_refused(&self, line: &str) {
        let before = contents(self.folder.path());
        for command in [&["solve", "JOB", "--json"][..], &["solve", "JOB"], &["cut", "JOB", "-o", "OUT", "--even-so"]] {
            let ran = self.run(command);
            let said = ran.err.replace(&format!("{}/", self.folder.path().display()), "");
            assert_eq!(said, format!("{line}\n"), "{command:?}");
            assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{command:?}: refused, and nothing printed");
        }
        assert_eq!(contents(self.folder.path()), before, "every file is as it was, and none is new");
    }
}

/// Names and bytes of all files in a folder.
fn contents(folder: &Path) -> BTreeMap<OsString, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(Result::unwrap);
    entries.map(|entry| (entry.file_name(), fs::read(entry.path()).unwrap())).collect()
}

fn jpeg() -> Vec<u8> {
    let picture = image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([x as u8 * 3, y as u8 * 4, 90]));
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut bytes).encode_image(&picture).unwrap();
    bytes
}

/// The counter-check: what is refused below is refused for what was spoilt.
#[test]
fn the_job_is_good_until_it_is_spoilt() {
    let bench = Bench::new();
    let ran = bench.run(&["solve", "JOB", "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "solved");
    let result: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert!(result.is_object(), "one JSON object: {}", ran.out);
}

#[test]
fn no_such_job() {
    let bench = Bench::new();
    fs::remove_file(bench.job()).unwrap();
    bench.check_refused("flange.plate.json: there is no such file. Check the name and the folder.");
}

#[test]
fn no_such_photo() {
    let bench = Bench::new();
    fs::remove_file(bench.photo()).unwrap();
    bench.check_refused("flange.jpg (photo.file): there is no such photo. Put it back where the job has it.");
}

#[test]
fn a_photo_that_changed_since() {
    let mut other = jpeg();
    // Behind the end of the picture, where it does no harm to the pixels.
    other.push(0);
    Bench::new().spoil_photo(&other).check_refused(
        "flange.jpg (photo.sha256): the photo has changed since the job was made. Put the old photo back, or begin a \
         new job on this one.",
    );
}

#[test]
fn a_photo_of_another_size() {
    Bench::new().spoil_job("[64, 48]", "[48, 64]").check_refused(
        "flange.jpg (photo.size): the job says 48 × 64 px, and the photo has 64 × 48 px. Put the right photo back, or \
         correct the job.",
    );
}

#[test]
fn a_photo_cut_short() {
    let whole = jpeg();
    let cut = "flange.jpg (photo.file): the picture ends in the middle. Copy it from the camera again.";
    for end in [whole.len() - 1, whole.len() * 9 / 10, 300] {
        Bench::new().spoil_photo(&whole[..end]).check_refused(cut);
    }
}

#[test]
fn a_jpeg_whose_header_promises_gigabytes() {
    let mut huge = jpeg();
    let frame = huge.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
    huge[frame + 5..frame + 9].fill(0xFF);
    Bench::new().spoil_photo(&huge).check_refused(
        "flange.jpg (photo.file): its header promises 65535 × 65535 px, and the limit is 205 megapixels. Export a \
         smaller copy.",
    );
}

#[test]
fn a_png_whose_header_promises_gigabytes() {
    let mut huge = Vec::new();
    let encoder = image::codecs::png::PngEncoder::new(&mut huge);
    image::ImageEncoder::write_image(encoder, &[0; 3], 1, 1, image::ExtendedColorType::Rgb8).unwrap();
    // Width and height stand behind the signature and the head of IHDR (ISO 15948, 11.2.2); its check sum follows.
    huge[16..24].copy_from_slice(&[0, 1, 0x86, 0xA0, 0, 1, 0x86, 0xA0]);
    let sum = crc32(&huge[12..29]);
    huge[29..33].copy_from_slice(&sum.to_be_bytes());
    Bench::new().spoil_photo(&huge).check_refused(
        "flange.jpg (photo.file): its header promises 100000 × 100000 px, and the limit is 205 megapixels. Export a \
         smaller copy.",
    );
}

/// CRC-32 as PNG wants it (ISO 15948, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    let bit = |crc: u32| if crc & 1 == 1 { 0xEDB8_8320 ^ (crc >> 1) } else { crc >> 1 };
    !bytes.iter().fold(!0, |crc, byte| (0..8).fold(crc ^ u32::from(*byte), |crc, _| bit(crc)))
}

#[test]
fn a_photo_that_is_none() {
    Bench::new().spoil_photo(b"a letter").check_refused(
        "flange.jpg (photo.file): this is no picture that is read here; JPEG, PNG, TIFF, WebP and HEIC are. Export it as \
         JPEG.",
    );
}

#[test]
fn a_length_that_is_no_number() {
    Bench::new()
        .spoil_job("\"mm\": 231.45", "\"mm\": NaN")
        .check_refused("flange.plate.json (measures[0].mm): “NaN” is not a number (line 9, column 82).");
    Bench::new()
        .spoil_job("\"mm\": 231.45", "\"mm\": 1e999")
        .check_refused("flange.plate.json (measures[0].mm): the number is too large to hold (line 9, column 86).");
}

#[test]
fn a_length_of_zero() {
    Bench::new()
        .spoil_job("\"mm\": 231.45", "\"mm\": 0")
        .check_refused("flange.plate.json (measures[0].mm): is 0, and it has to be more than 0.");
}

#[test]
fn a_key_that_is_not_known() {
    Bench::new()
        .spoil_job("\"sigma_mm\": 0.05", "\"sigma_mm\": 0.05, \"colour\": 3")
        .check_refused("flange.plate.json (measures[0].colour): is not a key that is known here.");
}

#[test]
fn an_id_that_nothing_has() {
    Bench::new()
        .spoil_job("[\"h1\", \"h2\"]", "[\"h1\", \"h9\"]")
        .check_refused("flange.plate.json (measures[0].between[1]): nothing here has the id “h9”.");
    Bench::new()
        .spoil_job("\"group\": \"studs\"", "\"group\": \"bolts\"")
        .check_refused("flange.plate.json (holes[0].group): nothing here has the id “bolts”.");
    Bench::new()
        .spoil_job("\"origin\": \"h1\"", "\"origin\": \"h9\"")
        .check_refused("flange.plate.json (datum.origin): nothing here has the id “h9”.");
    Bench::new()
        .spoil_job("\"hole\": \"h2\"", "\"hole\": \"h9\"")
        .check_refused("flange.plate.json (trials[0].hole): nothing here has the id “h9”.");
}

#[test]
fn an_id_that_two_have() {
    Bench::new()
        .spoil_job("\"id\": \"p1\"", "\"id\": \"h1\"")
        .check_refused("flange.plate.json (points[0].id): “h1” is also the id of holes[0].");
}

#[test]
fn a_measure_from_a_hole_to_itself() {
    Bench::new()
        .spoil_job("[\"h1\", \"h2\"]", "[\"h1\", \"h1\"]")
        .check_refused("flange.plate.json (measures[0].between): goes from “h1” to itself.");
}

#[test]
fn a_job_of_a_newer_version() {
    Bench::new()
        .spoil_job("\"version\": 1", "\"version\": 3, \"palette\": []")
        .check_refused("flange.plate.json (version): is version 3; this program reads up to 1; it is left untouched.");
}

#[test]
fn a_file_of_another_format() {
    Bench::new().spoil_job("platewright-job", "some-notes").check_refused(
        "flange.plate.json (format): is “some-notes”, which is not “platewright-job”: this is no job file.",
    );
}

#[test]
fn half_a_job() {
    let bench = Bench::new();
    let text = fs::read_to_string(bench.job()).unwrap();
    fs::write(bench.job(), &text[..text.find("14.5").unwrap()]).unwrap();
    bench.check_refused("flange.plate.json (holes[0].rim[1]): the file ends in the middle (line 5, column 61).");
}

#[test]
fn a_cut_file_that_cannot_be_written_there() {
    let bench = Bench::new();
    let before = contents(bench.folder.path());
    let ran = bench.run(&["cut", "JOB", "-o", "/no/such/folder/flange.dxf", "--even-so"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""), "refused");
    let line = "/no/such/folder/flange.dxf: there is no such folder. Make it first, or choose another one.\n";
    assert_eq!(ran.err, line, "one sentence");
    assert_eq!(contents(bench.folder.path()), before, "nothing is left behind");
}
