use super::*;
use crate::check::{Check, Verdict};
use crate::geom::Bounds;
use crate::job::{Hole, Id, Measure, MeasureKind, Outcome, Photo, Trial};
use crate::paper::EvenlyWide;
use crate::solution::{Ellipse, HoleFit, Inputs, MeasureFit, MeasureVerdict, beliefs};
use crate::space::{PhotoPoint, PlatePoint};
use std::sync::Arc;

/// A part of `n` holes and as many measures, with long names and others that are not ASCII.
fn job(n: usize) -> Job {
    let photo = Photo {
        file: "aufnahme-der-käsepresse-mit-sehr-langem-namen-".repeat(4) + ".jpg",
        sha256: "0123456789abcdef".repeat(4),
        size: [400, 300],
        held: crate::job::Held::ByEye,
        focal_px: None,
        lens: crate::job::LensBeliefs::default(),
    };
    let mut job = Job::new(photo);
    job.title = "Käsepresse, Deckel über der Öffnung für den Rührer, zweite Ausführung mit längerem Flansch".into();
    job.holes = (0..n)
        .map(|k| {
            let (x, y) = (40.0 + 12.0 * (k % 25) as f64, 60.0 + 40.0 * (k / 25) as f64);
            Hole {
                id: format!("h{k}").as_str().into(),
                name: if k == 1 {
                    "Loch für die Ablassschraube links unten neben dem Rand".into()
                } else {
                    format!("H{k}")
                },
                rim: [(0.0, 4.0), (4.0, 0.0), (-4.0, 0.0)].map(|(dx, dy)| PhotoPoint::new(x + dx, y + dy)).to_vec(),
                sigma_px: None,
                measure_rim: true,
                group: None,
                edge_break: false,
                keep: true,
            }
        })
        .collect();
    job.measures = (1..n)
        .map(|k| Measure {
            id: format!("m{k}").as_str().into(),
            kind: MeasureKind::Centres,
            between: vec!["h0".into(), format!("h{k}").as_str().into()],
            mm: 10.0 * k as f64,
            sigma_mm: 0.05,
            in_use: true,
        })
        .collect();
    let trial = |outcome| Trial {
        id: "t1".into(),
        hole: "h0".into(),
        round: 1,
        outcome,
        towards_deg: Some(180.0),
        mm: Some(0.2),
        at_mm: None,
    };
    job.trials = vec![trial(Outcome::Touched)];
    job
}

fn solution(job: &Job) -> Solution {
    let ellipse = Ellipse { major_mm: 0.05, minor_mm: 0.03, major_angle_rad: 0.0 };
    let hole = |(k, hole): (usize, &Hole)| HoleFit {
        id: hole.id.clone(),
        centre: PlatePoint::new(10.0 * k as f64, -3.25),
        rim_diameter_mm: 6.6,
        bore_diameter_mm: 6.6,
        diameter_sigma_mm: 0.02,
        ellipse,
        rim_points: 100,
        is_measured: true,
        rim_rms_px: 0.1,
        picks_off_px: Vec::new(),
    };
    let measure = |measure: &Measure| MeasureFit {
        id: measure.id.clone(),
        measured_mm: measure.mm,
        fitted_mm: measure.mm + 0.02,
        sigma_mm: measure.sigma_mm,
        redundancy: 0.6,
        w: Some(0.4),
        noticed_mm: Some(0.3),
        noticed_effect: None,
        by_others_mm: Some(measure.mm - 0.03),
        slip: None,
        verdict: if measure.id == Id::from("m2") { MeasureVerdict::Disagrees } else { MeasureVerdict::Agrees },
    };
    let mut solution = Solution {
        holes: job.holes.iter().enumerate().map(hole).collect(),
        measures: job.measures.iter().map(measure).collect(),
        ..Solution::default()
    };
    solution.fit.scale_sigma = Some(1e-4);
    solution
}

fn pages(n: usize, paper: Paper) -> Vec<Page> {
    let job = job(n);
    let solution = solution(&job);
    let text =
        "The wall between H1 and H2 is 0.40 mm, and 1.50 mm is the least that holds: move one of them.".to_owned();
    let check = Check { name: "Holes apart", verdict: Verdict::Fail, text, about: None, places: Vec::new() };
    let inputs =
        Inputs { job: &job, exif_focal_px: None, instrument: crate::instrument::Instrument::CALIPER, seen: None };
    let photo = ReportPhoto {
        rgb: Arc::from(vec![128; 400 * 300 * 3]),
        pixels: [400, 300],
        corner_px: [0.0, 0.0],
        step_px: 1.0,
    };
    let source = ReportSource {
        job: &job,
        solution: &solution,
        checks: &vec![check; 14],
        headline: "Käsepresse: worst hole is good to ±0.12 mm (95 %); all measures agree.",
        odds: Some("It bolts up 97 times in 100."),
        beliefs: beliefs(&inputs),
        photo: Some(photo),
        program: "Platewright 0.1.0",
    };
    report_pages(&source, paper, &EvenlyWide)
}

#[test]
fn nothing_is_cut_off_and_no_words_meet() {
    for (n, paper) in [(3, Paper::A4), (3, Paper::Letter), (60, Paper::A4), (60, Paper::Letter)] {
        let pages = pages(n, paper);
        let [width, height] = paper.size_mm();
        for (k, page) in pages.iter().enumerate() {
            let boxes: Vec<(&str, Bounds)> =
                page.words().into_iter().map(|words| (words.text.as_str(), words.bounds(&EvenlyWide))).collect();
            for (i, (text, at)) in boxes.iter().enumerate() {
                assert!(at.min.x >= 16.0 && at.max.x <= width - 16.0, "{text:?} on page {} is in the margins", k + 1);
                assert!(at.min.y >= 9.0 && at.max.y <= height - 14.0, "{text:?} on page {} is in the margins", k + 1);
                // Lines of text may come as near as their own spacing; letters do not touch.
                let met = boxes[i + 1..].iter().find(|(_, other)| other.grown(-0.35).overlaps(&at.grown(-0.35)));
                assert!(n > 10 || met.is_none(), "{text:?} meets {met:?} on page {}", k + 1);
            }
        }
        let last = pages.last().unwrap();
        let number = format!("page {n} of {n}", n = pages.len());
        assert!(last.words().iter().any(|words| words.text == number), "{number}");
    }
}

#[test]
fn everything_that_was_measured_is_on_it() {
    let pages = pages(60, Paper::A4);
    let said: Vec<&str> = pages.iter().flat_map(Page::words).map(|words| words.text.as_str()).collect();
    for k in 1..60 {
        let name = format!("M{k} centres");
        assert!(said.iter().any(|text| text.starts_with(&name)), "{name}");
    }
    for words in ["disagrees", "touched", "180°", "+0.03", "−3.25", "0.12", "To bear in mind"] {
        assert!(said.contains(&words), "{words}");
    }
    assert!(said.iter().any(|text| text.contains(&"0123456789abcdef".repeat(2))), "the photo's digest");
    assert!(pages.len() > 3, "over several pages: {}", pages.len());
}

#[test]
fn a_job_that_was_just_begun_has_a_report() {
    let job = Job::new(job(0).photo);
    let inputs =
        Inputs { job: &job, exif_focal_px: None, instrument: crate::instrument::Instrument::CALIPER, seen: None };
    let solution = Solution::default();
    let source = ReportSource {
        job: &job,
        solution: &solution,
        checks: &[],
        headline: "This part: no hole has enough picks yet; nothing was measured by hand.",
        odds: None,
        beliefs: beliefs(&inputs),
        photo: None,
        program: "Platewright 0.1.0",
    };
    assert_eq!(report_pages(&source, Paper::A4, &EvenlyWide).len(), 1, "one page");
    assert_eq!(region_of_interest(&job), [0, 0, 400, 300], "all of the photo");
}
