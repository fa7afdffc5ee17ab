//! What the photo costs, as it is printed.

use platewright_core::advice::{Advice, State};
use platewright_core::job::Id;
use serde::Serialize;

/// What one rule says of the photo.
#[derive(Debug, Serialize)]
pub(super) struct AdviceReport<'a> {
    name: &'a str,
    state: State,
    text: &'a str,
    way_out: &'a str,
    /// Of a hole's place, 95 %; `null` where it cannot be told.
    cost_mm: Option<f64>,
    /// The hole that it costs most.
    hole: Option<&'a Id>,
    places: Vec<PlaceReport>,
}

/// A place on the photo, px.
#[derive(Debug, Serialize)]
struct PlaceReport {
    x: f64,
    y: f64,
    across: f64,
}

impl<'a> From<&'a Advice> for AdviceReport<'a> {
    fn from(advice: &'a Advice) -> Self {
        let Advice { name, state, text, way_out, cost_mm, hole, places } = advice;
        let place = |place: &platewright_core::advice::Place| PlaceReport {
            x: place.at.x,
            y: place.at.y,
            across: place.across_px,
        };
        Self {
            name,
            state: *state,
            text,
            way_out,
            cost_mm: *cost_mm,
            hole: hole.as_ref(),
            places: places.iter().map(place).collect(),
        }
    }
}
