//! Everything on the photo by keyboard and by name: picks, features, nodes, values and gaps take the focus, and Enter
//! or space chooses them. The pointer does not see these; it is the canvas that hits.

use super::hit::Hit;
use super::labels::Labels;
use super::scene::Scene;
use crate::theme::{Colours, TARGET, on_photo};
use egui::accesskit::Action;
use egui::{
    CornerRadius, EventFilter, FocusDirection, Id, Key, Modifiers, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui,
    Vec2, WidgetInfo,
};
use platewright_core::job::LeverSide;

/// A thing that can be reached.
struct Reachable {
    hit: Hit,
    rect: Rect,
    name: String,
    salt: (&'static str, String, usize),
}

/// Offers everything that is seen; what was chosen by key, and what has the focus.
pub(super) fn offer(ui: &Ui, scene: &Scene, labels: &Labels, colours: &Colours) -> (Option<Hit>, Option<Hit>) {
    let mut chosen = None;
    let mut focused = None;
    for one in reachable(scene, labels) {
        let id = ui.scope_id().with(one.salt);
        let response = ui.interact(one.rect, id, Sense::focusable_noninteractive());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &one.name));
        ui.ctx().accesskit_node_builder(id, |node| node.add_action(Action::Click));
        if response.has_focus() {
            focused = Some(one.hit.clone());
            hold_arrows(ui, id);
            paint_focus(ui, one.rect, colours);
        }
        let pressed = response.has_focus()
            && ui.input_mut(|input| {
                input.consume_key(Modifiers::NONE, Key::Enter) || input.consume_key(Modifiers::NONE, Key::Space)
            });
        if pressed || ui.input(|input| input.has_accesskit_action_request(id, Action::Click)) {
            chosen = Some(one.hit);
        }
    }
    (chosen, focused)
}

/// The arrows nudge what is chosen, or move the mark; they do not move the focus.
pub(super) fn hold_arrows(ui: &Ui, id: Id) {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    let had_focus = ui.memory_mut(|memory| {
        memory.set_focus_lock_filter(id, filter);
        memory.had_focus_last_frame(id)
    });
    // The filter holds from the next frame on; an arrow that came with the focus itself has moved nothing yet.
    let arrows = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown];
    if !had_focus || ui.input(|input| arrows.iter().any(|key| input.key_pressed(*key))) {
        ui.memory_mut(|memory| memory.move_focus(FocusDirection::None));
    }
}

pub(super) fn paint_focus(ui: &Ui, rect: Rect, colours: &Colours) {
    let ring = rect.expand(2.0);
    let corner = CornerRadius::same(4);
    let painter = ui.painter();
    painter.rect_stroke(ring, corner, Stroke::new(5.0, on_photo::LIGHT), StrokeKind::Middle);
    painter.rect_stroke(ring, corner, Stroke::new(2.0, colours.blue), StrokeKind::Middle);
}

fn reachable(scene: &Scene, labels: &Labels) -> Vec<Reachable> {
    let around = |at: Pos2| Rect::from_center_size(at, Vec2::splat(TARGET));
    let features = scene.features.iter().map(|feature| {
        let hit = Hit::of_feature(feature);
        let salt = ("feature", feature.id.to_string(), 0);
        Reachable { hit, rect: around(feature.at), name: feature.name.clone(), salt }
    });
    let picks = scene.picks.iter().map(|pick| {
        let hit = Hit::of_pick(pick);
        let salt = ("pick", pick.feature.to_string(), pick.index);
        Reachable { hit, rect: around(pick.at), name: pick.name.clone(), salt }
    });
    let nodes = scene.outlines.iter().flat_map(|outline| {
        let seen = outline.nodes.iter().enumerate();
        seen.filter_map(|(index, node)| {
            let hit = Hit::Node { contour: outline.id.clone(), index };
            let name = format!("node {} of the {}", index + 1, outline.name);
            let salt = ("node", outline.id.to_string(), index);
            Some(Reachable { hit, rect: around((*node)?.0), name, salt })
        })
    });
    let levers = scene.outlines.iter().flat_map(|outline| {
        outline.levers.iter().map(|lever| {
            let (index, side) = (lever.index, lever.side);
            let towards = if side == LeverSide::In { "before" } else { "after" };
            let name = format!("lever {towards} node {} of the {}", index + 1, outline.name);
            let salt = ("lever", format!("{} {towards}", outline.id), index);
            Reachable {
                hit: Hit::Lever { contour: outline.id.clone(), index, side },
                rect: around(lever.to),
                name,
                salt,
            }
        })
    });
    let throughs = scene.outlines.iter().flat_map(|outline| {
        outline.throughs.iter().map(|&(index, at)| {
            let name = format!("bend after node {} of the {}", index + 1, outline.name);
            let salt = ("through", outline.id.to_string(), index);
            Reachable { hit: Hit::Through { contour: outline.id.clone(), index }, rect: around(at), name, salt }
        })
    });
    let values = scene.dimensions.iter().filter_map(|dimension| {
        let id = dimension.id.as_ref()?;
        let figure = dimension.text.strip_prefix(&dimension.name).unwrap_or(&dimension.text).trim_start();
        let name = format!("{}, {figure}", dimension.name);
        Some(Reachable {
            hit: Hit::Value(id.clone()),
            rect: labels.value_rect(id)?,
            name,
            salt: ("value", id.to_string(), 0),
        })
    });
    let gap = labels.gap_rect().map(|rect| Reachable {
        hit: Hit::GapBox,
        rect,
        name: "join the gap".to_owned(),
        salt: ("gap", String::new(), 0),
    });
    features.chain(picks).chain(nodes).chain(levers).chain(throughs).chain(values).chain(gap).collect()
}
