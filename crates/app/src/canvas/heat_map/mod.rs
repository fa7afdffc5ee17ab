//! How well every place of the face is known, as bands over it. Computed once for each result, in plate coordinates, and
//! brought to the screen once for each view.

mod bands;
mod field;
#[cfg(test)]
mod tests;

use super::transform::Transform;
use crate::session::Session;
use crate::theme::on_photo;
use bands::Band;
use egui::{Mesh, Pos2, Rect};
use field::{Face, Field};
use platewright_core::geom::Contour;
use platewright_core::job::{Job, Role};
use platewright_core::solution::Solution;
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_core::tolerance::DRAWN_CHORD_MM;
use std::sync::Arc;

/// The steps between bands, mm (95 %).
const STEPS_MM: [f64; 7] = [0.05, 0.08, 0.11, 0.15, 0.2, 0.3, 0.5];
/// So many are shown at most.
const MOST_SHOWN: usize = 4;
/// A line between bands is drawn from this length on, in points.
const SHORTEST_LINE: f32 = 24.0;
/// How far the face is taken to reach beyond its holes while no outline is closed, as a share of what they span.
const MARGIN_SHARE: f64 = 0.06;

/// The heat map as it is kept between frames.
#[derive(Debug, Default)]
pub(super) struct HeatMap {
    of: Option<Arc<Solution>>,
    known: Option<Known>,
    seen: Option<(Transform, Arc<HeatSeen>)>,
}

/// What is known of the face, in plate coordinates.
#[derive(Debug)]
struct Known {
    bands: Vec<Band>,
    /// The lines between bands, with the number of their step.
    lines: Vec<(usize, Vec<PlatePoint>)>,
    key: HeatKey,
}

/// What the legend says.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::canvas) struct HeatKey {
    /// The steps that are shown, mm, rising.
    pub(in crate::canvas) levels_mm: Vec<f64>,
    /// The least and the most on the face, mm.
    pub(in crate::canvas) range_mm: (f64, f64),
}

/// The bands on the screen.
#[derive(Debug)]
pub(in crate::canvas) struct HeatSeen {
    /// One for each band with its number of layers.
    pub(in crate::canvas) meshes: Vec<Arc<Mesh>>,
    /// The lines between bands, with the number of their step; of one step the longest first.
    pub(in crate::canvas) lines: Vec<(usize, Vec<Pos2>)>,
    /// What the legend says.
    pub(in crate::canvas) key: HeatKey,
}

impl HeatMap {
    /// The photo is another one.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// What is to be drawn; `None` while it is not asked for or not known.
    pub(super) fn seen(&mut self, session: &Session, transform: &Transform) -> Option<Arc<HeatSeen>> {
        let solution = &session.results.solution;
        if !session.screen.heat_map || !session.results.is_plus_minus_known() {
            return None;
        }
        if !self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, solution)) {
            self.known = session.document.as_ref().and_then(|document| known(document.job(), solution));
            self.of = Some(Arc::clone(solution));
            self.seen = None;
        }
        let known = self.known.as_ref()?;
        if self.seen.as_ref().is_none_or(|(of, _)| of != transform) {
            self.seen = Some((*transform, Arc::new(on_screen(known, transform))));
        }
        self.seen.as_ref().map(|(_, seen)| Arc::clone(seen))
    }
}

fn known(job: &Job, solution: &Solution) -> Option<Known> {
    let field = Field::over(&face(job, solution)?, solution.face.as_ref()?)?;
    let on_face = field.plus_minus_mm.iter().zip(&field.inside_mm);
    let figures = on_face.filter(|(figure, inside)| figure.is_finite() && **inside >= 0.0).map(|(figure, _)| *figure);
    let range_mm = figures.fold((f64::INFINITY, 0.0_f64), |(least, most), one| (least.min(one), most.max(one)));
    let levels_mm = levels(range_mm);
    let of_level =
        |(step, level): (usize, &f64)| bands::lines(&field, *level).into_iter().map(move |line| (step, line));
    let lines = levels_mm.iter().enumerate().flat_map(of_level).collect();
    Some(Known { bands: bands::bands(&field, &levels_mm), lines, key: HeatKey { levels_mm, range_mm } })
}

/// The steps that fall on the face; of more than are shown, some spread over all of them.
fn levels((least, most): (f64, f64)) -> Vec<f64> {
    let within: Vec<f64> = STEPS_MM.into_iter().filter(|step| least < *step && *step <= most).collect();
    if within.len() <= MOST_SHOWN {
        return within;
    }
    let last = within.len() - 1;
    (0..MOST_SHOWN).map(|index| within[(index * last + (MOST_SHOWN - 1) / 2) / (MOST_SHOWN - 1)]).collect()
}

/// The closed outline with its openings; else what a line round all holes holds.
fn face(job: &Job, solution: &Solution) -> Option<Face> {
    let holes = solution.holes.iter().map(|hole| (hole.centre, hole.rim_diameter_mm / 2.0)).collect();
    let closed = |role: Role| {
        let fits = solution.contours.iter().filter(move |fit| fit.role == role);
        fits.filter(|fit| {
            let is_joined = job.contour(&fit.id).is_some_and(|contour| contour.closed);
            is_joined && fit.cut.closed && fit.gaps.is_empty() && !fit.cut.is_empty()
        })
    };
    let Some(outline) = closed(Role::Outer).next() else {
        return round_the_holes(holes);
    };
    let openings = closed(Role::Opening).map(|fit| &fit.cut);
    let loops = std::iter::once(&outline.cut).chain(openings).map(loop_line).collect();
    Some(Face { loops, holes })
}

fn loop_line(contour: &Contour) -> Vec<PlatePoint> {
    let mut places = contour.sampled(DRAWN_CHORD_MM);
    places.pop();
    places
}

/// The hull of the holes with a margin.
fn round_the_holes(holes: Vec<(PlatePoint, f64)>) -> Option<Face> {
    const SIDES: u32 = 48;
    let bounds = platewright_core::geom::Bounds::around(holes.iter().map(|(centre, _)| *centre))?;
    let margin = MARGIN_SHARE * bounds.size().length();
    let around = |(centre, radius): &(PlatePoint, f64)| {
        let (centre, reach) = (*centre, radius + margin);
        let angle = |side: u32| std::f64::consts::TAU * f64::from(side) / f64::from(SIDES);
        (0..SIDES).map(move |side| centre + PlateVec::from_angle(angle(side)) * reach)
    };
    let hull = hull(holes.iter().flat_map(around).collect());
    (hull.len() > 2).then(|| Face { loops: vec![hull], holes })
}

/// The convex hull, counter-clockwise: lower and upper chain over the places by x (Andrew, Another efficient algorithm
/// for convex hulls in two dimensions, 1979).
fn hull(mut places: Vec<PlatePoint>) -> Vec<PlatePoint> {
    places.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let chain = |places: &mut dyn Iterator<Item = &PlatePoint>| {
        let mut chain: Vec<PlatePoint> = Vec::new();
        for place in places {
            while let [.., a, b] = chain.as_slice()
                && (*b - *a).cross(*place - *b) <= 0.0
            {
                chain.pop();
            }
            chain.push(*place);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut places.iter());
    hull.extend(chain(&mut places.iter().rev()));
    hull
}

fn on_screen(known: &Known, transform: &Transform) -> HeatSeen {
    // Where no step falls on the face, the whole of it is darkest when it is worse than all of them.
    let all_beyond = known.key.levels_mm.is_empty() && known.key.range_mm.0 >= STEPS_MM[STEPS_MM.len() - 1];
    let layers = |index: usize| if all_beyond { MOST_SHOWN } else { index };
    let meshes = known.bands.iter().enumerate().filter(|(index, _)| layers(*index) > 0);
    let meshes = meshes.map(|(index, band)| Arc::new(mesh(band, layers(index), transform))).collect();
    let lines = known.lines.iter().map(|(step, line)| {
        let places = line.iter().map_while(|place| transform.screen_from_plate(*place));
        (*step, places.collect::<Vec<Pos2>>())
    });
    let long =
        |line: &(usize, Vec<Pos2>)| line.1.len() > 1 && Rect::from_points(&line.1).size().length() > SHORTEST_LINE;
    HeatSeen { meshes, lines: lines.filter(long).collect(), key: known.key.clone() }
}

fn mesh(band: &Band, layers: usize, transform: &Transform) -> Mesh {
    let colour = on_photo::heat(layers);
    let places: Vec<Option<Pos2>> = band.places.iter().map(|place| transform.screen_from_plate(*place)).collect();
    let mut mesh = Mesh::default();
    for place in &places {
        mesh.colored_vertex(place.unwrap_or_default(), colour);
    }
    let seen = |index: &u32| places.get(*index as usize).is_some_and(Option::is_some);
    let triangles = band.triangles.chunks_exact(3).filter(|corners| corners.iter().all(seen));
    mesh.indices.extend(triangles.flatten());
    mesh
}
