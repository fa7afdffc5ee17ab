//! What is seen in one frame, in points of the screen: computed once from the session, then painted, hit and labelled.

mod added;
mod contours;
mod dimensions;
mod edges;
mod features;
mod measured;
mod offers;
mod on_edge;

pub(super) use added::AddedSeen;
pub(super) use contours::{GapSeen, LeverSeen, Outline, nearest_on_segment};
pub(super) use dimensions::{Dimension, State, length_figure};
pub(super) use edges::EdgeSeen;
pub(super) use features::{Ellipses, Feature, FeatureKind, PICKS_OF_A_RIM, PickOf, PickSeen, circle, ordinal};
pub(super) use measured::{MeasuredPoint, PointState};
pub(super) use offers::OfferSeen;
pub(super) use on_edge::{OnEdge, Whiskers};

use super::heat_map::HeatSeen;
use super::transform::Transform;
use crate::session::{Document, Session};
use egui::Pos2;
use platewright_core::job::Id;
use platewright_core::space::PlatePoint;
use std::sync::Arc;

/// Everything that lies on the photo.
#[derive(Debug, Default)]
pub(super) struct Scene {
    /// Holes, named points and edges, in the job's order.
    pub(super) features: Vec<Feature>,
    /// Picks of rims and edges.
    pub(super) picks: Vec<PickSeen>,
    /// Points measured in the photo.
    pub(super) measured: Vec<MeasuredPoint>,
    /// Rims that are offered as further holes.
    pub(super) offers: Vec<OfferSeen>,
    /// Straight edges.
    pub(super) edges: Vec<EdgeSeen>,
    /// The marks of square corners.
    pub(super) corners: Vec<Vec<Pos2>>,
    /// Uncertainty ellipses with the factor that they are enlarged by.
    pub(super) ellipses: Option<Ellipses>,
    /// How well every place of the face is known.
    pub(super) heat: Option<Arc<HeatSeen>>,
    /// The features of the measure that is asked for next.
    pub(super) asked: Vec<Id>,
    /// Measures, the draft and the measure to take next.
    pub(super) dimensions: Vec<Dimension>,
    /// What is added to the part.
    pub(super) added: Vec<AddedSeen>,
    /// Outline and openings.
    pub(super) outlines: Vec<Outline>,
    /// How the cut lies to the measured edge.
    pub(super) on_edge: OnEdge,
}

impl Scene {
    /// What `session` shows through `transform`.
    pub(super) fn new(session: &Session, document: &Document, transform: &Transform) -> Self {
        let solution = &session.results.solution;
        let edges = edges::edges(session, document.job(), transform);
        let mut features = features::features(document.job(), solution, transform);
        features.extend(edges::features(document.job(), &edges));
        let added = added::added(session, transform);
        features.extend(added::features(document.job(), &added));
        let dimensions = dimensions::dimensions(session, document.job(), transform, &features);
        Self {
            picks: [features::picks, edges::picks].map(|picks| picks(session, document.job(), transform)).concat(),
            measured: measured::measured(session, document.job(), transform),
            offers: offers::offers(session, transform),
            added,
            ellipses: features::ellipses(session, transform),
            heat: None,
            asked: dimensions::asked(session).map_or_else(Vec::new, |next| next.between.clone()),
            on_edge: on_edge::on_edge(session, transform),
            outlines: contours::outlines(session, document.job(), transform),
            corners: edges::corners(session, document.job(), transform),
            edges,
            features,
            dimensions,
        }
    }

    /// The feature with this id.
    pub(super) fn feature(&self, id: &Id) -> Option<&Feature> {
        self.features.iter().find(|feature| feature.id == *id)
    }

    /// The middle of what was picked, from which flags point away.
    pub(super) fn middle(&self) -> Option<Pos2> {
        let places: Vec<Pos2> = self.features.iter().map(|feature| feature.at).collect();
        let sum = places.iter().fold(egui::Vec2::ZERO, |sum, place| sum + place.to_vec2());
        (!places.is_empty()).then(|| (sum / places.len() as f32).to_pos2())
    }
}

/// A line of plate points on the screen; where one of them is not seen, what comes before it.
fn seen_line(points: impl IntoIterator<Item = PlatePoint>, transform: &Transform) -> Vec<Pos2> {
    points.into_iter().map_while(|plate| transform.screen_from_plate(plate)).collect()
}

/// A straight line on the plate, in steps short enough to bend with the lens.
fn seen_segment(from: PlatePoint, to: PlatePoint, transform: &Transform) -> Vec<Pos2> {
    const STEPS: u32 = 12;
    let steps = if transform.is_flat() { 1 } else { STEPS };
    seen_line((0..=steps).map(|step| from.lerp(to, f64::from(step) / f64::from(steps))), transform)
}
