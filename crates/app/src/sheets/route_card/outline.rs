//! Settings of operation 40: the chosen contour and its chosen node, and a new contour.

use super::labelled;
use crate::command::{Action, Command};
use crate::controls::{Button, check_box, say_in, switch};
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Contour, Edit, Node, NodeKind, Piece, Role};

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let width = ui.available_width();
    let waits = Action::Propose.waits_for(session);
    let propose = Button::rest("Propose the outline").key(Action::Propose.key_text()).width(width).waits(waits);
    if propose.show(ui).on_hover_text(Action::Propose.row().hint).clicked() {
        commands.push(Command::Do(Action::Propose));
    }
    let Some(document) = &session.document else { return };
    let job = document.job();
    let in_hand = session.screen.chosen_node().map(|(contour, _)| contour).or(session.screen.tracing.as_ref());
    let only = if job.contours.len() == 1 { job.contours.first() } else { None };
    if let Some(contour) = in_hand.and_then(|id| job.contour(id)).or(only) {
        of_contour(ui, contour, commands);
        if let Some((_, index)) = session.screen.chosen_node()
            && let Some(node) = contour.nodes.get(index)
        {
            of_node(ui, contour, index, node, commands);
        }
    } else {
        let nothing = job.contours.is_empty();
        let words = if nothing { "Click along the edge of the part." } else { "Choose a node to set its contour." };
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
    }
    if Button::quiet("New opening").width(width).show(ui).on_hover_text("Begins a contour inside the part.").clicked() {
        let id = job.free_id("c");
        commands.push(Command::Edit(
            "begin an opening".to_owned(),
            vec![Edit::AddContour(Contour::new(id.clone(), Role::Opening))],
        ));
        session.screen.tracing = Some(id);
        session.screen.chosen = None;
    }
}

fn of_contour(ui: &mut Ui, contour: &Contour, commands: &mut Vec<Command>) {
    let role = labelled(ui, "Goes", |ui, width| {
        let choices = [(Role::Outer, "round"), (Role::Opening, "inside")];
        switch(ui, "Goes round the part or is an opening inside", contour.role, &choices, width)
    });
    if let Some(role) = role {
        let edit = Edit::ContourRole { contour: contour.id.clone(), role };
        commands.push(Command::Edit("say what the contour goes round".to_owned(), vec![edit]));
    }
    if contour.nodes.len() > 2 && check_box(ui, contour.closed, "Closed").clicked() {
        let edit = Edit::CloseContour { contour: contour.id.clone(), closed: !contour.closed };
        let name = if contour.closed { "open the outline" } else { "join the outline" };
        commands.push(Command::Edit(name.to_owned(), vec![edit]));
    }
    let follow = contour.follow_edge;
    if check_box(ui, follow, "Follow the edge").on_hover_text("Measures its edge in the photo.").clicked() {
        let edit = Edit::FollowEdge { contour: contour.id.clone(), follow: !follow };
        let name = if follow { "cut the contour as drawn" } else { "follow the edge" };
        commands.push(Command::Edit(name.to_owned(), vec![edit]));
    }
}

fn of_node(ui: &mut Ui, contour: &Contour, index: usize, node: &Node, commands: &mut Vec<Command>) {
    let kind = labelled(ui, "Node", |ui, width| {
        switch(ui, "Node", node.kind, &[(NodeKind::Corner, "corner"), (NodeKind::Smooth, "smooth")], width)
    });
    if kind.is_some() {
        commands.push(Command::Do(Action::CornerSmooth));
    }
    if contour.follow_edge {
        let held = check_box(ui, node.pinned, "Held in place (K)").on_hover_text(Action::Pin.row().hint);
        if held.clicked() {
            commands.push(Command::Do(Action::Pin));
        }
        let drawn = check_box(ui, node.as_drawn, "Next piece as drawn (D)").on_hover_text(Action::AsDrawn.row().hint);
        if drawn.clicked() {
            commands.push(Command::Do(Action::AsDrawn));
        }
        if !node.as_drawn {
            return remove_node(ui, commands);
        }
    }
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "To the next node");
    let choices = [(Piece::Line, "line"), (Piece::Arc, "arc"), (Piece::Curve, "curve")];
    let width = ui.available_width();
    if let Some(piece) = switch(ui, "To the next node", node.next, &choices, width) {
        let edit = Edit::PieceAs { contour: contour.id.clone(), index, piece };
        commands.push(Command::Edit("change the piece".to_owned(), vec![edit]));
    }
    remove_node(ui, commands);
}

fn remove_node(ui: &mut Ui, commands: &mut Vec<Command>) {
    let width = ui.available_width();
    if Button::quiet("Remove the node").width(width).show(ui).clicked() {
        commands.push(Command::Do(Action::Remove));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_new_opening_leaves_the_outline_alone() {
        let mut job = samples::plate_with_outline(true);
        let before = job.contours.clone();
        let id = job.free_id("c");
        job.apply(Edit::AddContour(Contour::new(id, Role::Opening))).unwrap();
        assert_eq!(job.contours[..1], before, "the outline is as it was");
        assert_eq!(job.contours[1].role, Role::Opening, "beside an opening");
    }
}
