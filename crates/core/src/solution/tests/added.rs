//! Where what is added comes to lie, and how well its place is known.

use super::*;
use crate::job::{Added, AddedKind, Between, Offset, OnCircle, Placed};
use crate::solution::{AddedFit, Ellipse};

fn offset(id: &str, from: &str, x: f64, y: f64) -> Added {
    Added::new(id.into(), AddedKind::Hole, Placed::Offset(Offset { from: from.into(), by_mm: PlateVec::new(x, y) }))
}

fn between(id: &str, [a, b]: [&str; 2], share: Option<f64>, distance_mm: Option<f64>) -> Added {
    let between = Between { a: a.into(), b: b.into(), share, distance_mm };
    Added::new(id.into(), AddedKind::Hole, Placed::Between(between))
}

fn at(id: &str, x: f64, y: f64) -> Added {
    Added { at_mm: Some(PlatePoint::new(x, y)), placed: None, ..offset(id, "h1", 0.0, 0.0) }
}

/// Six holes, a datum from the second to the fourth, and what is added to them.
fn solved_with(added: Vec<Added>) -> Solution {
    let datum = Some(Datum { origin: "h2".into(), along: "h4".into() });
    solved(&Job { added, datum, ..job(6, ten()) })
}

#[track_caller]
fn same_place(found: PlatePoint, wanted: PlatePoint) {
    assert!(found.distance(wanted) < 1e-9, "{found:?} and not {wanted:?}");
}

#[track_caller]
fn same_ellipse(found: Ellipse, wanted: Ellipse) {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    assert!(near(found.major_mm, wanted.major_mm) && near(found.minor_mm, wanted.minor_mm), "{found:?}, {wanted:?}");
}

#[test]
fn places_are_those_of_plane_geometry() {
    let on_circle = |about: Option<&str>, about_mm| {
        let circle = OnCircle { about: about.map(Into::into), about_mm, n: 4, radius_mm: 20.0, first_deg: 30.0 };
        Added::new("c".into(), AddedKind::Hole, Placed::Circle(circle))
    };
    let solution = solved_with(vec![
        at("a1", 12.5, -7.0),
        offset("a2", "h5", 3.0, 4.0),
        between("a3", ["h1", "h3"], None, None),
        between("a4", ["h1", "h3"], Some(-0.25), None),
        between("a5", ["h1", "h3"], None, Some(30.0)),
        offset("a6", "a5", -3.0, 1.0),
        on_circle(Some("h5"), None),
        Added { id: "d".into(), ..on_circle(None, Some(PlatePoint::new(1.0, 2.0))) },
        offset("a7", "c", 0.0, 0.0),
    ]);
    let hole = |i: usize| solution.holes[i].centre;
    let found = |i: usize| solution.added[i].at;
    same_place(found(0), PlatePoint::new(12.5, -7.0));
    same_place(found(1), hole(4) + PlateVec::new(3.0, 4.0));
    same_place(found(2), hole(0).lerp(hole(2), 0.5));
    same_place(found(3), hole(0).lerp(hole(2), -0.25));
    same_place(found(4), hole(0) + (hole(2) - hole(0)).unit().unwrap() * 30.0);
    same_place(found(5), found(4) + PlateVec::new(-3.0, 1.0));
    for (k, (cos, sin)) in [(0.75_f64.sqrt(), 0.5), (-0.5, 0.75_f64.sqrt())].into_iter().enumerate() {
        same_place(found(6 + k), hole(4) + PlateVec::new(20.0 * cos, 20.0 * sin));
        same_place(found(10 + k), PlatePoint::new(1.0 + 20.0 * cos, 2.0 + 20.0 * sin));
    }
    let names: Vec<_> = solution.added.iter().map(|fit| fit.name.as_str()).collect();
    assert_eq!(names[5..8], ["A6", "C.1", "C.2"], "those of a circle are numbered");
    same_place(solution.added.last().unwrap().at, hole(4));
    assert_eq!(solution.added.len(), 15, "six, two circles of four, and one in the middle of the first");
}

#[test]
fn an_added_hole_is_as_well_known_as_what_it_rests_on() {
    let solution = solved_with(vec![
        offset("a1", "h5", 0.0, 0.0),
        between("a2", ["h1", "h3"], Some(0.0), None),
        between("a3", ["h1", "h3"], Some(1.0), None),
        at("a4", 0.0, 0.0),
        offset("a5", "h6", 8.0, 9.0),
        offset("a6", "a5", -8.0, -9.0),
        between("a7", ["h1", "h2"], None, None),
        between("a8", ["h2", "h4"], None, Some(50.0)),
        at("a9", 50.0, 0.0),
        at("a10", 500.0, 0.0),
    ]);
    let (hole, found) = (|i: usize| solution.holes[i].ellipse, |i: usize| solution.added[i].ellipse);
    same_ellipse(found(0), hole(4));
    same_ellipse(found(1), hole(0));
    same_ellipse(found(2), hole(2));
    same_ellipse(found(3), hole(1));
    same_ellipse(found(5), hole(5));
    assert!(found(6).major_mm < hole(0).major_mm.max(hole(1).major_mm), "errors of two holes partly cancel halfway");
    // x runs from H2 to H4: 50 mm along it is 50 mm from H2 towards H4.
    same_place(solution.added[7].at, solution.added[8].at);
    same_ellipse(found(7), found(8));
    assert!(found(9).major_mm > 2.0 * found(8).major_mm, "far out a turn of the datum tells");
}

#[test]
fn slots_lie_as_they_are_said_to() {
    let slot = |added: Added| Added { kind: AddedKind::Slot, length_mm: Some(12.0), diameter_mm: Some(5.0), ..added };
    let spoke = OnCircle { about: Some("h5".into()), about_mm: None, n: 3, radius_mm: 25.0, first_deg: 10.0 };
    let solution = solved_with(vec![
        slot(at("a1", 3.0, 4.0)),
        slot(Added { angle_deg: Some(75.0), ..at("a2", 3.0, 4.0) }),
        slot(Added { towards: Some("h3".into()), ..at("a3", 3.0, 4.0) }),
        slot(Added { angle_deg: Some(90.0), ..Added::new("a4".into(), AddedKind::Slot, Placed::Circle(spoke)) }),
    ]);
    let along = |fit: &AddedFit| PlateVec::from_angle(fit.slot.unwrap().angle_rad);
    let to_h3 = (solution.holes[2].centre - PlatePoint::new(3.0, 4.0)).unit().unwrap();
    let wanted = [0.0, 75.0, to_h3.angle_rad().to_degrees(), 100.0, 220.0, 340.0];
    for (fit, wanted) in solution.added.iter().zip(wanted) {
        let off = (along(fit) - PlateVec::from_angle(f64::to_radians(wanted))).length();
        assert!(off < 1e-9, "{}: {:?} and not {wanted}", fit.name, fit.slot);
        let rim = fit.rim().unwrap();
        assert!((rim.signed_area_mm2() - 60.0 - 6.25 * std::f64::consts::PI).abs() < 1e-9, "{}", fit.name);
    }
}

#[test]
fn what_rests_on_nothing_found_has_no_place() {
    let mut job = Job { added: vec![offset("a1", "h6", 1.0, 1.0), offset("a2", "a1", 1.0, 1.0)], ..job(6, ten()) };
    job.holes[5].rim.truncate(2);
    job.added.push(offset("a3", "h1", 5.0, 5.0));
    let ids: Vec<Id> = solved(&job).added.into_iter().map(|fit| fit.id).collect();
    assert_eq!(ids, [Id::from("a3")], "H6 is not found, and so nor is what stands beside it");
}

#[test]
fn sizes_are_typed_or_those_of_the_drill_or_of_the_group() {
    let mut job = job(6, ten());
    job.groups = vec![crate::job::Group { finished_mm: Some(9.0), ..crate::job::Group::new("studs".into()) }];
    job.added = vec![
        Added { diameter_mm: Some(4.2), ..at("a1", 0.0, 0.0) },
        // ISO 2306: 5.0 for M6, 10.2 for M12.
        Added { tapped: Some("m6".to_owned()), ..at("a2", 0.0, 0.0) },
        Added { tapped: Some("M12".to_owned()), ..at("a3", 0.0, 0.0) },
        Added { group: Some("studs".into()), ..at("a4", 0.0, 0.0) },
        at("a5", 0.0, 0.0),
    ];
    let sizes: Vec<Option<f64>> = solved(&job).added.iter().map(|fit| fit.diameter_mm).collect();
    assert_eq!(sizes, [Some(4.2), Some(5.0), Some(10.2), Some(9.0), None]);
}

#[test]
fn neither_the_odds_nor_the_holes_change_by_what_is_added() {
    let mut plain = job(6, ten());
    plain.groups = vec![crate::job::Group {
        fastener: Some("M8".to_owned()),
        finished_mm: Some(9.0),
        ..crate::job::Group::new("studs".into())
    }];
    for hole in &mut plain.holes[..4] {
        hole.group = Some("studs".into());
    }
    let mut designed = plain.clone();
    designed.added = vec![between("a1", ["h1", "h3"], None, None)];
    designed.design.mirrored = true;
    designed.design.land_mm = 4.0;
    let (plain, designed) = (solved(&plain), solved(&designed));
    assert!(plain.bolt_up.is_some(), "there are odds");
    assert_eq!((plain.bolt_up, plain.holes), (designed.bolt_up, designed.holes));
}

#[test]
fn each_is_placed_once_however_many_rest_on_it() {
    // Halfway between the two before it, and so on: it comes to lie at two thirds of the way.
    let id = |k: usize| match k {
        0 => "h1".to_owned(),
        1 => "h3".to_owned(),
        k => format!("a{k}"),
    };
    let halves = (2..62).map(|k| between(&id(k), [&id(k - 2), &id(k - 1)], None, None)).collect();
    let solution = solved_with(halves);
    let ends = [0, 2].map(|i| solution.holes[i].centre);
    same_place(solution.added[59].at, ends[0].lerp(ends[1], 2.0 / 3.0));
}

#[test]
fn a_long_row_of_steps_does_not_run_out_of_stack() {
    let from = |k: usize| if k == 0 { "h2".to_owned() } else { format!("a{}", k - 1) };
    let row: Vec<Added> =
        (0..crate::job::MOST_ADDED).map(|k| offset(&format!("a{k}"), &from(k), 0.0, 0.1)).rev().collect();
    let solution = solved_with(row);
    assert!(solution.added[0].at.distance(PlatePoint::new(0.0, 100.0)) < 1e-6, "{:?}", solution.added[0]);
}

#[test]
fn what_rests_on_itself_or_beyond_every_figure_has_no_place() {
    let job = job(6, ten());
    let at = |_: &crate::job::Id| Some(PlatePoint::new(1.0, 2.0));
    let [own, other] = [offset("a1", "a2", 1.0, 0.0), offset("a2", "a1", 1.0, 0.0)];
    let beside = offset("a3", "h1", 1.0, 0.0);
    let placed = crate::solution::added_among(&job, &[&own, &other, &beside], at);
    assert_eq!(placed.iter().map(|fit| fit.id.0.as_str()).collect::<Vec<_>>(), ["a3"]);
    let mut wide = vec![offset("a0", "h1", 1.0, 0.0)];
    wide.extend((1..100).map(|k| between(&format!("a{k}"), ["h1", &format!("a{}", k - 1)], Some(1e6), None)));
    let placed = crate::solution::added_among(&job, &wide.iter().collect::<Vec<_>>(), at);
    assert!(placed.len() < 100 && placed.iter().all(|fit| fit.at.is_finite()), "{} of 100", placed.len());
}

#[test]
fn the_datum_in_use_is_where_coordinates_start() {
    let unsaid = job(6, ten());
    let solution = solved(&unsaid);
    let datum = solution.datum_in_use(&unsaid).unwrap();
    let said = solved(&Job { datum: Some(datum), ..unsaid.clone() });
    for (said, unsaid) in said.holes.iter().zip(&solution.holes) {
        same_place(said.centre, unsaid.centre);
    }
    let other = Job { datum: Some(Datum { origin: "h5".into(), along: "h3".into() }), ..unsaid };
    assert_eq!(solution.datum_in_use(&other), other.datum, "what is said");
    assert_eq!(Solution::default().datum_in_use(&Job { datum: None, ..other }), None, "nothing is found");
}
