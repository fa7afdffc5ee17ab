//! Statements about the shape: one size, square corners, points on an edge.

use super::*;
use crate::job::Group;
use crate::solution::Stated;

fn one_size(job: &mut Job, sigma: f64) {
    let id = Id::from("studs");
    job.groups = vec![Group { same_size_sigma_mm: Some(sigma), ..Group::new(id.clone()) }];
    for hole in &mut job.holes[..4] {
        hole.group = Some(id.clone());
    }
}

#[test]
fn holes_of_one_size_are_known_better() {
    let mut equal = job(6, ten());
    for (hole, number) in equal.holes.iter_mut().zip(0..4) {
        let (x, y, _) = HOLES[number];
        let rim = (0..4).map(|k| PlatePoint::new(x, y) + PlateVec::from_angle(0.3 + f64::from(k) * 1.6) * 5.0);
        hole.rim = rim.enumerate().map(|(k, p)| pick(camera().photo_from_plate(p).unwrap(), 4 * number + k)).collect();
    }
    // Only measures that do not touch the sizes of the first four.
    equal.measures = vec![measure(1, MeasureKind::Centres, 0, 1), measure(2, MeasureKind::Centres, 1, 2)];
    let alone = solved(&equal);
    one_size(&mut equal, 0.02);
    let together = solved(&equal);
    for (a, b) in alone.holes[..4].iter().zip(&together.holes) {
        assert!(
            b.diameter_sigma_mm < 0.7 * a.diameter_sigma_mm,
            "{}: {} then {}",
            a.id,
            a.diameter_sigma_mm,
            b.diameter_sigma_mm
        );
        assert!((b.bore_diameter_mm - together.holes[0].bore_diameter_mm).abs() < 0.02, "of one size");
    }
    assert_eq!(together.statements.len(), 4, "a row for each hole");
    assert!(together.statements.iter().all(|row| row.stated == Stated::SameSize), "{:?}", together.statements);
}

#[test]
fn a_hole_of_another_size_is_named() {
    let mut job = job(6, ten());
    // Two of nine millimetres, two of twelve: the person says that all four are of one size.
    one_size(&mut job, 0.03);
    job.holes[2].group = None;
    job.measures.retain(|m| !m.between.contains(&"h4".into()));
    job.measures.push(measure(11, MeasureKind::Diameter, 3, 3));
    job.measures.push(measure(12, MeasureKind::Diameter, 1, 1));
    let solution = solved(&job);
    let about_size = |f: &&crate::solution::Finding| f.text.starts_with("H4 is not of one size with its group: it is ");
    assert!(solution.findings.iter().any(|f| about_size(&f)), "{:#?}", solution.findings);
}

#[test]
fn a_corner_and_a_point_on_an_edge_are_held_and_tested() {
    let mut job = job(6, ten());
    let edge = |id: &str, a: (f64, f64), b: (f64, f64)| StraightEdge {
        id: id.into(),
        name: id.to_uppercase(),
        along: [a, b].map(|(x, y)| camera().photo_from_plate(PlatePoint::new(x, y)).unwrap()).to_vec(),
        sigma_px: None,
        measure_edge: true,
    };
    job.edges = vec![edge("e1", (-80.0, -60.0), (80.0, -60.0)), edge("e2", (85.0, -50.0), (85.0, 50.0))];
    let corner = camera().photo_from_plate(PlatePoint::new(85.0, -60.0)).unwrap();
    job.points = vec![NamedPoint { id: "p1".into(), name: "P1".to_owned(), at: corner, sigma_px: None }];
    let said = |id: &str, kind, between: &[&str]| Statement {
        id: id.into(),
        kind,
        between: between.iter().map(|id| Id::from(*id)).collect(),
        sigma_mm: 0.05,
        in_use: true,
    };
    job.statements =
        vec![said("s1", StatementKind::Square, &["e1", "e2"]), said("s2", StatementKind::Straight, &["e2", "p1"])];
    let solution = solved(&job);
    assert_eq!(solution.edges.len(), 2, "both edges are found");
    let length = solution.edges[0].ends[0].distance(solution.edges[0].ends[1]);
    assert!((length - 160.0).abs() < 0.5, "from pick to pick: {length}");
    let stated: Vec<Stated> = solution.statements.iter().map(|row| row.stated).collect();
    assert_eq!(stated, [Stated::Square, Stated::OnEdge], "in the job's order");
    assert!(solution.statements.iter().all(|row| row.off_mm.abs() < 0.1), "they hold: {:?}", solution.statements);
    // An edge picked askew contradicts both; the point is the nearer witness.
    job.edges[1].along[0].x += 25.0;
    let text = solved(&job).findings[0].text.clone();
    assert!(text.starts_with("P1 is not on E2: it lies "), "{text}");
    job.statements[1].in_use = false;
    let contradicted = solved(&job);
    let text = &contradicted.findings[0].text;
    assert!(text.starts_with("E1 and E2 are not square: "), "{text}");
    job.statements[0].in_use = false;
    let left_out = solved(&job);
    assert!(left_out.statements.iter().all(|row| row.verdict == MeasureVerdict::LeftOut), "{:?}", left_out.statements);
    let (told, shown) = (contradicted.statements[0].off_mm, left_out.statements[0].off_mm);
    assert!((told / shown - 1.0).abs() < 0.01, "off by what the rest says: {told} mm told, {shown} mm without it");
    assert!(left_out.statements[0].off_mm.abs() > 1.0, "and still shown as it is: {:?}", left_out.statements[0]);
}

#[test]
fn picks_round_a_corner_are_no_edge_and_bend_nothing() {
    let mut job = job(6, ten());
    let before = solved(&job);
    let at = |x: f64, y: f64| camera().photo_from_plate(PlatePoint::new(x, y)).unwrap();
    let along = vec![at(-80.0, -60.0), at(60.0, -60.0), at(85.0, -30.0), at(85.0, 50.0)];
    job.edges =
        vec![StraightEdge { id: "e1".into(), name: "E1".to_owned(), along, sigma_px: None, measure_edge: true }];
    let solution = solved(&job);
    assert_eq!(solution.holes, before.holes, "the camera is as it was");
    let said = solution.findings.iter().find(|finding| finding.about == Some("e1".into())).unwrap();
    assert!(said.text.starts_with("E1 is no straight edge: its picks lie up to "), "{said:?}");
    assert!(said.text.ends_with(" px off a line. Begin a new edge for each side."), "{said:?}");
}
