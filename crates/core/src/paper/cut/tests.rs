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
    assert_eq!(inks(&pages), 2, "the name and the size of H3");
    assert_eq!(pages.len(), 2, "the part and the sheet");
    check_clear(&pages[1]);
    assert_eq!(pages[1].words()[0].text, "6 copies on a sheet of 600 x 300 mm; drawn 1:5");
    job.stock = Some(Stock { copies: Some(60), sheet_mm: Some([600.0, 300.0]), ..Stock::default() });
    let said = pages_of(&job, &drawing, &[], Paper::A4)[1].words()[0].clone();
    assert!(said.text.contains("of the 60 copies go on the sheet") && said.ink == Ink::Disagree, "{said:?}");
    assert!(pages_of(&job, &CutDrawing::default(), &[], Paper::A4).is_empty(), "nothing is cut");
}
