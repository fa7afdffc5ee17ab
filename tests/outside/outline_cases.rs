//! The whole way from a photo to cut contours, on the public cases.

use platewright_tests::outlines::{Against, Known};
use platewright_tests::{CASES, Case, shared_dir, skip};

const OFF_PX: f64 = 5.0;
const REACH_PX: f64 = 10.0;

fn dump(known: &Known, name: &str, faired: &platewright_core::fair::Faired, edge: &platewright_core::edge::FollowedEdge, nodes: &[platewright_core::space::PhotoPoint], truth: &[platewright_tests::TruePiece]) {
    use std::fmt::Write;
    let Some(folder) = std::env::var_os("EDGES_DUMP") else { return };
    let camera = known.case.camera();
    let mut text = String::new();
    let seen = |p: platewright_core::space::PlatePoint| known.map.photo_from_plate(p).unwrap();
    for s in &faired.contour.segments {
        writeln!(text, "seg {} {} {}", s.from.x, s.from.y, s.bulge).unwrap();
        for k in 0..20 { let p = s.point_at(f64::from(k) / 20.0); let q = seen(p); writeln!(text, "cut {} {} {} {}", q.x, q.y, p.x, p.y).unwrap(); }
    }
    for piece in truth { for p in piece.sampled(1e-3, 0.05) { let q = camera.photo_from_plate([p.x, p.y, 0.0]); writeln!(text, "true {} {} {} {}", q[0], q[1], p.x, p.y).unwrap(); } let p = piece.from(); let q = camera.photo_from_plate([p.x, p.y, 0.0]); writeln!(text, "node {} {}", q[0], q[1]).unwrap(); }
    for n in nodes { writeln!(text, "rough {} {}", n.x, n.y).unwrap(); }
    for (number, piece) in edge.pieces.iter().enumerate() {
        for p in &piece.points { let q = known.map.plate_from_photo(p.at).unwrap(); writeln!(text, "point {} {} {} {} {} {number}", p.at.x, p.at.y, p.sigma_px, q.x, q.y).unwrap(); }
        for r in &piece.rejected { if let Some(at) = r.at { writeln!(text, "rejected {} {} {:?}", at.x, at.y, r.reason).unwrap(); } }
    }
    std::fs::write(std::path::Path::new(&folder).join(format!("{name}.txt")), text).unwrap();
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn rough_nodes_give_cut_contours() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES.into_iter().filter(|n| n.starts_with(&std::env::var("ONLY").unwrap_or_default())) {
        let known = Known::of(Case::read(&shared, name));
        for (number, truth) in known.case.true_outlines().iter().enumerate() {
            for seed in 1..=std::env::var("SEEDS").map_or(4, |s| s.parse().unwrap()) {
                let nodes = known.rough_nodes(truth, OFF_PX, seed);
                let edge = known.followed(&nodes, REACH_PX);
                let faired = known.cut(&nodes, REACH_PX, number == 0).expect("a contour");
                let Against { apart_mm, area_share, segments: [made, wanted], is_sound } =
                    Against::of(&faired.contour, truth);
                println!(
                    "{name}, contour {number}, seed {seed}: {apart_mm:.3} mm, area {:+.3} %, {made} segments for {wanted}, sound {is_sound}",
                    100.0 * area_share
                );
                dump(&known, &format!("{name}-{number}-{seed}"), &faired, &edge, &nodes, truth);
            }
        }
    }
}
