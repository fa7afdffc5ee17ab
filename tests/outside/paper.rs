//! Proofs and reports as outside programs read and draw them: true to size, whole, and the same each time.
//!
//! The judge is `tests/judges/pdf_judge.py` (pypdf and pypdfium2), run by the Python that `PLATEWRIGHT_PYTHON` names.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright::commands;
use platewright::printing::{Plex, pdf};
use platewright_core::export::{CutContour, CutDrawing, CutHole};
use platewright_core::geom::Contour;
use platewright_core::paper::{Item, Page, Paper, PrinterScale, ProofOptions, TileLayout, proof_pages};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_tests::{judge, project_dir};
use serde_json::{Value, json};
use std::path::Path;

/// How far a printed place may be off as it is drawn at 600 dpi, mm.
const TRUE_MM: f64 = 0.05;

fn at(x: f64, y: f64) -> PlatePoint {
    PlatePoint::new(x, y)
}

/// A plate of 260 by 170 mm with holes from end to end: two sheets of A4, and the hole in its middle on both.
fn drawing() -> CutDrawing {
    let outline = Contour::slot(at(130.0, 85.0), 90.0, 0.0, 170.0);
    let places =
        [(20.0, 80.0), (60.0, 40.0), (95.0, 130.0), (130.0, 85.0), (165.0, 40.0), (200.0, 130.0), (240.0, 90.0)];
    let holes = (1..).zip(places).map(|(number, (x, y))| CutHole {
        id: format!("h{number}").as_str().into(),
        name: if number == 4 { "Rührwelle".to_owned() } else { format!("H{number}") },
        centre: at(x, y),
        diameter_mm: if number == 2 { 24.0 } else { 6.6 },
    });
    CutDrawing {
        title: "Käsepresse, Deckel".to_owned(),
        outer: vec![CutContour { id: "c1".into(), name: "the outline".to_owned(), contour: outline }],
        holes: holes.collect(),
        ..CutDrawing::default()
    }
}

/// Everything on a page, with what stands in its windows.
fn all_items(items: &[Item]) -> Vec<&Item> {
    let mut all = Vec::new();
    for item in items {
        match item {
            Item::Within { items, .. } => all.extend(all_items(items)),
            item => all.push(item),
        }
    }
    all
}

/// A line's ends.
fn straight(item: &Item) -> Option<(PlatePoint, PlatePoint, f64)> {
    let Item::Stroke { contour, pen } = item else { return None };
    let [piece] = contour.segments.as_slice() else { return None };
    Some((piece.from, piece.to, pen.width_mm))
}

/// The lines across the ends of the check bars: 6 mm long and 0.15 wide.
fn bar_ends(page: &Page) -> Vec<Value> {
    let lines = all_items(&page.items).into_iter().filter_map(straight);
    let ends = lines.filter(|(from, to, width)| (width - 0.15).abs() < 1e-9 && (from.distance(*to) - 6.0).abs() < 1e-9);
    ends.map(|(from, to, _)| {
        let middle = page.on_sheet(from.lerp(to, 0.5));
        let along = if (from.x - to.x).abs() < 1e-9 { "across" } else { "up" };
        json!({"x": middle.x, "y": middle.y, "along": along})
    })
    .collect()
}

fn rings(page: &Page) -> Vec<(PlatePoint, f64)> {
    let rings = all_items(&page.items).into_iter().filter_map(|item| match item {
        Item::Circle { centre, radius_mm, pen: Some(pen), .. } if pen.width_mm > 0.25 => Some((*centre, *radius_mm)),
        _ => None,
    });
    rings.collect()
}

/// What the judge says of pages; `None` where no judge is named. The file is kept to be looked at.
fn judged(name: &str, pages: &[Page], bytes: &[u8]) -> Option<Value> {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name).with_extension("pdf");
    std::fs::write(&file, bytes).unwrap();
    let look = |page: &Page| {
        let circles: Vec<Value> = rings(page)
            .into_iter()
            .map(|(centre, radius)| {
                let centre = page.on_sheet(centre);
                json!({"x": centre.x, "y": centre.y, "radius": radius})
            })
            .collect();
        json!({"strokes": bar_ends(page), "circles": circles})
    };
    let asked = json!({"pages": pages.iter().map(look).collect::<Vec<_>>()});
    judge("pdf_judge.py", &[file.to_str().unwrap()], &asked.to_string())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Where the judge sees the circles that were drawn round `centre`, on every page that has them whole.
fn place(value: &Value) -> PlatePoint {
    at(number(&value["x"]), number(&value["y"]))
}

#[track_caller]
fn check_size(page: &Value, [width, height]: [f64; 2]) {
    let points = [0.0, 0.0, width * 72.0 / 25.4, height * 72.0 / 25.4];
    for (k, wanted) in points.into_iter().enumerate() {
        assert!((number(&page["media_box"][k]) - wanted).abs() < 1e-3, "{:?} pt and not {points:?}", page["media_box"]);
    }
}

#[track_caller]
fn check_fonts(found: &Value) {
    let fonts = found["fonts"].as_array().unwrap();
    assert!(!fonts.is_empty(), "there is text");
    for font in fonts {
        assert_eq!(font["embedded"], true, "{font}");
        assert!(font["name"].as_str().unwrap().contains("+IBMPlexSans"), "{font}");
        assert!(number(&font["bytes"]) < 60_000.0, "a subset: {font}");
    }
    assert_eq!(found["has_dates"], false, "no date");
}

/// Prints the drawing and has every bar and hole measured.
fn check_proof(paper: Paper, printer: PrinterScale) {
    let drawing = drawing();
    let options = ProofOptions { paper, printer, ..ProofOptions::default() };
    let plex = Plex::new().unwrap();
    let layout = TileLayout::new(&drawing, &options, &plex).unwrap();
    let pages = proof_pages(&drawing, &options, &plex).unwrap();
    let bytes = pdf("Proof", &pages).unwrap();
    assert_eq!(pdf("Proof", &pages).unwrap(), bytes, "the same bytes");
    let what =
        if printer == PrinterScale::TRUE { paper.name().to_owned() } else { format!("{}-corrected", paper.name()) };
    let Some(found) = judged(&format!("proof-{what}"), &pages, &bytes) else { return };
    check_fonts(&found);
    assert_eq!(found["pages"].as_array().unwrap().len(), layout.count(), "{what}");
    let scale = PlateVec::new(printer.across, printer.up);
    // Page places less what their sheet shows of the plate: one and the same offset on every sheet.
    let mut offsets: Vec<PlateVec> = Vec::new();
    let mut seen = 0;
    for ((tile, page), judged) in layout.tiles().zip(&pages).zip(found["pages"].as_array().unwrap()) {
        check_size(judged, layout.sheet_mm);
        let text = judged["text"].as_str().unwrap();
        assert!(text.contains("100 % / actual size") && text.contains("Käsepresse, Deckel"), "{what}: {text}");
        let ends: Vec<f64> = judged["strokes"].as_array().unwrap().iter().map(number).collect();
        let [across, up] = layout.bars_mm;
        assert!((ends[1] - ends[0] - across * printer.across).abs() < TRUE_MM, "{what}: bar across {ends:?}");
        assert!((ends[3] - ends[2] - up * printer.up).abs() < TRUE_MM, "{what}: bar up {ends:?}");
        let shown = layout.shown_on(tile);
        for ((centre, _), circle) in rings(page).into_iter().zip(judged["circles"].as_array().unwrap()) {
            // A circle that the window cuts has no middle to compare.
            if circle.is_null() {
                continue;
            }
            let hole = drawing.holes.iter().min_by(|a, b| {
                let far = |hole: &CutHole| (shown.min + (centre - window_of(page))).distance(hole.centre);
                far(a).total_cmp(&far(b))
            });
            let hole = hole.unwrap();
            let radius = hole.diameter_mm / 2.0;
            let inside = hole.centre.x - radius > shown.min.x + 1.0 && hole.centre.x + radius < shown.max.x - 1.0;
            let inside =
                inside && hole.centre.y - radius > shown.min.y + 1.0 && hole.centre.y + radius < shown.max.y - 1.0;
            if !inside {
                continue;
            }
            let step = hole.centre - shown.min;
            offsets.push(place(circle) - at(step.x * scale.x, step.y * scale.y));
            let mean = f64::midpoint(scale.x, scale.y) * radius;
            assert!((number(&circle["radius"]) - mean).abs() < TRUE_MM, "{what}: {} is of its size", hole.name);
            seen += 1;
        }
    }
    // On cards the large hole is whole on none; on several sheets the middle hole is whole on more than one.
    let least = if paper == Paper::A6 { drawing.holes.len() - 1 } else { drawing.holes.len() + layout.count() - 1 };
    assert!(seen >= least, "{what}: holes are whole on some sheet ({seen} and not {least})");
    for offset in &offsets {
        let off = *offset - offsets[0];
        assert!(off.length() < TRUE_MM, "{what}: a hole lies {off:?} mm off its place among the others");
    }
}

/// Lower left corner of a page's window.
fn window_of(page: &Page) -> PlatePoint {
    let window =
        page.items.iter().find_map(|item| if let Item::Within { window, .. } = item { Some(*window) } else { None });
    window.unwrap().min
}

#[test]
fn a_proof_is_true_to_size_on_every_paper() {
    for paper in [Paper::A4, Paper::Letter, Paper::A3, Paper::A6] {
        check_proof(paper, PrinterScale::TRUE);
    }
}

#[test]
fn a_corrected_proof_is_longer_by_what_the_printer_takes_away() {
    let printer = PrinterScale::from_bars([100.0, 100.0], [99.1, 100.6]).unwrap();
    check_proof(Paper::A4, printer);
}

/// Runs a command; its exit code with what it says.
fn platewright(args: &[&str]) -> (u8, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let args = std::iter::once("platewright").chain(args.iter().copied()).map(Into::into);
    let code = commands::run(args, &mut out, &mut err);
    (code, String::from_utf8([out, err].concat()).unwrap())
}

fn demo() -> String {
    project_dir().join("demo/milk-valve-flange.plate.json").to_str().unwrap().to_owned()
}

fn read(file: &Path, pages: usize) -> Option<Value> {
    let nothing = json!({"strokes": [], "circles": []});
    judge("pdf_judge.py", &[file.to_str().unwrap()], &json!({"pages": vec![nothing; pages]}).to_string())
}

#[test]
fn the_report_says_everything_and_comes_out_the_same_again() {
    let folder = tempfile::tempdir().unwrap();
    for (paper, size) in [("a4", Paper::A4.size_mm()), ("letter", Paper::Letter.size_mm())] {
        let files = ["first.pdf", "second.pdf"].map(|name| folder.path().join(name));
        for file in &files {
            let (code, said) = platewright(&["report", &demo(), "-o", file.to_str().unwrap(), "--paper", paper]);
            assert_eq!(code, commands::DONE, "{said}");
        }
        let [first, second] = files.map(|file| (std::fs::read(&file).unwrap(), file));
        assert_eq!(first.0, second.0, "the same bytes");
        let Some(found) = read(&first.1, 0) else { return };
        check_fonts(&found);
        assert_eq!(found["title"], "Inspection report, Milk valve flange", "its title");
        let pages = found["pages"].as_array().unwrap();
        let mut text = String::new();
        for (k, page) in pages.iter().enumerate() {
            check_size(page, size);
            text += page["text"].as_str().unwrap();
            assert!(text.contains(&format!("page {} of {}", k + 1, pages.len())), "numbered");
        }
        for words in
            ["M1 far rims H2–H4", "all 11 measures agree", "It bolts up", "One outline", "6201f7ede28cff95", "M8"]
        {
            assert!(text.contains(words), "{words} in {text}");
        }
    }
}

#[test]
fn commands_refuse_what_they_cannot_do() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("proof.pdf");
    let (code, said) = platewright(&["proof", &demo(), "-o", file.to_str().unwrap(), "--bar-across", "60"]);
    assert_eq!(code, commands::FAILED, "{said}");
    assert!(said.contains("the check bar across should be 100 mm and was read as 60.00 mm"), "{said}");
    for (command, file, words) in
        [("proof", "proof.dxf", "the name of a proof ends in .pdf"), ("report", "report.txt", "the report is a PDF")]
    {
        let file = folder.path().join(file);
        let (code, said) = platewright(&[command, &demo(), "-o", file.to_str().unwrap()]);
        assert_eq!(code, commands::WRONG_USAGE, "{said}");
        assert!(said.contains(words), "{said}");
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "nothing was written");
}
