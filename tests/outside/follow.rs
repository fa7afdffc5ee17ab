//! The outline of the public cases, followed from rough nodes, against the true one.

use platewright_core::camera::PlateMap;
use platewright_core::edge::{EdgePoint, FaceSide, Picture, follow_edge};
use platewright_core::space::PhotoPoint;
use platewright_synth::Random;
use platewright_tests::{CASES, Case, map_of, shared_dir, skip};

/// Nodes are displaced by this in a direction of chance, px.
const DISPLACED_PX: f64 = 5.0;

/// How far a place lies from the nearest of some closed chains, px.
fn off_px(contours: &[Vec<PhotoPoint>], place: PhotoPoint) -> f64 {
    let sides = contours.iter().flat_map(|chain| chain.iter().zip(chain.iter().cycle().skip(1)));
    let off = |(from, to): (&PhotoPoint, &PhotoPoint)| {
        let way = *to - *from;
        let share = ((place - *from).dot(way) / way.dot(way).max(1e-12)).clamp(0.0, 1.0);
        place.distance(from.lerp(*to, share))
    };
    sides.map(off).fold(f64::INFINITY, f64::min)
}

/// Shares of points and their worst against the truth.
struct Figures {
    points: usize,
    rejected: usize,
    within_third: f64,
    worst_px: f64,
    /// Root mean square of the errors over the standard deviations.
    over_sigma: f64,
}

fn followed(case: &Case, picture: &Picture, map: &PlateMap, seed: u64) -> Figures {
    let mut random = Random::new(seed);
    let rough = |node: PhotoPoint| {
        let (sine, cosine) = random.between(0.0, std::f64::consts::TAU).sin_cos();
        PhotoPoint::new(node.x + DISPLACED_PX * cosine, node.y + DISPLACED_PX * sine)
    };
    let nodes: Vec<PhotoPoint> = case.true_nodes().into_iter().map(rough).collect();
    let edge = follow_edge(picture, map, &nodes, true, FaceSide::Left, 10.0);
    let truth = case.true_contours();
    let points: Vec<&EdgePoint> = edge.pieces.iter().flat_map(|piece| &piece.points).collect();
    let off: Vec<f64> = points.iter().map(|point| off_px(&truth, point.at)).collect();
    let n = points.len() as f64;
    if std::env::var_os("SHOW").is_some() {
        for (point, off) in points.iter().zip(&off) {
            if *off > 0.5 { println!("   {:?} off {off:.2} sigma {:.2}", point.at, point.sigma_px); }
        }
        let mut why = std::collections::BTreeMap::new();
        for r in edge.pieces.iter().flat_map(|piece| &piece.rejected) { *why.entry(format!("{:?}", r.reason)).or_insert(0) += 1; }
        println!("   {why:?}");
    }
    Figures {
        points: points.len(),
        rejected: edge.pieces.iter().map(|piece| piece.rejected.len()).sum(),
        within_third: off.iter().filter(|off| **off < 0.3).count() as f64 / n,
        worst_px: off.iter().copied().fold(0.0, f64::max),
        over_sigma: (points.iter().zip(&off).map(|(point, off)| (off / point.sigma_px).powi(2)).sum::<f64>() / n).sqrt(),
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn the_outline_is_followed_from_rough_nodes() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let image = case.pixels();
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let map = map_of(&case.camera());
        for seed in 1..=3 {
            let Figures { points, rejected, within_third, worst_px, over_sigma } = followed(&case, &picture, &map, seed);
            println!(
                "{name}: {points} points, {rejected} rejected, {:.1} % within 0.3 px, worst {worst_px:.2} px, {over_sigma:.2} of what is said",
                100.0 * within_third
            );
        }
    }
}
