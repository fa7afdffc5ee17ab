//! The bands against a face on which the figure is known by hand.

use super::bands::{Band, bands, length, lines};
use super::field::{Face, Field};
use super::{STEPS_MM, hull, levels, round_the_holes};
use crate::sheets::samples;
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, Solution, solve};
use platewright_core::space::PlatePoint;

fn square(side: f64) -> Vec<PlatePoint> {
    [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(|(x, y)| PlatePoint::new(x, y)).to_vec()
}

fn solved() -> Solution {
    let job = samples::plate();
    solve(&Inputs { job: &job, exif_focal_px: Some(420.0), instrument: Instrument::CALIPER, seen: None })
}

/// A square of 72 mm with a hole of 20 mm in its middle, on which the figure is a hundredth of x.
fn slope() -> Field {
    let face = Face { loops: vec![square(72.0)], holes: vec![(PlatePoint::new(36.0, 36.0), 10.0)] };
    let mut field = Field::over(&face, solved().face.as_ref().unwrap()).unwrap();
    field.plus_minus_mm = (0..field.columns * field.rows).map(|node| field.place(node).x / 100.0).collect();
    field
}

fn area(band: &Band) -> f64 {
    let corner = |index: u32| band.places[index as usize];
    let one = |t: &[u32]| (corner(t[1]) - corner(t[0])).cross(corner(t[2]) - corner(t[0])).abs() / 2.0;
    band.triangles.chunks_exact(3).map(one).sum()
}

#[test]
fn the_bands_cover_the_face_once_and_leave_the_hole_clear() {
    let bands = bands(&slope(), &[0.15, 0.5]);
    let areas: Vec<f64> = bands.iter().map(area).collect();
    // By hand: 15 mm by 72, then 35 mm by 72 less the circle, then 22 mm by 72.
    let circle = std::f64::consts::PI * 100.0;
    let wanted = [15.0 * 72.0, 35.0 * 72.0 - circle, 22.0 * 72.0];
    for (found, wanted) in areas.iter().zip(wanted) {
        // The circle is a polygon of cells 1 mm wide, the corners are cut by less than half of a cell.
        assert!((found - wanted).abs() < 5.0, "{found} mm² and not {wanted}");
    }
}

#[test]
fn a_line_between_bands_runs_over_the_face_and_not_over_the_hole() {
    let across = lines(&slope(), 0.15);
    assert_eq!(across.len(), 1, "one line from edge to edge");
    assert!((length(&across[0]) - 72.0).abs() < 0.1, "as long as the face is high");
    assert!(across[0].iter().all(|at| (at.x - 15.0).abs() < 1e-9), "where the figure is the step");
    let through = lines(&slope(), 0.36);
    let lengths: Vec<f64> = through.iter().map(|line| length(line)).collect();
    assert_eq!(lengths.len(), 2, "cut in two by the hole: {lengths:?}");
    assert!(lengths.iter().all(|mm| (mm - 26.0).abs() < 0.2), "(72 - 20) / 2 mm each: {lengths:?}");
}

#[test]
fn the_figure_at_a_node_is_that_of_the_fit() {
    let solution = solved();
    let face = round_the_holes(solution.holes.iter().map(|hole| (hole.centre, hole.rim_diameter_mm / 2.0)).collect());
    let map = solution.face.as_ref().unwrap();
    let field = Field::over(&face.unwrap(), map).unwrap();
    let on_face: Vec<usize> = (0..field.columns * field.rows).filter(|node| field.inside_mm[*node] > 0.0).collect();
    assert!(on_face.len() > 1000, "{} nodes on the face", on_face.len());
    assert!(on_face.iter().all(|node| Some(field.plus_minus_mm[*node]) == map.plus_minus_mm(field.place(*node))));
}

#[test]
fn at_most_four_steps_are_shown_and_only_those_that_fall_on_the_face() {
    assert_eq!(levels((0.06, 0.12)), [0.08, 0.11], "two within");
    assert!(levels((0.01, 0.04)).is_empty(), "better than the least");
    assert!(levels((0.6, 0.9)).is_empty(), "worse than the most");
    let all = levels((0.01, 0.9));
    assert_eq!(all.len(), 4, "four of seven");
    assert_eq!((all[0], all[3]), (STEPS_MM[0], STEPS_MM[6]), "from the least to the most");
}

#[test]
fn the_hull_leaves_inner_places_out() {
    let mut places = square(10.0);
    places.push(PlatePoint::new(5.0, 5.0));
    places.push(PlatePoint::new(5.0, 0.0));
    let hull = hull(places);
    assert_eq!(hull.len(), 4, "the corners: {hull:?}");
}
