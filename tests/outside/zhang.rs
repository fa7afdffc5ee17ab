//! Zhang's five views of a printed grid (A flexible new technique for camera calibration, MSR-TR-98-71, 1998; IEEE PAMI
//! 22, 2000): 256 known corners each, with the published lens.
//!
//! Zhang's camera has two focal lengths and a skew (832.5, 832.53 and 0.204494 px), this one a single focal length and
//! no skew. That costs up to 0.0013 px of RMS; one view comes out lower than published, since its pose is fitted to it alone.

use platewright_core::adjust::{Feature, Known, Overlay, Prior, Priors, Problem, Spot, adjust};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_core::units::MM_PER_INCH;
use platewright_tests::{shared_dir, skip};
use std::path::Path;

/// Root mean square distance of the corners from where the published lens and poses see them, px (recomputed from the
/// published figures by numpy).
const PUBLISHED_RMS_PX: [f64; 5] = [0.347_36, 0.231_42, 0.539_98, 0.235_83, 0.211_04];
/// The same by the best homography of each view, without any lens (least squares in the photo, OpenCV and SciPy).
const HOMOGRAPHY_RMS_PX: [f64; 5] = [1.2188, 1.2459, 1.1592, 1.0597, 0.7881];
/// How well the printed grid is held, mm: a hundredth of a px, so that it takes up next to nothing, and yet gives way
/// while the search turns it.
const GRID_SIGMA_MM: f64 = 2e-3;

struct View {
    grid: Vec<PlatePoint>,
    seen: Vec<PhotoPoint>,
}

/// Pairs of numbers, in any layout.
fn pairs(file: &Path) -> Vec<[f64; 2]> {
    let text = std::fs::read_to_string(file).expect("the published figures are readable");
    let numbers: Vec<f64> = text.split_whitespace().map(|word| word.parse().expect("a number")).collect();
    numbers.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
}

fn views(folder: &Path) -> Vec<View> {
    let model = pairs(&folder.join("Model.txt"));
    let view = |number: usize| {
        // The grid's y runs down in these files.
        let grid = model.iter().map(|[x, y]| PlatePoint::new(x * MM_PER_INCH, -y * MM_PER_INCH)).collect();
        let seen = pairs(&folder.join(format!("data{number}.txt")));
        View { grid, seen: seen.into_iter().map(|[x, y]| PhotoPoint::new(x, y)).collect() }
    };
    (1..=5).map(view).collect()
}

/// Root mean square distance of the corners from where the adjusted camera sees them, px.
fn rms_px(view: &View, priors: Priors) -> f64 {
    assert_eq!((view.grid.len(), view.seen.len()), (256, 256), "all corners are there");
    let place = |(i, at): (usize, &PlatePoint)| Known { feature: Feature::Spot(i), at: *at, sigma_mm: GRID_SIGMA_MM };
    let problem = Problem {
        priors,
        rims: Vec::new(),
        spots: view.seen.iter().map(|seen| Spot { pick: *seen, sigma_px: 0.3 }).collect(),
        sides: Vec::new(),
        breaks: Vec::new(),
        sizes: 0,
        corners: Vec::new(),
        lengths: Vec::new(),
        overlays: vec![Overlay { places: view.grid.iter().enumerate().map(place).collect() }],
    };
    let adjusted = adjust(&problem).expect("the view is solved");
    let camera = adjusted.view();
    let squares = view.seen.iter().enumerate().map(|(i, seen)| {
        let fitted = camera.project(adjusted.spot(i)).expect("the grid is before the camera");
        fitted.distance(*seen).powi(2)
    });
    (squares.sum::<f64>() / view.seen.len() as f64).sqrt()
}

/// Distance and tilts unknown; the lens by its values and standard deviations.
fn priors(lens: [(f64, f64); 7]) -> Priors {
    let pose = [(300_f64.ln(), 3.0), (0.0, 0.3), (0.0, 0.3)];
    let all: Vec<Prior> = pose.into_iter().chain(lens).map(|(value, sigma)| Prior { value, sigma }).collect();
    Priors(all.try_into().expect("three of the pose, seven of the lens"))
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn each_view_fits_as_published() {
    let Some(shared) = shared_dir() else { return skip("Zhang's figures are not beside the project") };
    let folder = shared.join("references/data/zhang");
    if !folder.is_dir() {
        return skip("Zhang's figures are not beside the project");
    }
    let held = 1e-6;
    let lens = priors([
        (832.515_f64.ln(), held),
        (303.959, held),
        (206.585, held),
        (-0.228_601, held),
        (0.190_353, held),
        (0.0, held),
        (0.0, held),
    ]);
    // A lens without bend, its focal length and principal point free: the view is then any homography.
    let straight = priors([
        (832_f64.ln(), 1.0),
        (319.5, 500.0),
        (239.5, 500.0),
        (0.0, held),
        (0.0, held),
        (0.0, held),
        (0.0, held),
    ]);
    for (i, view) in views(&folder).iter().enumerate() {
        let (ours, published) = (rms_px(view, lens), PUBLISHED_RMS_PX[i]);
        let (homography, best) = (rms_px(view, straight), HOMOGRAPHY_RMS_PX[i]);
        assert!((ours - published).abs() < 0.002, "view {}: {ours:.5} px against {published}", i + 1);
        assert!((homography / best - 1.0).abs() < 1e-3, "view {}: {homography:.5} px against {best}", i + 1);
        println!("view {}: {ours:.5} px, {published:.5} published; without bend {homography:.4}, {best:.4}", i + 1);
    }
}
