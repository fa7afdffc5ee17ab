//! Known places on the face as observations: how far a feature lies from where an overlay has it.

use super::normal::Row;
use super::problem::Known;
use super::state::State;
use crate::space::PlatePoint;

/// How far a feature lies from its known place along x and y of the solve frame, mm, each with its derivatives.
pub(super) fn known_place(state: &State<'_>, overlay: usize, known: &Known) -> [(f64, Row); 2] {
    let (lies, at) = (state.overlay(overlay), state.layout.overlay(overlay));
    let (place, from) = (state.place(known.feature), state.layout.place(known.feature));
    let (off, by_turn) = (place - lies.apply(known.at), lies.turn(known.at - PlatePoint::default()).perp());
    [(0, off.x, by_turn.x), (1, off.y, by_turn.y)].map(|(axis, off, by_turn)| {
        let mut row = Row::new();
        row.add(from + axis, 1.0);
        row.add(at + axis, -1.0);
        row.add(at + 2, -by_turn);
        (off, row)
    })
}
