//! The words on the photo: flags with leaders, values on dimension lines, the box of a gap, the legend.

mod legend;
mod paint;
pub(super) mod placement;

use super::hit::Hit;
use super::scene::{Dimension, Feature, FeatureKind, GapSeen, Scene, State, length_figure};
use crate::session::{Chosen, Operation, Session};
use crate::theme::{Colours, Weight, font};
use egui::{Color32, Galley, Painter, Pos2, Rect, Vec2, vec2};
pub(super) use legend::legend_rect;
use legend::{HeatValue, Legend};
use placement::{FlagPlace, FlagWanted, Obstacles, ValueWanted, past_ends, place_flags, place_values, shares};
use platewright_core::job::Id;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Between the text of a label and its edge, points.
const PADDING: Vec2 = vec2(7.0, 3.0);
/// How far beside a label it is meant still, points: all of them are large enough then to be hit.
const MEANT_BESIDE: f32 = 2.0;
/// A rim larger than this share of the view is no obstacle as a whole: labels may stand inside it.
const LARGE_RIM: f32 = 0.6;

/// The words on the photo in one frame.
#[derive(Debug, Default)]
pub(super) struct Labels {
    flags: Vec<Flag>,
    values: Vec<Value>,
    gap: Option<GapBox>,
    legend: Option<Legend>,
    heat: Vec<HeatValue>,
}

/// The directions of the flags in the frame before, to be kept while they are free.
pub(super) type Directions = BTreeMap<Id, usize>;

#[derive(Debug)]
struct Flag {
    hit: Hit,
    place: FlagPlace,
    galley: Arc<Galley>,
    edge: Color32,
}

#[derive(Debug)]
struct Value {
    id: Option<Id>,
    rect: Rect,
    galley: Arc<Galley>,
    state: State,
    is_chosen: bool,
    edge: Color32,
}

#[derive(Debug)]
struct GapBox {
    rect: Rect,
    leader_to: Pos2,
    galley: Arc<Galley>,
    join: Arc<Galley>,
}

/// What labels are laid out with.
pub(super) struct Layout<'a> {
    /// For the sizes of texts.
    pub(super) painter: &'a Painter,
    /// The theme.
    pub(super) colours: &'a Colours,
    /// The part of the screen that shows the photo.
    pub(super) view: Rect,
    /// What covers the photo already: view switch, magnifier.
    pub(super) covered: Vec<Rect>,
}

impl Labels {
    /// Lays the labels of `scene` out. `directions` are those of the frame before and become those of this one.
    pub(super) fn new(layout: &Layout<'_>, scene: &Scene, session: &Session, directions: &mut Directions) -> Self {
        let inches = session.screen.inches;
        let legend = Legend::new(scene, layout.view, (layout.painter, layout.colours), inches);
        let mut obstacles = layout.obstacles(scene);
        obstacles.rects.extend(legend.as_ref().map(|legend| legend.rect));
        let with_gap = matches!(session.screen.operation, Operation::Outline | Operation::Cut);
        let open = scene.outlines.iter().filter(|outline| with_gap && !outline.is_tracing);
        let gap = open.into_iter().find_map(|outline| outline.gap.as_ref());
        let gap = gap.and_then(|gap| layout.gap_box(gap, session.screen.inches, &obstacles));
        obstacles.rects.extend(gap.as_ref().map(|gap| gap.rect));
        obstacles.lines.extend(scene.dimensions.iter().map(|dimension| dimension.line.clone()));
        let values = layout.values(&scene.dimensions, &mut obstacles);
        obstacles.lines.extend(scene.edges.iter().filter(|edge| edge.line.len() > 1).map(|edge| edge.line.clone()));
        obstacles.lines.extend(scene.outlines.iter().flat_map(|outline| outline.pieces.iter().cloned()));
        let flags = layout.flags(scene, session, &mut obstacles, directions);
        let heat = layout.heat_values(scene, inches, &mut obstacles);
        Self { flags, values, gap, legend, heat }
    }

    /// What the label at `screen` stands for.
    pub(super) fn at(&self, screen: Pos2) -> Option<Hit> {
        let is_meant = |rect: &Rect| rect.expand(MEANT_BESIDE).contains(screen);
        let gap = self.gap.iter().filter(|gap| is_meant(&gap.rect)).map(|_| Hit::GapBox);
        let values = self.values.iter().filter(|value| is_meant(&value.rect));
        let values = values.filter_map(|value| value.id.clone().map(Hit::Value));
        let flags = self.flags.iter().filter(|flag| is_meant(&flag.place.rect));
        gap.chain(values).chain(flags.map(|flag| flag.hit.clone())).next()
    }

    /// Where the value box of a measure is meant.
    pub(super) fn value_rect(&self, id: &Id) -> Option<Rect> {
        self.values.iter().find(|value| value.id.as_ref() == Some(id)).map(|value| value.rect.expand(MEANT_BESIDE))
    }

    /// Where the box of the gap is meant.
    pub(super) fn gap_rect(&self) -> Option<Rect> {
        self.gap.as_ref().map(|gap| gap.rect.expand(MEANT_BESIDE))
    }
}

impl Layout<'_> {
    fn text(&self, text: &str, size: f32, weight: Weight, colour: Color32) -> Arc<Galley> {
        self.painter.layout_no_wrap(text.to_owned(), font(size, weight), colour)
    }

    /// Rims, nodes and what covers the photo already.
    fn obstacles(&self, scene: &Scene) -> Obstacles {
        let large = LARGE_RIM * self.view.size().min_elem();
        let rims = scene.features.iter().filter(|feature| feature.reach < large && feature.is_in_sight(self.view));
        let discs = rims.map(|feature| (feature.at, feature.reach.max(6.0) + 4.0)).collect();
        let nodes = scene.outlines.iter().flat_map(|outline| outline.nodes.iter().flatten());
        let nodes = nodes.map(|(at, _)| Rect::from_center_size(*at, Vec2::splat(18.0)));
        let picks = scene.picks.iter().map(|pick| Rect::from_center_size(pick.at, Vec2::splat(12.0)));
        let rects = self.covered.iter().copied().chain(nodes).chain(picks).collect();
        Obstacles { discs, rects, lines: Vec::new() }
    }

    fn gap_box(&self, gap: &GapSeen, inches: bool, obstacles: &Obstacles) -> Option<GapBox> {
        let middle = gap.from.lerp(gap.to, 0.5);
        if !self.view.contains(middle) {
            return None;
        }
        let width = gap.width_mm.map_or_else(
            || "gap".to_owned(),
            |mm| format!("{} {}", length_figure(mm, inches), if inches { "in" } else { "mm" }),
        );
        let galley = self.text(&width, 13.0, Weight::SemiBold, self.colours.disagree_text);
        let join = self.text("join, J", 13.0, Weight::SemiBold, self.colours.flag_ink);
        let size = vec2(galley.size().x + join.size().x + 4.0 * PADDING.x, galley.size().y + 2.0 * PADDING.y);
        let size = size.max(Vec2::splat(crate::theme::TARGET));
        let rect = placement::place_gap_box(middle, -gap.outward, size, obstacles, self.view);
        Some(GapBox { rect, leader_to: middle, galley, join })
    }

    fn heat_values(&self, scene: &Scene, inches: bool, obstacles: &mut Obstacles) -> Vec<HeatValue> {
        let all = HeatValue::wanted(scene, self.painter, inches);
        let wanted: Vec<ValueWanted> = all
            .iter()
            .map(|(places, galley)| ValueWanted {
                places: places.clone(),
                size: galley.size() + PADDING,
                own_line: usize::MAX,
            })
            .collect();
        let places = place_values(&wanted, obstacles, self.view);
        let placed = all.into_iter().zip(places);
        placed.filter_map(|((_, galley), rect)| Some(HeatValue { rect: rect?, galley })).collect()
    }

    fn values(&self, dimensions: &[Dimension], obstacles: &mut Obstacles) -> Vec<Value> {
        let c = self.colours;
        // What is being worked on and what disagrees get the first choice of place.
        let mut order: Vec<usize> = (0..dimensions.len()).filter(|&index| !dimensions[index].text.is_empty()).collect();
        order.sort_by_key(|&index| match dimensions[index].state {
            State::Draft => 0,
            State::Disagrees => 1,
            State::Next => 2,
            State::Stands | State::LeftOut => 3,
        });
        let galleys: Vec<Arc<Galley>> = order
            .iter()
            .map(|&index| {
                let (size, weight, colour) = match dimensions[index].state {
                    State::Draft => (13.0, Weight::SemiBold, c.blue),
                    State::Disagrees => (13.0, Weight::SemiBold, c.disagree_text),
                    State::Next => (13.0, Weight::SemiBold, c.unknown_text),
                    State::Stands => (12.5, Weight::Medium, c.flag_ink),
                    State::LeftOut => (12.5, Weight::Medium, c.soft),
                };
                self.text(&dimensions[index].text, size, weight, colour)
            })
            .collect();
        let wanted: Vec<ValueWanted> = order
            .iter()
            .zip(&galleys)
            .map(|(&index, galley)| {
                let dimension = &dimensions[index];
                let size = (galley.size() + 2.0 * vec2(PADDING.x, 2.0)).max(vec2(crate::theme::TARGET, 20.0));
                let on_line = shares().into_iter().filter_map(|share| dimension.at_share(share));
                let ends = dimension.ends().map(|[(from, _), (to, _)]| past_ends(from, to, size));
                let places = on_line.chain(ends.into_iter().flatten()).collect();
                ValueWanted { places, size, own_line: index }
            })
            .collect();
        let places = place_values(&wanted, obstacles, self.view);
        let boxes = order.iter().zip(galleys).zip(places);
        boxes
            .filter_map(|((&index, galley), place)| {
                let dimension = &dimensions[index];
                let edge = match dimension.state {
                    State::Draft => c.blue,
                    State::Disagrees => c.disagree,
                    State::Next => c.unknown,
                    State::Stands | State::LeftOut => c.line,
                };
                let edge = if dimension.is_chosen && dimension.id.is_some() { c.brass } else { edge };
                let (id, state, is_chosen) = (dimension.id.clone(), dimension.state, dimension.is_chosen);
                Some(Value { id, rect: place?, galley, state, is_chosen, edge })
            })
            .collect()
    }

    fn flags(
        &self,
        scene: &Scene,
        session: &Session,
        obstacles: &mut Obstacles,
        directions: &mut Directions,
    ) -> Vec<Flag> {
        let mut named: Vec<(u8, &Feature)> = scene
            .features
            .iter()
            .filter(|feature| self.view.contains(feature.at))
            .filter(|feature| feature.kind != FeatureKind::Point || session.screen.operation != Operation::Cut)
            .map(|feature| (urgency(feature, session), feature))
            .collect();
        named.sort_by(|a, b| (a.0, &a.1.name).cmp(&(b.0, &b.1.name)));
        let galleys: Vec<Arc<Galley>> =
            named.iter().map(|(urgency, feature)| self.flag_text(*urgency, feature)).collect();
        let wanted: Vec<FlagWanted> = named
            .iter()
            .zip(&galleys)
            .map(|((_, feature), galley)| FlagWanted {
                anchor: feature.at,
                reach: feature.reach.max(6.0),
                size: galley.size() + 2.0 * PADDING,
                kept: directions.get(&feature.id).copied(),
            })
            .collect();
        let middle = scene.middle().unwrap_or(self.view.center());
        let places = place_flags(&wanted, obstacles, self.view, middle);
        let flags: Vec<Flag> = named
            .iter()
            .zip(galleys)
            .zip(places)
            .filter_map(|(((urgency, feature), galley), place)| {
                let place = place?;
                directions.insert(feature.id.clone(), place.direction);
                let hit = Hit::of_feature(feature);
                let edge = match urgency {
                    0 => self.colours.brass,
                    2 => self.colours.unknown,
                    _ => self.colours.flag_ink,
                };
                Some(Flag { hit, place, galley, edge })
            })
            .collect();
        directions.retain(|id, _| scene.feature(id).is_some());
        flags
    }

    fn flag_text(&self, urgency: u8, feature: &Feature) -> Arc<Galley> {
        let colour = match urgency {
            0 => self.colours.brass_text,
            2 => self.colours.unknown_text,
            _ => self.colours.flag_ink,
        };
        let text =
            if feature.note.is_empty() { feature.name.clone() } else { format!("{}, {}", feature.name, feature.note) };
        self.text(&text, 13.0, Weight::SemiBold, colour)
    }
}

/// The order in which flags get their places: 0 what is worked on, 2 what is not known, 3 the rest.
fn urgency(feature: &Feature, session: &Session) -> u8 {
    let screen = &session.screen;
    let is_chosen = match &screen.chosen {
        Some(
            Chosen::Hole(id)
            | Chosen::RimPick { hole: id, .. }
            | Chosen::Point(id)
            | Chosen::Added(id)
            | Chosen::Edge(id)
            | Chosen::EdgePick { edge: id, .. },
        ) => *id == feature.id,
        _ => false,
    };
    let in_draft = screen.draft.as_ref().is_some_and(|draft| draft.between.contains(&feature.id))
        || screen.stating.as_ref().is_some_and(|stating| stating.between.contains(&feature.id));
    let in_addition = screen
        .adding
        .as_ref()
        .is_some_and(|added| added.id == feature.id || added.rests_on().any(|id| *id == feature.id));
    let is_picked = [&screen.picking, &screen.picking_edge].contains(&&Some(feature.id.clone()));
    if is_chosen || in_draft || in_addition || is_picked {
        0
    } else if !feature.note.is_empty() && matches!(feature.kind, FeatureKind::HoleWithoutRim | FeatureKind::Edge) {
        2
    } else {
        3
    }
}
