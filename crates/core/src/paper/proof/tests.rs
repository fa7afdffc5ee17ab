use super::*;
use crate::export::{CutContour, ExportRefused};
use crate::paper::EvenlyWide;
use proptest::prelude::*;

fn drawing(width: f64, height: f64) -> CutDrawing {
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(|(x, y)| PlatePoint::new(x, y));
    let contour = Contour::polygon(&corners);
    let hole = |name: &str, x: f64, y: f64| CutHole {
        id: name.to_lowercase().as_str().into(),
        name: name.to_owned(),
        centre: PlatePoint::new(x * width, y * height),
        diameter_mm: 0.1 * width.min(height),
    };
    CutDrawing {
        title: "Käsepresse".into(),
        outer: vec![CutContour { id: "c1".into(), name: "the outline".into(), contour }],
        holes: vec![hole("H1", 0.1, 0.1), hole("H2", 0.9, 0.5)],
        notes: vec![CutDrawing::SCALE_NOTE.into()],
        ..CutDrawing::default()
    }
}

fn layout(drawing: &CutDrawing, paper: Paper) -> TileLayout {
    TileLayout::new(drawing, &ProofOptions { paper, ..ProofOptions::default() }, &EvenlyWide).unwrap()
}

fn text(pages: &[Page]) -> String {
    pages.iter().flat_map(Page::words).map(|words| words.text.as_str()).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_part_takes_the_fewest_sheets() {
    for (paper, width, height, columns, rows, lies) in [
        (Paper::A4, 2.0, 2.0, 1, 1, false),
        (Paper::A4, 100.0, 60.0, 1, 1, true),
        (Paper::A4, 250.0, 120.0, 1, 1, true),
        (Paper::Letter, 150.0, 220.0, 1, 1, false),
        (Paper::A4, 250.0, 180.0, 1, 2, true),
        (Paper::A3, 250.0, 180.0, 1, 1, true),
        (Paper::A4, 900.0, 700.0, 6, 3, false),
    ] {
        let found = layout(&drawing(width, height), paper);
        let said = (found.columns, found.rows, found.is_lying());
        assert_eq!(said, (columns, rows, lies), "{width} by {height} mm on {}", paper.name());
    }
}

#[test]
fn what_cannot_be_printed_says_why() {
    let refused = |drawing: &CutDrawing| {
        proof_pages(drawing, &ProofOptions::default(), &EvenlyWide).map(|pages| pages.len()).unwrap_err()
    };
    assert_eq!(refused(&CutDrawing::default()), ProofRefused::Drawing(ExportRefused::NothingToCut), "nothing");
    let said = refused(&drawing(5000.0, 9000.0)).to_string();
    assert!(said.starts_with("the part is 5000 by 9000 mm and would take "), "{said}");
    let mut broken = drawing(50.0, 50.0);
    broken.holes[0].centre.x = f64::NAN;
    assert_eq!(refused(&broken).to_string(), "H1 has a coordinate that is not a number", "a number that is none");
}

#[test]
fn every_sheet_says_how_it_is_printed_and_has_both_bars() {
    let options = ProofOptions { not_checked: vec!["Holes inside".into()], ..ProofOptions::default() };
    for paper in Paper::ALL {
        let options = ProofOptions { paper, ..options.clone() };
        let pages = proof_pages(&drawing(300.0, 190.0), &options, &EvenlyWide).unwrap();
        for (k, page) in pages.iter().enumerate() {
            let said = text(std::slice::from_ref(page));
            for words in
                ["100 % / actual size", "check bar across, ", "check bar up, ", "Not checked good: Holes inside."]
            {
                assert!(said.contains(words), "{words:?} on sheet {k} of {}: {said}", paper.name());
            }
            assert!(said.contains(&format!("{} of {}", k + 1, pages.len())), "its number: {said}");
            // Evenly wide letters are wider than those of the typeface, too wide for a card.
            assert!(paper == Paper::A6 || !said.contains('…'), "nothing is left out on {}: {said}", paper.name());
        }
    }
    let all = text(&proof_pages(&drawing(300.0, 190.0), &options, &EvenlyWide).unwrap());
    assert!(all.contains("Käsepresse") && all.contains("dia. 19.00"), "{all}");
    for (paper, length) in [(Paper::A6, "80"), (Paper::A4, "100"), (Paper::Letter, "100")] {
        let bars = layout(&drawing(50.0, 50.0), paper).bars_mm.map(|mm| mm.to_string());
        assert_eq!(bars, [length, length], "the longest that {} holds", paper.name());
    }
}

#[test]
fn a_printer_is_put_right_inside_the_margins() {
    let printer = PrinterScale { across: 1.02, up: 0.99 };
    let options = ProofOptions { printer, ..ProofOptions::default() };
    let drawing = drawing(150.0, 150.0);
    let page = proof_pages(&drawing, &options, &EvenlyWide).unwrap().remove(0);
    let layout = TileLayout::new(&drawing, &options, &EvenlyWide).unwrap();
    let corner = page.on_sheet(layout.printable.max);
    assert!((corner.x - 200.0).abs() < 1e-9 && (corner.y - 287.0).abs() < 1e-9, "as far as the margins: {corner:?}");
    let (from, to) = (page.on_sheet(PlatePoint::new(20.0, 30.0)), page.on_sheet(PlatePoint::new(120.0, 130.0)));
    assert!((to.x - from.x - 102.0).abs() < 1e-9 && (to.y - from.y - 99.0).abs() < 1e-9, "longer and shorter");
}

#[test]
fn names_are_whole_and_do_not_meet() {
    let mut drawing = drawing(300.0, 190.0);
    for k in 0..12 {
        let centre = PlatePoint::new(40.0 + 14.0 * f64::from(k), 95.0);
        drawing.holes.push(CutHole {
            id: format!("x{k}").as_str().into(),
            name: format!("X{k}"),
            centre,
            diameter_mm: 5.0,
        });
    }
    let options = ProofOptions::default();
    let layout = TileLayout::new(&drawing, &options, &EvenlyWide).unwrap();
    let pages = proof_pages(&drawing, &options, &EvenlyWide).unwrap();
    let said = text(&pages);
    for hole in &drawing.holes {
        assert!(said.lines().any(|line| line == hole.name), "{} is named", hole.name);
    }
    for page in &pages {
        let boxes: Vec<(&str, Bounds)> = page
            .words()
            .into_iter()
            .map(|words| (words.text.as_str(), words.bounds(&EvenlyWide).grown(-0.4)))
            .collect();
        for (k, (a_text, a)) in boxes.iter().enumerate() {
            assert!(a.min.x >= layout.printable.min.x && a.max.x <= layout.printable.max.x, "{a_text} is on the sheet");
            assert!(a.min.y >= layout.printable.min.y && a.max.y <= layout.printable.max.y, "{a_text} is on the sheet");
            let met = boxes[k + 1..].iter().find(|(_, b)| b.overlaps(a));
            assert_eq!(met, None, "{a_text} meets another");
        }
    }
}

proptest! {
    #[test]
    fn every_place_of_the_part_is_on_a_sheet(
        width in 2.0..900.0f64, height in 2.0..900.0f64, across in 0.91..1.09f64, up in 0.91..1.09f64,
        at in prop::array::uniform2(0.0..=1.0f64), which in 0..4usize,
    ) {
        let drawing = drawing(width, height);
        let options = ProofOptions {
            paper: Paper::ALL[which], printer: PrinterScale { across, up }, ..ProofOptions::default()
        };
        let layout = TileLayout::new(&drawing, &options, &EvenlyWide).unwrap();
        let place = PlatePoint::new(at[0] * width, at[1] * height);
        // On what stays of some sheet, which is inside its window.
        let stays = layout.tiles().filter(|tile| {
            let (Bounds { min, max }, shown) = (layout.stays_of(*tile), layout.shown_on(*tile));
            let is_shown = shown.min.x <= min.x && shown.min.y <= min.y && max.x <= shown.max.x && max.y <= shown.max.y;
            // Rounding may part neighbours by less than anything.
            let on = |low: f64, high: f64, at: f64| low - 1e-9 <= at && at <= high + 1e-9;
            is_shown && on(min.x, max.x, place.x) && on(min.y, max.y, place.y)
        });
        prop_assert!(stays.count() >= 1, "{place:?} of {width} by {height} mm");
        // What a window shows lies inside the margins.
        let page = Page { size_mm: layout.sheet_mm, stretch: Stretch { about: layout.printable.min, across, up }, items: vec![] };
        let (low, high) = (page.on_sheet(layout.window.min), page.on_sheet(layout.window.max));
        prop_assert!(low.x >= MARGIN_MM && low.y >= MARGIN_MM);
        prop_assert!(high.x <= layout.sheet_mm[0] - MARGIN_MM + 1e-9 && high.y <= layout.sheet_mm[1] - MARGIN_MM + 1e-9);
    }
}
