//! What stands on the drawing, and that nothing of it runs into anything else.

use super::*;
use crate::check::Verdict;
use crate::export::CutContour;
use crate::job::{self, Job, Stock};
use crate::paper::{EvenlyWide, Words};

fn job() -> Job {
    let sha = "0".repeat(64);
    let photo = format!(r#"{{"file":"a.jpg","sha256":"{sha}","size":[1,1]}}"#);
    job::read(&format!(r#"{{"format":"platewright-job","version":1,"title":"Cover","photo":{photo}}}"#)).unwrap()
}

fn plate(size_mm: f64) -> CutDrawing {
    let at = |x: f64, y: f64| PlatePoint::new(x * size_mm, y * size_mm);
    let outline = Contour::polygon(&[at(0.0, 0.0), at(1.0, 0.05), at(0.95, 0.7), at(0.1, 0.62)]);
    let hole = |k: usize, x: f64, y: f64| CutHole {
        id: format!("h{k}").as_str().into(),
        name: format!("H{k}"),
        centre: at(x, y),
        diameter_mm: 0.06 * size_mm,
    };
    let places =
        [(0.1, 0.08), (0.5, 0.1), (0.9, 0.15), (0.88, 0.6), (0.5, 0.58), (0.17, 0.55), (0.3, 0.3), (0.38, 0.3)];
    let holes = places.iter().enumerate().map(|(k, (x, y))| hole(k + 1, *x, *y)).collect();
    let opening = Contour::circle(at(0.6, 0.33), 0.12 * size_mm).oriented(false);
    let cut = |id: &str, contour| CutContour { id: id.into(), name: id.to_owned(), contour };
    CutDrawing { outer: vec![cut("c1", outline)], openings: vec![cut("c2", opening)], holes, ..CutDrawing::default() }
}

fn pages_of(job: &Job, drawing: &CutDrawing, checks: &[Check], paper: Paper) -> Vec<Page> {
    let solution = Solution::default();
    let source = CutSource { job, solution: &solution, checks, drawing, format: CutFormat::Dxf };
    cut_pages(&source, paper, &EvenlyWide)
}

fn check_clear(page: &Page) {
    let [wide, high] = page.size_mm;
    let frame = Bounds { min: PlatePoint::new(0.0, 0.0), max: PlatePoint::new(wide, high) }.grown(-MARGIN_MM);
    let boxes: Vec<(&Words, Bounds)> =
        page.words().into_iter().map(|words| (words, words.bounds(&EvenlyWide))).collect();
    for (k, (words, bounds)) in boxes.iter().enumerate() {
        assert!(
            frame.overlaps(bounds) && bounds.min.x >= frame.min.x && bounds.max.x <= frame.max.x,
            "{words:?} is cut off"
        );
        assert!(bounds.min.y >= frame.min.y && bounds.max.y <= frame.max.y, "{words:?} is cut off");
        for (other, theirs) in &boxes[k + 1..] {
            assert!(!bounds.overlaps(theirs), "{words:?} runs into {other:?}");
        }
    }
}

#[test]
fn parts_of_every_size_are_drawn_at_a_standard_scale_with_all_their_names() {
    for (size_mm, scale) in
        [(8.0, "10:1"), (30.0, "5:1"), (100.0, "1:1"), (160.0, "1:1"), (900.0, "1:10"), (40_000.0, "1:236")]
    {
        for paper in [Paper::A4, Paper::Letter, Paper::A3] {
            let (mut job, drawing) = (job(), plate(size_mm));
            job.stock = Some(Stock { kerf_mm: Some(0.2), thickness_mm: Some(3.0), ..Stock::default() });
            let pages = pages_of(&job, &drawing, &[], paper);
            assert_eq!(pages.len(), 1, "one part, one page");
            check_clear(&pages[0]);
            let words: Vec<String> = pages[0].words().iter().map(|words| words.text.clone()).collect();
            for hole in &drawing.holes {
                assert!(words.contains(&hole.name), "{size_mm}: {} is missing in {words:?}", hole.name);
            }
            let wide = format!("{size_mm:.2}");
            assert!(words.contains(&wide), "the overall width {wide} is missing in {words:?}");
            if paper == Paper::A4 {
                assert!(words.iter().any(|text| text.ends_with(&format!("drawn {scale}"))), "{size_mm}: {words:?}");
            }
        }
    }
}

#[test]
fn what_fails_is_marked_and_copies_have_their_page() {
    let (mut job, drawing) = (job(), plate(80.0));
    let (verdict, text) = (Verdict::Fail, "Too near.".to_owned());
    let fails = Check { name: "Walls", verdict, text, about: Some("h3".into()), places: Vec::new() };
    let inks = |pages: &[Page]| pages[0].words().iter().filter(|words| words.ink == Ink::Disagree).count();
    job.stock = Some(Stock { copies: Some(6), sheet_mm: Some([600.0, 300.0]), ..Stock::default() });
    let pages = pages_of(&job, &drawing, &[fails], Paper::A4);
    assert_eq!(inks(&pages), 3, "the name and the size of H3, and the line above the foot");
    check_clear(&pages[0]);
    let line = pages[0].words().iter().any(|words| words.text == "NOT CHECKED GOOD: Walls: Too near.");
    assert!(line, "it is said on the page");
    assert_eq!(pages.len(), 2, "the part and the sheet");
    check_clear(&pages[1]);
    assert_eq!(pages[1].words()[0].text, "6 copies on a sheet of 600 x 300 mm; drawn 1:5");
    job.stock = Some(Stock { copies: Some(60), sheet_mm: Some([600.0, 300.0]), ..Stock::default() });
    let said = pages_of(&job, &drawing, &[], Paper::A4)[1].words()[0].clone();
    assert!(said.text.contains("of the 60 copies go on the sheet") && said.ink == Ink::Disagree, "{said:?}");
    assert!(pages_of(&job, &CutDrawing::default(), &[], Paper::A4).is_empty(), "nothing is cut");
}

fn words_of(pages: &[Page]) -> Vec<String> {
    pages.iter().flat_map(Page::words).map(|words| words.text.clone()).collect()
}

fn rings(page: &Page) -> usize {
    let is_ring = |item: &&Item| matches!(item, Item::Circle { pen: Some(pen), .. } if *pen == FAILS);
    page.items.iter().filter(is_ring).count()
}

fn failing_check(name: &'static str, about: &str) -> Check {
    let text = "It must not be cut like this.".to_owned();
    Check { name, verdict: Verdict::Fail, text, about: Some(about.into()), places: Vec::new() }
}

#[test]
fn everything_that_fails_is_said_as_far_as_there_is_room_and_counted() {
    let checks: Vec<Check> = (1..=8).map(|k| failing_check("Holes apart", &format!("h{k}"))).collect();
    let pages = pages_of(&job(), &plate(100.0), &checks, Paper::A4);
    check_clear(&pages[0]);
    let said = words_of(&pages);
    let lines = said.iter().filter(|text| text.starts_with("NOT CHECKED GOOD: Holes apart")).count();
    assert_eq!(lines, 4, "{said:?}");
    assert!(said.contains(&"NOT CHECKED GOOD: and 4 more".to_owned()), "{said:?}");
    assert_eq!(rings(&pages[0]), 8, "each hole is ringed");
}

#[test]
fn holes_whose_names_find_no_place_are_ringed_and_listed() {
    let mut drawing = plate(100.0);
    let first = drawing.holes.len();
    for k in 0..400 {
        let centre = PlatePoint::new(20.0 + 2.0 * f64::from(k % 20), 20.0 + 2.0 * f64::from(k / 20));
        let id = format!("x{k}").as_str().into();
        drawing.holes.push(CutHole { id, name: format!("X{k}"), centre, diameter_mm: 1.0 });
    }
    let checks: Vec<Check> = (0..400).map(|k| failing_check("Holes apart", &format!("x{k}"))).collect();
    let pages = pages_of(&job(), &drawing, &checks, Paper::A4);
    check_clear(&pages[0]);
    assert_eq!(rings(&pages[0]), drawing.holes.len() - first, "whether its name is there or not");
    let said = words_of(&pages);
    let listed = said.iter().position(|text| text.starts_with("No room on the drawing for: X")).unwrap();
    assert!(said[listed..].iter().take(3).any(|text| text.contains("more")), "{said:?}");
}

#[test]
fn a_tapped_group_says_its_thread_and_a_kerf_that_is_not_drawn_says_so() {
    let mut job = job();
    let hole = r#"{ "id": "h1", "name": "H1", "rim": [], "group": "g1" }"#;
    job.holes.push(serde_json::from_str(hole).unwrap());
    let group = r#"{ "id": "g1", "fastener": "M6", "tapped": true }"#;
    job.groups.push(serde_json::from_str(group).unwrap());
    let drawing = plate(100.0);
    let kerf = |kerf_mm: f64| Some(Stock { kerf_mm: Some(kerf_mm), ..Stock::default() });
    job.stock = kerf(0.1778);
    let said = words_of(&pages_of(&job, &drawing, &[], Paper::A4));
    assert!(said.contains(&"dia. 6.00, tap M6".to_owned()), "{said:?}");
    assert!(said.contains(&"0.178 wide, drawn 13×, left to the shop".to_owned()), "{said:?}");
    // Wider than the holes: the cutter has no path.
    job.stock = kerf(7.0);
    let said = words_of(&pages_of(&job, &drawing, &[], Paper::A4));
    assert!(said.contains(&"7 wide, not drawn, left to the shop".to_owned()), "{said:?}");
}

#[test]
fn the_sheet_shows_what_goes_into_the_file() {
    let (mut job, drawing) = (job(), plate(80.0));
    let of = |kerf_in_file| Stock { kerf_in_file, kerf_mm: Some(2.0), copies: Some(2), ..Stock::default() };
    let sizes = [false, true].map(|in_file| {
        job.stock = Some(of(in_file));
        words_of(&pages_of(&job, &drawing, &[], Paper::A4)[1..])
    });
    let all = |in_file| drawing.clone().for_cutter(&of(in_file)).unwrap().bounds().unwrap().grown(5.0).size();
    for (in_file, said) in [false, true].into_iter().zip(sizes) {
        let wanted = format!("2 copies on {:.0} x {:.0} mm", all(in_file).x, all(in_file).y);
        assert!(said[0].starts_with(&wanted), "{said:?}, not {wanted}");
    }
    assert!(all(true).x > all(false).x + 1.5, "the cutter's path goes round the part");
}
