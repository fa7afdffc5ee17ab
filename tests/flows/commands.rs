//! The commands without a window: their exit codes, and the keys of what they print.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

mod program;

use platewright_core::job::{
    self, Added, AddedKind, Group, Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, NamedPoint, Offset, Photo,
    Placed,
};
use platewright_core::space::{PhotoPoint, PlateVec};
use program::platewright;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// A job with four round holes seen square on at 10 px a mm, a point, and two of its lengths, in `folder`.
fn job_file(folder: &Path) -> PathBuf {
    let photo = folder.join("flange.png");
    image::RgbImage::from_pixel(1200, 900, image::Rgb([128; 3])).save(&photo).unwrap();
    let photo = platewright::files::load_photo(&photo).unwrap();
    let mut job = Job::new(Photo {
        file: "flange.png".to_owned(),
        sha256: photo.sha256.clone(),
        size: photo.size(),
        held: Held::Levelled,
        focal_px: None,
        lens: LensBeliefs::default(),
    });
    "Milk valve flange".clone_into(&mut job.title);
    let corners = [(200.0, 200.0), (1000.0, 200.0), (1000.0, 700.0), (200.0, 700.0)];
    job.holes = (1..).zip(corners).map(|(number, centre)| hole(number, centre)).collect();
    job.points.push(NamedPoint {
        id: Id::from("p1"),
        name: "P1".to_owned(),
        at: PhotoPoint::new(100.0, 100.0),
        sigma_px: None,
    });
    job.measures = vec![far_rims("m1", "h1", "h2", 86.0), far_rims("m2", "h2", "h3", 56.0)];
    let path = folder.join("flange.plate.json");
    fs::write(&path, job::write(&job)).unwrap();
    path
}

fn hole(number: usize, centre: (f64, f64)) -> Hole {
    let rim = [(30.0, 0.0), (0.0, 30.0), (-30.0, 0.0), (0.0, -30.0)];
    Hole {
        id: Id(format!("h{number}")),
        name: format!("H{number}"),
        rim: rim.iter().map(|(x, y)| PhotoPoint::new(centre.0 + x, centre.1 + y)).collect(),
        sigma_px: None,
        measure_rim: false,
        group: None,
        edge_break: false,
        keep: true,
    }
}

fn far_rims(id: &str, from: &str, to: &str, mm: f64) -> Measure {
    let between = vec![Id::from(from), Id::from(to)];
    Measure { id: Id::from(id), kind: MeasureKind::FarRims, between, mm, sigma_mm: 0.05, in_use: true }
}

/// The keys of the first entry of the list at `key`, or of the object there.
fn keys<'a>(result: &'a Value, key: &str) -> Vec<&'a str> {
    let entry = &result[key];
    let entry = entry.get(0).unwrap_or(entry);
    entry.as_object().unwrap_or_else(|| panic!("{key} is {entry}")).keys().map(String::as_str).collect()
}

#[test]
fn solve_prints_every_documented_key() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let ran = platewright(["solve".as_ref(), path.as_os_str(), "--json".as_ref()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "done");
    let result: Value = serde_json::from_str(&ran.out).unwrap();
    let documented = [
        ("holes", "id x_mm y_mm diameter_mm sigma_mm rim_points rim_rms_px rim_arc_deg rim_rejected rim_doubt"),
        ("points", "id x_mm y_mm sigma_mm"),
        ("measures", "id measured_mm fitted_mm residual_mm redundancy w verdict"),
        ("camera", "focal_px tilt_deg distance_mm k1"),
        ("fit", "dof variance_factor p_value worst_sigma_mm ambiguous"),
        ("measure_next", "kind between worst_sigma_before_mm worst_sigma_after_mm"),
    ];
    for (list, wanted) in documented {
        let found = keys(&result, list);
        for key in wanted.split(' ') {
            assert!(found.contains(&key), "{list} has no {key}: {found:?}");
        }
    }
    assert!(result["bolt_up"].is_null(), "no fastener is said, so there are no odds: {}", result["bolt_up"]);
    assert!(result["checks"].is_array() && result["contours"].is_array(), "lists, empty or not");
    let across = result["holes"][1]["x_mm"].as_f64().unwrap();
    assert!((across - 80.0).abs() < 0.5, "H2 is 80 mm from H1, not {across}");
}

#[test]
fn solve_prints_the_odds_once_fasteners_are_said() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let mut job = job::read(&fs::read_to_string(&path).unwrap()).unwrap();
    let id = Id::from("studs");
    job.groups.push(Group { fastener: Some("M5".to_owned()), ..Group::new(id.clone()) });
    for hole in &mut job.holes {
        hole.group = Some(id.clone());
    }
    fs::write(&path, job::write(&job)).unwrap();
    let ran = platewright(["solve".as_ref(), path.as_os_str(), "--json".as_ref()]);
    let result: Value = serde_json::from_str(&ran.out).unwrap();
    let odds = result["bolt_up"]["odds"].as_f64().unwrap();
    assert!((0.0..=1.0).contains(&odds), "{odds}");
    assert_eq!(result["bolt_up"]["holes"].as_array().map(Vec::len), Some(4), "a row for each hole with a fastener");
    for key in ["standard_error", "worst", "holes"] {
        assert!(!result["bolt_up"][key].is_null(), "{key} is there");
    }
    let ran = platewright(["solve".as_ref(), path.as_os_str()]);
    assert!(ran.out.contains("It bolts up "), "and in words: {}", ran.out);
}

#[test]
fn solve_prints_what_is_added_and_what_is_cut() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let mut job = job::read(&fs::read_to_string(&path).unwrap()).unwrap();
    let offset = Offset { from: Id::from("h1"), by_mm: PlateVec::new(20.0, 30.0) };
    let added = Added::new(Id::from("a1"), AddedKind::Hole, Placed::Offset(offset));
    job.added.push(Added { tapped: Some("M6".to_owned()), ..added });
    job.design.mirrored = true;
    fs::write(&path, job::write(&job)).unwrap();
    let ran = platewright(["solve".as_ref(), path.as_os_str(), "--json".as_ref()]);
    let result: Value = serde_json::from_str(&ran.out).unwrap();
    for key in ["id", "name", "kind", "x_mm", "y_mm", "diameter_mm", "sigma_mm"] {
        assert!(keys(&result, "added").contains(&key), "added has no {key}");
    }
    let added = &result["added"][0];
    let figures = ["x_mm", "y_mm", "diameter_mm"].map(|key| added[key].as_f64().unwrap());
    let near = figures.iter().zip([20.0, 30.0, 5.0]).all(|(found, wanted)| (found - wanted).abs() < 1e-9);
    assert!(near, "20 and 30 mm from H1, where coordinates start; ISO 2306: 5.0 for M6: {figures:?}");
    let cut = &result["cut"];
    assert_eq!((&cut["mirrored"], cut["holes"].as_array().map(Vec::len)), (&true.into(), Some(5)));
    assert_eq!(
        (&cut["holes"][4]["name"], cut["holes"][4]["y_mm"].as_f64()),
        (&"A1".into(), Some(-30.0)),
        "turned round"
    );
    let ran = platewright(["solve".as_ref(), path.as_os_str()]);
    assert!(ran.out.contains("A1     20.00  30.00  5.00"), "and in a table: {}", ran.out);
    assert!(ran.out.contains("Cut from the other side"), "said in words: {}", ran.out);
}

#[test]
fn solve_prints_the_same_digits_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let once = platewright(["solve".as_ref(), path.as_os_str(), "--json".as_ref()]);
    assert_eq!(platewright(["solve".as_ref(), path.as_os_str(), "--json".as_ref()]), once, "the same bytes");
}

#[test]
fn solve_without_json_says_it_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let ran = platewright(["solve".as_ref(), path.as_os_str()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "done");
    assert!(ran.out.starts_with("Milk valve flange: "), "a sentence first: {}", ran.out);
    assert!(ran.out.contains("far rims H1–H2"), "a row for each measure: {}", ran.out);
    for word in ["residual", "sigma", "covariance", "redundancy"] {
        assert!(!ran.out.to_lowercase().contains(word), "“{word}” is not for reading: {}", ran.out);
    }
}

#[test]
fn cut_is_refused_with_the_reasons_and_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (path, out) = (job_file(folder.path()), folder.path().join("flange.dxf"));
    let cut = ["cut".as_ref(), path.as_os_str(), "-o".as_ref(), out.as_os_str()];
    let ran = platewright(cut);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""), "no outline, no cut file");
    let mut lines = ran.err.lines();
    let first = lines.next().unwrap();
    assert!(first.contains("flange.dxf: not written, because "), "{first}");
    assert!(lines.next().is_some_and(|line| line.starts_with("- ")), "the reasons: {}", ran.err);
    assert!(!out.exists(), "nothing was written");
    let ran = platewright(cut.into_iter().chain(["--even-so".as_ref()]));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "written even so");
    let marks = || fs::read_to_string(&out).unwrap().matches("NOT CHECKED GOOD: ").count();
    assert!(marks() > 0, "and marked");
    let mut job = job::read(&fs::read_to_string(&path).unwrap()).unwrap();
    job.design.mirrored = true;
    fs::write(&path, job::write(&job)).unwrap();
    let ran = platewright(cut.into_iter().chain(["--even-so".as_ref()]));
    assert_eq!((ran.code, marks()), (0, 0), "none by the drawing's own places: {}", ran.err);
    let text = fs::read_to_string(&out).unwrap();
    assert!(
        text.contains("NOT CHECKED GOOD, PLACES IN MM, AS DRAWN IN THE WORKBENCH: "),
        "checks tell them as on screen"
    );
}

#[test]
fn cut_refuses_a_name_that_is_not_so_and_writes_what_does_not_fit_even_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let mut job = job::read(&fs::read_to_string(&path).unwrap()).unwrap();
    let cut = |job: &job::Job, name: &str| {
        fs::write(&path, job::write(job)).unwrap();
        let out = folder.path().join(name);
        let even_so = ["--even-so".as_ref(), "--r12".as_ref()];
        let ran =
            platewright(["cut".as_ref(), path.as_os_str(), "-o".as_ref(), out.as_os_str()].into_iter().chain(even_so));
        (ran, fs::read_to_string(&out).unwrap_or_default())
    };
    for (name, mark, right) in
        [("flange-kerf-0.15-mm.dxf", "kerf-0.15", "flange-mm.dxf"), ("flange-inch-mm.dxf", "inch", "flange-mm.dxf")]
    {
        let (ran, text) = cut(&job, name);
        let said = format!("its name says “{mark}”, and the file is not so: it would be cut wrongly. Call it {right}.");
        assert!(ran.code == 1 && ran.err.contains(&said) && text.is_empty(), "{name}: {}", ran.err);
    }
    for copies in [1, 3] {
        let sheet = job::Stock { sheet_mm: Some([30.0, 30.0]), copies: Some(copies), ..job::Stock::default() };
        job.stock = Some(sheet);
        let (ran, text) = cut(&job, &format!("flange-{copies}-mm.dxf"));
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{copies} that do not go on the sheet");
        assert_eq!(text.contains("PLACES IN MM, AS DRAWN IN THE WORKBENCH: "), copies > 1, "a frame for what is moved");
    }
}

#[test]
fn a_plate_and_a_true_scale_photo_are_refused_in_one_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let path = job_file(folder.path());
    let refused = |command: &str, file: &str, said: &str| {
        let out = folder.path().join(file);
        let ran = platewright([command.as_ref(), path.as_os_str(), "-o".as_ref(), out.as_os_str()]);
        assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{command}: {}", ran.err);
        assert_eq!(ran.err, format!("{}: {said}. Nothing was written.\n", out.display()));
        assert!(!out.exists(), "nothing was written");
    };
    let no_outline = "a plate takes one closed outline, and there is none";
    refused("proof", "flange.stl", &format!("the proof plate could not be made: {no_outline}"));
    let mut job = job::read(&fs::read_to_string(&path).unwrap()).unwrap();
    job.measures.clear();
    fs::write(&path, job::write(&job)).unwrap();
    let no_size = "nothing says how large the part is; measure between two holes";
    refused("proof", "flange.3mf", &format!("the proof plate could not be made: {no_size}"));
    refused("flatten", "flat.png", &format!("the true-scale photo could not be made: {no_size}"));
}

#[test]
fn a_true_scale_photo_has_the_scale_that_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let (path, out) = (job_file(folder.path()), folder.path().join("flat.png"));
    let at = |scale: &str| {
        let args = ["flatten".as_ref(), path.as_os_str(), "-o".as_ref(), out.as_os_str(), "--px-per-mm".as_ref()];
        platewright(args.into_iter().chain([scale.as_ref()]))
    };
    let ran = at("5");
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "written");
    // Without an outline all of the photo is shown: 1200 x 900 px at 10 px per mm.
    let (width, height) = image::image_dimensions(&out).unwrap();
    assert!(width.abs_diff(600) < 12 && height.abs_diff(450) < 12, "{width} x {height}");
    assert!(ran.out.contains(&format!("{width} × {height} px, 5 px per mm")), "{}", ran.out);
    let photo = folder.path().join("flange.png");
    let before = fs::read(&photo).unwrap();
    let other_name = folder.path().join("../").join(folder.path().file_name().unwrap()).join("flange.png");
    let ran = platewright(["flatten".as_ref(), path.as_os_str(), "-o".as_ref(), other_name.as_os_str()]);
    assert!(ran.code == 1 && ran.err.contains("this is the job's own photo"), "{}", ran.err);
    assert!(fs::read(&photo).unwrap() == before, "the photo stays");
    let ran = at("999");
    assert!(ran.code == 1 && ran.err.contains("more than 205 megapixels; ask for fewer px per mm"), "{}", ran.err);
    let ran = at("0");
    assert!(ran.code == 1 && ran.err.contains("0 px per mm is no scale from 0.1 to 1000"), "{}", ran.err);
}

#[test]
fn wrong_usage_is_exit_code_2() {
    for args in [
        &["solve"][..],
        &["cut", "a.plate.json"],
        &["cut", "a.plate.json", "-o", "a.doc"],
        &["solve", "a.plate.json", "--jsn"],
        &["slove"],
        &["cut", "a.plate.json", "-o", "a.svg", "--r12"],
        &["proof", "a.plate.json", "-o", "a.doc"],
        &["proof", "a.plate.json", "-o", "a.pdf", "--thickness", "3"],
        &["proof", "a.plate.json", "-o", "a.stl", "--bar-across", "99.4"],
        &["proof", "a.plate.json", "-o", "a.3mf", "--paper", "a3"],
        &["proof"],
    ] {
        let ran = platewright(args.iter().copied());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(!ran.err.is_empty(), "{args:?}: it is said why");
    }
}

#[test]
fn what_would_be_ignored_is_refused_with_a_sentence() {
    let said = |args: [&str; 6]| platewright(args).err;
    let thick = said(["proof", "a.plate.json", "-o", "a.pdf", "--thickness", "3"]);
    assert_eq!(
        thick,
        "Paper is no plate, so with --thickness, --shrink and --hole-allowance the name ends in .3mf or .stl.\n"
    );
    let bars = said(["proof", "a.plate.json", "-o", "a.stl", "--bar-up", "99.4"]);
    assert_eq!(
        bars,
        "A plate is printed on no paper, so with --paper, --bar-across and --bar-up the name ends in .pdf.\n"
    );
}

#[test]
fn a_file_that_is_replaced_is_spoken_of() {
    let folder = tempfile::tempdir().unwrap();
    let (path, out) = (job_file(folder.path()), folder.path().join("report.pdf"));
    let write = || platewright(["report".as_ref(), path.as_os_str(), "-o".as_ref(), out.as_os_str()]);
    let (first, second) = (write(), write());
    assert_eq!((first.code, second.code), (0, 0), "{} {}", first.err, second.err);
    let replaced = "It took the place of a file of that name.";
    assert!(!first.out.contains(replaced), "nothing was there: {}", first.out);
    assert!(second.out.starts_with(&first.out) && second.out.ends_with(&format!("{replaced}\n")), "{}", second.out);
}

#[test]
fn help_and_version_are_no_mistake() {
    let ran = platewright(["--help"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "help");
    assert!(ran.out.contains("solve") && ran.out.contains("cut"), "names the commands: {}", ran.out);
    let ran = platewright(["--version"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, concat!("platewright ", env!("CARGO_PKG_VERSION"), "\n")), "version");
}
