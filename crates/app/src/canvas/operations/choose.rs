//! Choosing what is clicked, in every operation alike.

use super::{Bench, Click};
use crate::canvas::hit::Hit;
use crate::command::{Action, Command};
use crate::session::Chosen;

/// Clicks in operations that place nothing: they choose, and a double click beside everything fits the photo.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) {
    if let Some(hit) = &click.hit {
        choose(bench, hit);
        return;
    }
    bench.session.screen.chosen = None;
    if click.double {
        bench.commands.push(Command::Do(Action::FitView));
    }
}

/// Chooses a thing; the box of a gap joins it, and an offered rim is ticked.
pub(super) fn choose(bench: &mut Bench<'_>, hit: &Hit) {
    let screen = &mut bench.session.screen;
    screen.chosen = Some(match hit.clone() {
        Hit::Pick { hole, index } => Chosen::RimPick { hole, index },
        Hit::Hole(id) => Chosen::Hole(id),
        Hit::Point(id) => Chosen::Point(id),
        Hit::Added(id) => Chosen::Added(id),
        Hit::Edge(id) => Chosen::Edge(id),
        Hit::EdgePick { edge, index } => Chosen::EdgePick { edge, index },
        Hit::Value(id) => Chosen::Measure(id),
        Hit::Node { contour, index }
        | Hit::Lever { contour, index, .. }
        | Hit::Through { contour, index }
        | Hit::Piece { contour, index, .. } => Chosen::Node { contour, index },
        Hit::Offer(index) => {
            screen.tick_offer(index);
            return;
        }
        Hit::GapBox => {
            bench.commands.push(Command::Do(Action::Join));
            return;
        }
    });
}
