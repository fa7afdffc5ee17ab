//! The whole way from a photo to cut contours, on the public cases: from rough nodes, and from one click.

use platewright_core::edge::FaceSide;
use platewright_core::fair::{Wanted, fair};
use platewright_core::geom::{Contour, Segment};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_tests::edges::{apart_mm, true_contour};
use platewright_tests::outlines::{Against, Known, area_left_by_hand};
use platewright_tests::{CASES, Case, TruePiece, judge, shared_dir, skip};
use serde_json::json;

/// Nodes are displaced by this in a direction of chance, px.
const DISPLACED_PX: f64 = 5.0;

/// What a cut contour may be off.
#[derive(Debug, Clone, Copy)]
struct Limits {
    apart_mm: f64,
    area_share: f64,
    /// Segments over those of the truth.
    segments: f64,
}

impl Limits {
    /// Of the contour alone.
    fn by_true_camera(name: &str) -> Self {
        let apart_mm = if matches!(&name[..2], "09" | "11") { 0.30 } else { 0.15 };
        Self { apart_mm, area_share: 0.001, segments: 1.5 }
    }

    /// By the camera from clicks and measures, whose scale enters the area twice. What the hand measures leave of it (the
    /// calipers of the flange, 05, read 0.05 % long on average) no look at the photo can mend; a little is added by the look,
    /// most on the gasket (11): paper on a photo of three megapixels.
    fn of(name: &str, left_by_hand: f64) -> Self {
        assert!(
            left_by_hand.abs() < 0.0012,
            "{name}: the calipers are read to 0.05 mm, not {left_by_hand} of the area"
        );
        let by_look = if name.starts_with("11") { 0.002 } else { 0.0003 };
        Self { area_share: (left_by_hand.abs() + by_look).max(0.001), ..Self::by_true_camera(name) }
    }

    #[track_caller]
    fn check(&self, what: &str, found: &Against) {
        assert!(found.is_sound, "{what}: it hangs together, goes round the right way and crosses itself nowhere");
        assert!(found.apart_mm <= self.apart_mm, "{what}: {:.3} mm apart", found.apart_mm);
        assert!(found.area_share.abs() <= self.area_share, "{what}: area {:+.3} %", 100.0 * found.area_share);
        let [made, wanted] = found.segments;
        assert!(made as f64 <= self.segments * wanted as f64, "{what}: {made} segments for {wanted}");
    }
}

fn row(what: &str, found: &Against) -> String {
    let [made, wanted] = found.segments;
    format!(
        "{what}: {:.3} mm apart, area {:+.3} %, {made} segments for {wanted}",
        found.apart_mm,
        100.0 * found.area_share
    )
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn rough_nodes_give_cut_contours() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let check = |known: &Known, camera: &str, seeds: u64, limits: &dyn Fn(&[TruePiece]) -> Limits| {
            for (number, truth) in known.case.true_outlines().iter().enumerate() {
                let limits = limits(truth);
                for seed in 1..=seeds {
                    let what = format!("{name}, contour {number}, {camera}, seed {seed}");
                    let nodes = known.rough_nodes(truth, DISPLACED_PX, seed);
                    let faired = known.cut(&nodes, number == 0).expect("its edge makes a contour");
                    let found = Against::of(&faired.contour, truth);
                    println!("{}", row(&what, &found));
                    limits.check(&what, &found);
                }
            }
        };
        let known = Known::of(Case::read(&shared, name));
        let by_hand = |truth: &[TruePiece]| {
            let left = area_left_by_hand(&known.case, truth);
            println!("{name}: the hand measures leave {:+.3} % of the area", 100.0 * left);
            Limits::of(name, left)
        };
        check(&known, "camera from clicks and measures", 6, &by_hand);
        check(&known.by_true_camera(), "true camera", 2, &|_| Limits::by_true_camera(name));
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn one_click_gives_cut_contours() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let known = Known::of(Case::read(&shared, name));
        let truths = known.case.true_outlines();
        let chains = known.nodes_from_one_click().expect("the face is found");
        assert_eq!(chains.len(), truths.len(), "{name}: every opening and no other");
        for (number, (truth, nodes)) in truths.iter().zip(&chains).enumerate() {
            let what = format!("{name}, contour {number}, {} nodes", nodes.len());
            assert!(nodes.len() <= 16, "{what}: few enough to be moved by hand");
            let faired = known.cut(nodes, number == 0).expect("its edge makes a contour");
            let found = Against::of(&faired.contour, truth);
            println!("{}", row(&what, &found));
            Limits::of(name, area_left_by_hand(&known.case, truth)).check(&what, &found);
        }
    }
}

/// GEOS as judge of areas, of how far the contour is from the truth, either way, and of whether it crosses itself.
#[test]
fn another_library_finds_the_same_figures() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let known = Known::of(Case::read(&shared, name));
        let truth = known.case.true_outline();
        let nodes = known.rough_nodes(&truth, DISPLACED_PX, 1);
        let contour = known.cut(&nodes, true).expect("its edge makes a contour").contour;
        let own = Against::of(&contour, &truth);
        let ring = |c: &Contour| c.sampled(1e-4).into_iter().map(<[f64; 2]>::from).collect::<Vec<_>>();
        let input = json!({ "contour": ring(&contour), "truth": ring(&true_contour(&truth)) });
        let Some(found) = judge("polygons.py", &[], &input.to_string()) else { return };
        let figure = |key: &str| found[key].as_f64().expect("the judge gives a figure");
        assert_eq!(found["valid"], true, "{name}: the ring is a simple one");
        assert!((figure("apart") - own.apart_mm).abs() < 0.002, "{name}: {} against {}", figure("apart"), own.apart_mm);
        let area_share = figure("area") / figure("true_area") - 1.0;
        assert!((area_share - own.area_share).abs() < 1e-5, "{name}: {area_share} against {}", own.area_share);
    }
}

fn mirrored(contour: &Contour) -> Contour {
    let place = |p: PlatePoint| PlatePoint::new(-p.x, p.y);
    let segment = |s: &Segment| Segment::arc(place(s.from), place(s.to), -s.bulge);
    Contour { segments: contour.segments.iter().map(segment).collect(), closed: contour.closed }
}

/// How far contours may be apart that were measured at other places along the same edge, mm.
fn same_mm(name: &str) -> f64 {
    if matches!(&name[..2], "09" | "11") { 0.12 } else { 0.06 }
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn the_way_of_looking_does_not_matter() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let known = || Known::of(Case::read(&shared, name)).by_true_camera();
        let plain = known();
        let truth: Vec<TruePiece> = plain.case.true_outline();
        let nodes = plain.rough_nodes(&truth, DISPLACED_PX, 3);
        let first = plain.cut(&nodes, true).expect("its edge makes a contour").contour;
        let check = |what: &str, contour: &Contour| {
            let apart = apart_mm(&first, contour, 0.1);
            println!("{name}, {what}: {apart:.4} mm apart");
            assert!(apart < same_mm(name), "{name}, {what}: {apart:.4} mm apart");
        };
        let mut later = nodes.clone();
        later.rotate_left(nodes.len() / 3);
        check("from another node", &plain.cut(&later, true).expect("a contour").contour);
        let back: Vec<PhotoPoint> = nodes.iter().rev().copied().collect();
        let points = plain.edge_points(&plain.followed(&back, FaceSide::Right));
        check("reversed", &fair(&points, &Wanted::closed_outer()).expect("a contour").contour);
        let [width, height] = [plain.image.width(), plain.image.height()].map(|side| f64::from(side) - 1.0);
        let turned: Vec<PhotoPoint> = nodes.iter().map(|at| PhotoPoint::new(height - at.y, at.x)).collect();
        check("turned", &known().turned().cut(&turned, true).expect("a contour").contour);
        let other: Vec<PhotoPoint> = back.iter().map(|at| PhotoPoint::new(width - at.x, at.y)).collect();
        check("mirrored", &mirrored(&known().mirrored().cut(&other, true).expect("a contour").contour));
    }
}
