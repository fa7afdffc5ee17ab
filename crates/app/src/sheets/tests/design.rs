//! What is designed on top, from the card and the photo: added, changed, left out, turned round.

use super::beliefs::{says, type_into};
use super::*;
use platewright_core::job::{AddedKind, Contour, Node, Placed, Role};
use platewright_core::solution::AddedFit;
use platewright_core::space::{PhotoPoint, PlateVec};

const SIZE: &str = "Diameter, or the thread to tap";

fn outline() -> Window {
    window_on(samples::plate_with_outline(true), Operation::Outline)
}

fn fits(window: &Window) -> &[AddedFit] {
    &window.state().session.results.solution.added
}

fn checks_of(window: &Window, name: &str) -> Vec<String> {
    let checks = window.state().session.results.checks.iter().filter(|check| check.name == name);
    checks.map(|check| check.text.clone()).collect()
}

#[test]
fn a_hole_is_added_beside_another_and_changed_and_removed() {
    let mut window = outline();
    click(&mut window, "Add a hole");
    click(&mut window, "H1");
    assert!(says(&window, "From the middle of H1."), "what it is placed from");
    type_into(&mut window, "Along X from there", "12");
    type_into(&mut window, "Along Y from there", "-8.5");
    assert!(job(&window).added.is_empty(), "nothing is in the job before it is added");
    type_into(&mut window, SIZE, "m6");
    assert!(says(&window, "Drill 5.00 mm for M6 by ISO 2306."), "the size that it is cut to");
    click(&mut window, "Add it");
    let added = &job(&window).added[0];
    assert!(
        matches!(&added.placed, Some(Placed::Offset(offset)) if offset.from.0 == "h1" && offset.by_mm == PlateVec::new(12.0, -8.5))
    );
    assert_eq!((added.kind, added.tapped.as_deref()), (AddedKind::Hole, Some("M6")));
    assert_eq!(names_with(&window, "A1: X 12.00, Y \u{2212}8.50, dia. 5.00, ±").len(), 1, "its row on the sheet");
    type_into(&mut window, SIZE, "4.2");
    assert_eq!((job(&window).added[0].diameter_mm, &job(&window).added[0].tapped), (Some(4.2), &None));
    type_into(&mut window, "Name of what is added", "Drain");
    assert_eq!(fits(&window)[0].name, "Drain");
    window.key_press(egui::Key::Delete);
    window.run_steps(4);
    assert!(job(&window).added.is_empty(), "removed");
    for _ in 0..3 {
        click(&mut window, "Undo");
    }
    assert_eq!(job(&window).added[0].tapped.as_deref(), Some("M6"), "three steps back");
    click(&mut window, "Undo");
    assert!(job(&window).added.is_empty(), "and the first");
}

#[test]
fn where_coordinates_start_is_said_with_what_lies_by_them() {
    let mut window = outline();
    assert_eq!(job(&window).datum, None, "nothing was said");
    click(&mut window, "Add a hole");
    click(&mut window, "H1");
    type_into(&mut window, SIZE, "5");
    type_into(&mut window, "Along X from there", "12");
    click(&mut window, "Add it");
    let said = job(&window).datum.clone().expect("it is said");
    assert_eq!((said.origin.0.as_str(), said.along.0.as_str()), ("h1", "h2"), "as they started before");
    window.state_mut().session.screen.chosen = Some(Chosen::Hole(Id::from("h2")));
    window.run_steps(3);
    window.key_press(egui::Key::Delete);
    window.run_steps(4);
    let told = window.state().session.screen.error.clone().unwrap_or_default();
    assert!(told.starts_with("That was not done: A1 lies by coordinates"), "{told}");
    assert_eq!(job(&window).holes.len(), 4, "H2 stays");
    click(&mut window, "Undo");
    assert_eq!((job(&window).added.len(), &job(&window).datum), (0, &None), "both are one step");
}

#[test]
fn a_slot_lies_on_the_line_between_two_and_points_to_one() {
    let mut window = outline();
    click(&mut window, "Add a slot");
    click(&mut window, "H1");
    click(&mut window, "H3");
    assert!(says(&window, "On the line from H1 to H3."), "between them");
    type_into(&mut window, "Distance along the line", "25");
    type_into(&mut window, "Width of the slot", "6");
    type_into(&mut window, "Between the centres of the slot’s ends", "12");
    type_into(&mut window, "Direction of the slot, from X towards Y", "90");
    click(&mut window, "Add it");
    let [fit] = fits(&window) else { panic!("one slot: {:?}", fits(&window)) };
    let slot = fit.slot.expect("it is a slot");
    let h1 = window.state().session.results.solution.holes[0].centre;
    assert!((fit.at.distance(h1) - 25.0).abs() < 1e-9, "25 mm from H1: {fit:?}");
    assert!((slot.length_mm - 12.0).abs() < 1e-12 && (slot.angle_rad.to_degrees() - 90.0).abs() < 1e-9, "{slot:?}");
    assert_eq!(checks_of(&window, "Holes found"), ["4 holes and 1 slot to cut."]);
}

#[test]
fn a_circle_of_holes_goes_round_a_hole() {
    let mut window = outline();
    click(&mut window, "Add a circle of holes");
    click(&mut window, "H2");
    type_into(&mut window, "How many on the circle", "4");
    type_into(&mut window, "Radius of the circle", "9");
    type_into(&mut window, SIZE, "2.5");
    click(&mut window, "Add it");
    let h2 = window.state().session.results.solution.holes[1].centre;
    assert_eq!(fits(&window).len(), 4);
    assert!(fits(&window).iter().all(|fit| (fit.at.distance(h2) - 9.0).abs() < 1e-9), "{:?}", fits(&window));
    assert_eq!(names_with(&window, "A1.4: X ").len(), 1, "each has its row");
}

#[test]
fn what_is_being_added_is_left_with_escape_and_waits_for_its_size() {
    let mut window = outline();
    click(&mut window, "Add a hole");
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert!(job(&window).added.is_empty(), "it has no size");
    assert!(says(&window, "waits for its size"));
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert_eq!(window.state().session.screen.adding, None);
    assert!(window.query_by_label("Add a hole").is_some(), "and another may be begun");
}

#[test]
fn an_added_hole_is_chosen_on_the_photo_and_placed_from_others() {
    let mut window = outline();
    click(&mut window, "Add a hole");
    click(&mut window, "H1");
    click(&mut window, "H3");
    type_into(&mut window, SIZE, "5");
    click(&mut window, "Add it");
    window.state_mut().session.screen.chosen = None;
    window.run_steps(3);
    click(&mut window, "A1");
    assert_eq!(window.state().session.screen.chosen, Some(Chosen::Added(Id::from("a1"))));
    click(&mut window, "Place it from others");
    click(&mut window, "H3");
    click(&mut window, "H2");
    click(&mut window, "Place it so");
    let [one, _, _, _] = samples::plate().holes.try_into().unwrap();
    assert_eq!(job(&window).added.len(), 1, "the same hole");
    let rests: Vec<_> = job(&window).added[0].rests_on().cloned().collect();
    assert_eq!(rests, [one.id, Id::from("h2")], "H3 was clicked again, and H2 took its place");
    // Its hole goes, and what stands by it.
    window.state_mut().session.screen.chosen = Some(Chosen::Hole(Id::from("h2")));
    window.run_steps(3);
    window.key_press(egui::Key::Delete);
    window.run_steps(4);
    assert!(job(&window).added.is_empty(), "it stood by H2");
}

#[test]
fn a_hole_and_an_opening_are_left_out() {
    let mut plate = samples::plate_with_outline(true);
    let at = |x, y| Node { at: PhotoPoint::new(x, y), ..plate.contours[0].nodes[0].clone() };
    let nodes = vec![at(180.0, 130.0), at(220.0, 130.0), at(220.0, 170.0)];
    plate.contours.push(Contour { id: Id::from("c2"), role: Role::Opening, nodes, ..plate.contours[0].clone() });
    let mut window = window_on(plate, Operation::Outline);
    window.state_mut().session.screen.chosen = Some(Chosen::Node { contour: Id::from("c2"), index: 0 });
    window.run_steps(3);
    click(&mut window, "In the finished part");
    assert!(!job(&window).contours[1].keep, "the opening");
    assert_eq!(checks_of(&window, "Closed"), ["1 contour, closed exactly."]);
    click(&mut window, "H4");
    click(&mut window, "In the finished part");
    assert!(!job(&window).holes[3].keep, "the hole");
    assert_eq!(checks_of(&window, "Holes found"), ["3 holes to cut."]);
    click(&mut window, "Undo");
    assert!(job(&window).holes[3].keep, "taken back");
}

#[test]
fn land_is_left_and_the_other_side_is_cut() {
    let mut window = window_on(samples::checked(samples::plate_with_outline(true)), Operation::Outline);
    type_into(&mut window, "Land round the part", "3");
    assert!((job(&window).design.land_mm - 3.0).abs() < 1e-12);
    assert_eq!(checks_of(&window, "Land"), ["3.00 mm is left outside the outline."]);
    let cut = window.state().session.results.cut.clone();
    assert_eq!(cut.lands.iter().map(|land| land.made).collect::<Vec<_>>(), [Ok(1)], "what is drawn has it");
    click(&mut window, "Cut from the other side");
    assert!(job(&window).design.mirrored);
    assert!(says(&window, "The cut file is mirrored"), "said on the card");
    assert!(
        says(&window, "60 Cut: every check passes; cut from the other side")
            || says(&window, "cut from the other side; signed off"),
        "and on the route"
    );
    click(&mut window, "Undo");
    click(&mut window, "Undo");
    assert!(job(&window).design.is_as_seen(), "both taken back");
}
