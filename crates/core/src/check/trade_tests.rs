//! The rules of the trade: what is cut twice, what is left of the sheet, what a cutter makes, what fits the sheet.

use super::tests::{check, job, redrawn, solved, stock};
use super::*;
use crate::job::{Group, Node};
use crate::space::PhotoPoint;

fn place(x: f64, y: f64) -> PlatePoint {
    PlatePoint::new(x, y)
}

/// The first check of this name, after a change.
#[track_caller]
fn first(name: &str, change: impl FnOnce(&mut Job, &mut Solution)) -> Check {
    let mut job = job();
    let mut solution = solved(&job);
    change(&mut job, &mut solution);
    solution.added = super::tests::added_of(&job, &solution);
    all(&job, &solution).into_iter().find(|check| check.name == name).unwrap()
}

/// One more hole on the plate.
fn with_hole(x: f64, y: f64, diameter_mm: f64) -> impl FnOnce(&mut Job, &mut Solution) {
    move |job, _| {
        let entry = format!(r#"{{"id": "a9", "kind": "hole", "at_mm": [{x}, {y}], "diameter_mm": {diameter_mm}}}"#);
        job.added.push(serde_json::from_str(&entry).unwrap());
    }
}

/// A fastener goes through H1, cut to 6.6 mm.
fn with_fastener(fastener: &'static str, tapped: bool) -> impl Fn(&mut Job, &mut Solution) {
    move |job, _| {
        let finished_mm = (!tapped).then_some(6.6);
        job.groups =
            vec![Group { fastener: Some(fastener.to_owned()), finished_mm, tapped, ..Group::new("studs".into()) }];
    }
}

/// The nodes of a contour, px: ten to the mm.
fn nodes(job: &mut Job, contour: usize, at: &[(f64, f64)]) {
    let corner = |(x, y): &(f64, f64)| Node::corner(PhotoPoint::new(*x, *y));
    job.contours[contour].nodes = at.iter().map(corner).collect();
}

#[test]
fn what_would_be_cut_twice_is_told_once() {
    let name = "Nothing twice";
    check(name, |_, _| {}, Verdict::Pass, "No line, hole or opening lies on another.", None);
    // Up its right side to y = 40, back down it to y = 20, and home.
    let back = |job: &mut Job| {
        nodes(job, 0, &[(0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (600.0, 200.0), (500.0, 200.0), (0.0, 400.0)]);
    };
    let text = "The outline goes along the same line twice at x 60.00, y 30.00 mm. Take the node at the turn away.";
    check(name, redrawn(back), Verdict::Fail, text, Some("c1"));
    assert_eq!(first(name, redrawn(back)).places, [place(60.0, 30.0)]);
    check("No crossing", redrawn(back), Verdict::Pass, "10 lines and arcs, none crosses another.", None);
    let text = "A9 lies on H1: it would be cut twice. Take one of them away.";
    check(name, with_hole(10.1, 10.0, 6.7), Verdict::Fail, text, Some("a9"));
    check("Holes apart", with_hole(10.1, 10.0, 6.7), Verdict::Pass, "No hole or opening runs into another.", None);
    let counterbore = "H1 and A9 run 6.30 mm into each other. Move one, or leave it out.";
    check("Holes apart", with_hole(10.0, 10.0, 6.0), Verdict::Pass, "No hole or opening runs into another.", None);
    check("Holes apart", with_hole(10.3, 10.0, 6.6), Verdict::Pass, "No hole or opening runs into another.", None);
    check("Holes apart", with_hole(10.5, 10.0, 7.0), Verdict::Fail, counterbore, Some("a9"));
}

#[test]
fn an_opening_on_a_rim_or_on_a_line_is_cut_twice() {
    let name = "Nothing twice";
    let on_rim = |_: &mut Job, solution: &mut Solution| {
        solution.contours[1].cut = crate::geom::Contour::circle(place(10.1, 10.0), 3.2).reversed();
    };
    let text = "H1 lies on opening c2: it would be cut twice. Take one of them away.";
    check(name, on_rim, Verdict::Fail, text, Some("h1"));
    check("Holes apart", on_rim, Verdict::Pass, "No hole or opening runs into another.", None);
    let on_outline = |job: &mut Job| nodes(job, 1, &[(400.0, 200.0), (600.0, 200.0), (600.0, 280.0), (400.0, 280.0)]);
    let text =
        "Opening c2 lies on the outline at x 60.00, y 24.00 mm: it would be cut twice. Move one, or take it away.";
    check(name, redrawn(on_outline), Verdict::Fail, text, Some("c2"));
    let inside = "All holes and openings lie inside the outline.";
    check("Holes inside", redrawn(on_outline), Verdict::Pass, inside, None);
}

#[test]
fn walls_are_as_thick_as_the_sheet() {
    let name = "Walls";
    let unsaid = "No thickness is said, so only walls under 1 mm are looked for: there is none.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    check(name, stock(r#"{"thickness_mm": 5}"#), Verdict::Pass, "Every wall is 5.00 mm or more.", None);
    // From H1's rim at x = 13.3 to that of A9 at 14.0, and from A9 to the line y = 0.
    let text = "The wall between H1 and A9 is 0.70 mm, and 1.00 mm is wanted, the least. It may burn, bend or break: leave \
                more there, or ask the shop.";
    check(name, with_hole(17.0, 10.0, 6.0), Verdict::Warn, text, Some("h1"));
    let found = first(name, with_hole(17.0, 10.0, 6.0));
    assert!(found.places[0].distance(place(13.65, 10.0)) < 1e-9, "in the middle of it: {:?}", found.places);
    let thick = |job: &mut Job, solution: &mut Solution| {
        stock(r#"{"thickness_mm": 3}"#)(job, solution);
        with_hole(17.0, 5.0, 6.0)(job, solution);
    };
    // The middles of H1 and A9 are 8.602 mm apart; A9 is 2 mm from the outline.
    let text = "The wall between A9 and the outline is 2.00 mm, and 3.00 mm is wanted, as the sheet is thick. One more is too \
                thin. It may burn, bend or break: leave more there, or ask the shop.";
    check(name, thick, Verdict::Warn, text, Some("a9"));
    let gasket = "For a gasket its land counts, which is looked at by itself.";
    check(name, stock(r#"{"thickness_mm": 30, "material": "gasket"}"#), Verdict::Pass, gasket, None);
    let none = |job: &mut Job, solution: &mut Solution| {
        job.added.clear();
        solution.holes.clear();
        solution.contours.truncate(1);
    };
    check(name, none, Verdict::Pass, "There is no hole or opening that a wall could stand beside.", None);
}

#[test]
fn walls_between_openings_are_looked_at_too() {
    // The opening from y = 20 to y = 28, moved to half a millimetre from the left side.
    let moved = |job: &mut Job| nodes(job, 1, &[(5.0, 200.0), (100.0, 200.0), (100.0, 280.0), (5.0, 280.0)]);
    let text = "The wall between opening c2 and the outline is 0.50 mm, and 1.00 mm is wanted, the least. It may burn, bend or \
                break: leave more there, or ask the shop.";
    check("Walls", redrawn(moved), Verdict::Warn, text, Some("c2"));
    assert!((first("Walls", redrawn(moved)).places[0].x - 0.25).abs() < 1e-9, "half way");
    let beside = |job: &mut Job, _: &mut Solution| {
        let slot = r#"{"id": "s1", "kind": "slot", "at_mm": [30, 17], "diameter_mm": 5, "length_mm": 10}"#;
        job.added.push(serde_json::from_str(slot).unwrap());
    };
    let text = "The wall between opening c2 and S1 is 0.50 mm, and 1.00 mm is wanted, the least. It may burn, bend or break: \
                leave more there, or ask the shop.";
    check("Walls", beside, Verdict::Warn, text, Some("c2"));
}

#[test]
fn bolt_holes_keep_off_the_edge() {
    let name = "Edge distance";
    let unsaid = "No fastener is said, so no hole is known to hold a bolt.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    let pass = "1 bolt hole, each 1.5 diameters of its bolt or more from the edge.";
    // H1 lies 10 mm from two sides; 1.5 times M6 is 9 mm, 1.5 times M8 is 12 mm.
    check(name, with_fastener("M6", false), Verdict::Pass, pass, None);
    let text = "The middle of H1 is 10.00 mm from the outline, and 1.5 times M8 is 12.00 mm. The bolt may tear out: leave more \
                land there, or ask someone who knows the load.";
    check(name, with_fastener("M8", false), Verdict::Warn, text, Some("h1"));
    check(name, with_fastener("M8", true), Verdict::Warn, text, Some("h1"));
    let both = |job: &mut Job, solution: &mut Solution| {
        with_fastener("M8", false)(job, solution);
        stock(r#"{"thickness_mm": 8}"#)(job, solution);
    };
    let walls = first("Walls", both);
    assert!(!walls.text.contains("H1"), "what this rule tells is not told again: {}", walls.text);
    // A hole over the edge has no wall at all: that is told by the rule that holes lie inside.
    let over = |job: &mut Job, solution: &mut Solution| {
        with_fastener("M8", false)(job, solution);
        solution.holes[0].centre = place(3.0, 10.0);
    };
    let waits = "It waits until holes and openings lie inside one outline, and none of them on or over another.";
    check(name, over, Verdict::CannotTell, waits, None);
    let over_thin = |job: &mut Job, solution: &mut Solution| {
        over(job, solution);
        stock(r#"{"thickness_mm": 2}"#)(job, solution);
    };
    check("Walls", over_thin, Verdict::CannotTell, waits, None);
    let apart = |job: &mut Job, solution: &mut Solution| {
        with_hole(10.5, 10.0, 7.0)(job, solution);
        stock(r#"{"thickness_mm": 2}"#)(job, solution);
    };
    check("Walls", apart, Verdict::CannotTell, waits, None);
    let no_outline = |job: &mut Job, solution: &mut Solution| {
        redrawn(|job| job.contours[0].closed = false)(job, solution);
        stock(r#"{"thickness_mm": 2}"#)(job, solution);
    };
    check("Walls", no_outline, Verdict::CannotTell, waits, None);
    let text = "H1 runs 0.30 mm over the outline. Move it or the outline.";
    check("Holes inside", over, Verdict::Fail, text, Some("h1"));
    check(
        name,
        redrawn(|job| job.contours[0].closed = false),
        Verdict::CannotTell,
        "It waits for one closed outline.",
        None,
    );
}

#[test]
fn a_gasket_keeps_its_land_and_its_holes() {
    let name = "Gasket land";
    let unsaid = "Nothing says what the sheet is of, so that it may be a gasket or not.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    check(name, stock(r#"{"material": "metal"}"#), Verdict::Pass, "The sheet is no gasket sheet.", None);
    let gasket = r#"{"material": "gasket", "thickness_mm": 1}"#;
    check(name, stock(gasket), Verdict::Pass, "The land is 2.0 mm or more, and no hole is under 2.4 mm.", None);
    let with = |x: f64, diameter_mm: f64| {
        move |job: &mut Job, solution: &mut Solution| {
            stock(gasket)(job, solution);
            with_hole(x, 30.0, diameter_mm)(job, solution);
        }
    };
    let text = "The land between A9 and the outline is 1.00 mm, and a gasket wants 2.0 mm to seal. Leave more, or open a hole \
                at the edge into a notch.";
    check(name, with(56.0, 6.0), Verdict::Warn, text, Some("a9"));
    let text = "A9 is 2.00 mm wide, and in gasket sheet a hole under 2.4 mm tears. Make it larger, or a notch.";
    check(name, with(45.0, 2.0), Verdict::Warn, text, Some("a9"));
    check("Small holes", with(45.0, 2.0), Verdict::Pass, "For a gasket they are looked at with its land.", None);
}

#[test]
fn holes_are_wider_than_the_sheet_is_thick() {
    let name = "Small holes";
    let unsaid = "No thickness is said, so only holes and openings under 1 mm are looked for: there is none.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    check(
        name,
        stock(r#"{"thickness_mm": 4}"#),
        Verdict::Pass,
        "Every hole and opening is 4.00 mm wide or more.",
        None,
    );
    let text = "A1 is 4.20 mm wide, less than the sheet is thick, 6.50 mm. One more is too small. A laser burns such a hole \
                wide or not through: ask the shop, or have it drilled.";
    check(name, stock(r#"{"thickness_mm": 6.5}"#), Verdict::Warn, text, Some("a1"));
    let text = "A9 is 0.80 mm wide, less than 1.00 mm. A laser burns such a hole wide or not through: ask the shop, or have it \
                drilled.";
    check(name, with_hole(45.0, 30.0, 0.8), Verdict::Warn, text, Some("a9"));
    let slot = |job: &mut Job, solution: &mut Solution| {
        stock(r#"{"thickness_mm": 3}"#)(job, solution);
        let slot = r#"{"id": "s1", "kind": "slot", "at_mm": [45, 30], "diameter_mm": 2, "length_mm": 8}"#;
        job.added.push(serde_json::from_str(slot).unwrap());
    };
    assert!(first(name, slot).text.starts_with("S1 is 2.00 mm wide"), "a slot counts by its width");
    // An opening of 10 x 2 mm.
    let flat = |job: &mut Job| nodes(job, 1, &[(250.0, 200.0), (350.0, 200.0), (350.0, 220.0), (250.0, 220.0)]);
    let narrow = |job: &mut Job, solution: &mut Solution| {
        redrawn(flat)(job, solution);
        stock(r#"{"thickness_mm": 3}"#)(job, solution);
    };
    let found = first(name, narrow);
    assert_eq!((found.verdict, found.about), (Verdict::Warn, Some("c2".into())), "{}", found.text);
    assert!(found.text.starts_with("Opening c2 is 2.00 mm wide, less than"), "{}", found.text);
}

#[test]
fn inside_corners_come_out_as_round_as_the_cut() {
    let name = "Corners";
    let unsaid = "No kerf is said, so nothing says how round 4 sharp inside corners will come out.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    let text = "Opening c2 has 4 inside corners sharper than the cut. They come out with a radius of 0.15 mm, half the kerf. \
                Where something square goes in, draw a relief, or file it.";
    check(name, stock(r#"{"kerf_mm": 0.3}"#), Verdict::Warn, text, Some("c2"));
    let places = first(name, stock(r#"{"kerf_mm": 0.3}"#)).places;
    assert!(places.len() == 4 && places.contains(&place(25.0, 20.0)), "its corners: {places:?}");
    let without = |job: &mut Job, solution: &mut Solution| {
        stock(r#"{"kerf_mm": 0.3}"#)(job, solution);
        solution.contours.truncate(1);
    };
    // The corners of a rectangle stand out: the cutter goes round them.
    let pass = "The cutter reaches every inside corner, with a radius of 0.15 mm.";
    check(name, without, Verdict::Pass, pass, None);
    // A notch into the right side has two corners that the cutter does not reach, and two that it goes round.
    let notched = |job: &mut Job, solution: &mut Solution| {
        let notch = [
            (0.0, 0.0),
            (600.0, 0.0),
            (600.0, 180.0),
            (550.0, 180.0),
            (550.0, 240.0),
            (600.0, 240.0),
            (600.0, 400.0),
            (0.0, 400.0),
        ];
        redrawn(|job| nodes(job, 0, &notch))(job, solution);
        without(job, solution);
    };
    let found = first(name, notched);
    assert!(found.text.starts_with("The outline has 2 inside corners"), "{}", found.text);
    assert_eq!(found.about, Some("c1".into()));
    let slot = |width_mm: f64| {
        move |job: &mut Job, solution: &mut Solution| {
            without(job, solution);
            let slot = format!(
                r#"{{"id": "s1", "kind": "slot", "at_mm": [45, 30], "diameter_mm": {width_mm}, "length_mm": 8}}"#
            );
            job.added.push(serde_json::from_str(&slot).unwrap());
        }
    };
    check(name, slot(5.0), Verdict::Pass, pass, None);
    let text = "S1 is no wider than the cut, 0.30 mm. Have it drilled, make it larger, or leave it out.";
    check(name, slot(0.2), Verdict::Fail, text, Some("s1"));
    let narrow = |job: &mut Job, solution: &mut Solution| {
        without(job, solution);
        with_hole(45.0, 30.0, 0.25)(job, solution);
    };
    let text = "A9 is no wider than the cut, 0.30 mm. Have it drilled, make it larger, or leave it out.";
    check(name, narrow, Verdict::Fail, text, Some("a9"));
    // The opening is 10 x 8 mm.
    let text = "Opening c2 is no wider than the cut, 8.50 mm. Have it drilled, make it larger, or leave it out.";
    let refused = |job: &mut Job, solution: &mut Solution| {
        stock(r#"{"kerf_mm": 8.5}"#)(job, solution);
        (solution.holes, job.added) = (Vec::new(), Vec::new());
    };
    check(name, refused, Verdict::Fail, text, Some("c2"));
}

#[test]
fn the_part_fits_its_sheet_one_way_or_the_other() {
    let name = "Fits the sheet";
    check(name, |_, _| {}, Verdict::CannotTell, "The size of the sheet is not said.", None);
    let pass = "The part is 60.0 x 40.0 mm and fits the sheet.";
    // 60 x 40 mm with 5 mm along each side.
    check(name, stock(r#"{"sheet_mm": [70, 50]}"#), Verdict::Pass, pass, None);
    check(name, stock(r#"{"sheet_mm": [50, 70]}"#), Verdict::Pass, pass, None);
    let text = "The part is 60.0 x 40.0 mm, and the sheet has 69 x 50 mm less 5.0 mm along each side: it is 1.00 mm too large \
                either way round. Take a larger sheet, or leave less along the sides.";
    check(name, stock(r#"{"sheet_mm": [69, 50]}"#), Verdict::Fail, text, Some("c1"));
    check(name, stock(r#"{"sheet_mm": [69, 50], "gap_mm": 1}"#), Verdict::Pass, pass, None);
    // Three in a row of 65 mm each with their gaps, and four rows of 45 mm.
    let text = "The part is 60.0 x 40.0 mm, and 12 copies fit the sheet, 3 in a row.";
    check(name, stock(r#"{"sheet_mm": [210, 207], "copies": 12}"#), Verdict::Pass, text, None);
    // By their area 16 of them would go on.
    let text = "12 of the 16 copies go on the sheet; ask for fewer, or for a larger sheet.";
    check(name, stock(r#"{"sheet_mm": [210, 207], "copies": 16}"#), Verdict::Fail, text, None);
    // The cutter's path goes round the part.
    let kerfed = r#"{"sheet_mm": [70, 50], "kerf_mm": 0.2, "kerf_in_file": true}"#;
    let text = "The part is 60.2 x 40.2 mm, and the sheet has 70 x 50 mm less 5.0 mm along each side: it is 0.20 mm too large \
                either way round. Take a larger sheet, or leave less along the sides.";
    check(name, stock(kerfed), Verdict::Fail, text, Some("c1"));
    let unknown = |job: &mut Job, solution: &mut Solution| {
        stock(r#"{"sheet_mm": [69, 50]}"#)(job, solution);
        solution.fit.scale_sigma = None;
    };
    check(name, unknown, Verdict::CannotTell, "It waits for the size of the part.", None);
}

#[test]
fn copies_lie_farther_apart_than_the_cut_is_wide() {
    let name = "Copies apart";
    check(name, |_, _| {}, Verdict::Pass, "One is cut: there is no other beside it.", None);
    let unsaid = "No kerf is said, so nothing says whether the cuts of two copies meet.";
    check(name, stock(r#"{"copies": 3}"#), Verdict::CannotTell, unsaid, None);
    let pass = "3 copies, 0.5 mm from one to the next.";
    check(name, stock(r#"{"copies": 3, "gap_mm": 0.5, "kerf_mm": 0.3}"#), Verdict::Pass, pass, None);
    let text = "0.3 mm is left between one copy and the next, and the cut takes 0.3 mm: one is cut into the other. Leave more \
                between copies.";
    check(name, stock(r#"{"copies": 3, "gap_mm": 0.3, "kerf_mm": 0.3}"#), Verdict::Fail, text, None);
    // In the file the cutter's paths are so far apart.
    let pass = "3 copies, 0.3 mm from one to the next.";
    let in_file = r#"{"copies": 3, "gap_mm": 0.3, "kerf_mm": 0.3, "kerf_in_file": true}"#;
    check(name, stock(in_file), Verdict::Pass, pass, None);
    let text =
        "Nothing is left between one copy and the next: their cuts lie on each other. Leave more between copies.";
    check(name, stock(r#"{"copies": 3, "gap_mm": 0}"#), Verdict::Fail, text, None);
}
