//! From a job to the problem that is adjusted, and who is who in it.

use super::beliefs::priors;
use super::{Inputs, Stated};
use crate::adjust::{BREAK_WIDTH, Corner, Length, Prior, Problem, Rim, Side, Span, Spot};
use crate::fit::{CircleFit, geometric, orthogonal_line};
use crate::job::{Hole, Id, Job, Measure, MeasureKind, NamedPoint, Statement, StatementKind, StraightEdge};
use crate::seen::{Points, RimSeen, Seen, SideSeen};
use crate::space::PhotoPoint;
use crate::tolerance::{CLICK_SIGMA_PX, LARGEST_FIGURE};

/// No standard deviation is taken to be smaller than this, px or mm: nothing is read that well, and a weight must
/// stay finite.
pub(super) const SMALLEST_SIGMA: f64 = 1e-6;
/// Picks make a circle when its centre and its radius are known better than this share of the radius.
/// Three clicks of the usual care round half of a rim of 9 px do.
const CIRCLE_KNOWN: f64 = 0.5;

/// How near to both its edges a corner is, mm: corners are never quite sharp (common practice, no source).
const CORNER_SIGMA_MM: f64 = 0.01;

/// How well the width of a broken edge is known that the photo shows, mm: its inner line lies below the face, and is less sharp
/// than the rim. On rendered photos it was within 0.02 mm.
const BREAK_SEEN_MM: f64 = 0.05;

/// Why a hole is not in the adjustment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoRim {
    /// It has this many picks, which is fewer than three.
    TooFew(usize),
    /// Its picks are too near each other, or in a line.
    NoCircle,
}

/// What became of a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// It is this length of the problem.
    Counts(usize),
    /// The person left it out; it would be this.
    LeftOut(Span),
    /// It cannot be meant and is set aside until the person decides; it would be this.
    Aside(Span),
    /// Something that it lies between is not there yet.
    Waits,
}

/// A row of what is stated about the shape.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StatedRow {
    /// The statement, or the group whose holes are of one size.
    pub(super) id: Id,
    pub(super) stated: Stated,
    pub(super) about: Vec<Id>,
    pub(super) sigma_mm: f64,
    pub(super) role: Role,
}

/// The problem with the way back to the job. All lists are in the job's order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Assembled {
    pub(super) problem: Problem,
    pub(super) holes: Vec<Result<usize, NoRim>>,
    pub(super) edges: Vec<Option<usize>>,
    pub(super) measures: Vec<Role>,
    pub(super) stated: Vec<StatedRow>,
    /// The trials whose places are known, in the order of the overlays.
    pub(super) trials: Vec<Id>,
    /// How many of the overlays are of earlier rounds than the last.
    pub(super) earlier_rounds: usize,
    /// For each rim of the problem its hole's place in the job.
    pub(super) hole_of_rim: Vec<usize>,
}

impl Assembled {
    /// Takes a length out of the problem and marks its measure.
    pub(super) fn set_aside(&mut self, length: usize) {
        let span = self.problem.lengths.remove(length).span;
        for role in self.measures.iter_mut().chain(self.stated.iter_mut().map(|row| &mut row.role)) {
            match role {
                Role::Counts(number) if *number == length => *role = Role::Aside(span),
                Role::Counts(number) if *number > length => *number -= 1,
                _ => {}
            }
        }
    }
}

fn sigma_px(stated: Option<f64>) -> f64 {
    stated.unwrap_or(CLICK_SIGMA_PX).max(SMALLEST_SIGMA)
}

/// Whether a hole's picks make a circle.
fn rim_state(hole: &Hole) -> Result<(), NoRim> {
    if hole.rim.len() < 3 {
        return Err(NoRim::TooFew(hole.rim.len()));
    }
    let sigma = sigma_px(hole.sigma_px);
    // Picks in a line, or at two places only as after a double click, leave the centre open across that line. Where
    // rounding makes a circle of them all the same, it is one beyond all measure.
    let is_known = |fit: &CircleFit| {
        let is_sure = |i: usize| sigma * fit.cofactor[i][i].sqrt() < CIRCLE_KNOWN * fit.circle.radius;
        fit.circle.radius < LARGEST_FIGURE && (0..3).all(is_sure)
    };
    geometric(&hole.rim).filter(is_known).map(|_| ()).ok_or(NoRim::NoCircle)
}

/// Picks leave a straight edge by at most this share of its length, beyond what the eye misses: the bend of a wide lens.
/// More are two edges, and a camera that made them one line would not be the camera.
const LENS_BENDS: f64 = 0.04;

/// How far off a line an edge's picks lie, px, where that is more than a lens bends a straight edge.
pub(super) fn off_line_px(edge: &StraightEdge) -> Option<f64> {
    let line = orthogonal_line(&edge.along)?;
    let ([x, y], [dx, dy]) = (line.through, line.direction);
    let off = |p: &PhotoPoint| ((p.x - x) * dy - (p.y - y) * dx).abs();
    let along = |p: &PhotoPoint| (p.x - x) * dx + (p.y - y) * dy;
    let most = edge.along.iter().map(off).fold(0.0, f64::max);
    let ends = edge.along.iter().map(along);
    let length = ends.clone().fold(f64::NEG_INFINITY, f64::max) - ends.fold(f64::INFINITY, f64::min);
    (most > LENS_BENDS * length + 10.0 * sigma_px(edge.sigma_px)).then_some(most)
}

fn makes_line(edge: &StraightEdge) -> bool {
    let apart = |p: &PhotoPoint| p.distance(edge.along[0]) > sigma_px(edge.sigma_px);
    edge.along.len() >= 2 && edge.along.iter().any(apart) && off_line_px(edge).is_none()
}

/// The widths of broken edges: one per group, one per hole without a group.
#[derive(Default)]
struct Breaks<'a> {
    of: Vec<&'a Id>,
    /// What the photo shows of each, mm.
    seen_mm: Vec<Vec<f64>>,
}

impl<'a> Breaks<'a> {
    /// The number of a hole's width; `None` where its edge is not broken.
    fn number(&mut self, hole: &'a Hole, seen: Option<&RimSeen>) -> Option<usize> {
        let key = hole.group.as_ref().unwrap_or(&hole.id);
        hole.edge_break.then(|| {
            let known = self.of.iter().position(|known| *known == key);
            let number = known.unwrap_or_else(|| {
                self.of.push(key);
                self.seen_mm.push(Vec::new());
                self.of.len() - 1
            });
            self.seen_mm[number].extend(seen.and_then(RimSeen::break_width_mm));
            number
        })
    }

    /// What is known of each beforehand: what the photo shows, else what is usual.
    fn beliefs(&self) -> Vec<Prior> {
        let belief = |seen_mm: &Vec<f64>| {
            let value = seen_mm.iter().sum::<f64>() / seen_mm.len() as f64;
            if seen_mm.is_empty() { BREAK_WIDTH } else { Prior { value, sigma: BREAK_SEEN_MM } }
        };
        self.seen_mm.iter().map(belief).collect()
    }
}

/// Builds the problem.
pub(super) fn assemble(inputs: &Inputs<'_>) -> Assembled {
    let (job, nothing) = (inputs.job, Seen::default());
    let seen = inputs.seen.unwrap_or(&nothing);
    let mut breaks = Breaks::default();
    let (mut rims, mut hole_of_rim) = (Vec::new(), Vec::new());
    let mut holes = Vec::with_capacity(job.holes.len());
    for (place, hole) in job.holes.iter().enumerate() {
        holes.push(rim_state(hole).map(|()| {
            hole_of_rim.push(place);
            let rim = seen.rim(hole);
            let by_hand = || Points { at: hole.rim.clone(), precision: sigma_px(hole.sigma_px).into() };
            let Points { at: picks, precision } = rim.and_then(RimSeen::serves).unwrap_or_else(by_hand);
            rims.push(Rim { picks, precision, edge_break: breaks.number(hole, rim), keep: hole.keep });
            rims.len() - 1
        }));
    }
    let spots = job.points.iter().map(|point| Spot { pick: point.at, sigma_px: sigma_px(point.sigma_px) }).collect();
    let mut sides = Vec::new();
    let mut edges = Vec::with_capacity(job.edges.len());
    for edge in &job.edges {
        edges.push(makes_line(edge).then(|| {
            let by_hand = || Points { at: edge.along.clone(), precision: sigma_px(edge.sigma_px).into() };
            let Points { at: picks, precision } = seen.side(edge).and_then(SideSeen::serves).unwrap_or_else(by_hand);
            sides.push(Side { picks, precision });
            sides.len() - 1
        }));
    }
    let corner = |(spot, point): (usize, &NamedPoint)| {
        let [a, b] = seen.corner(point, job)?.edges.each_ref().map(|edge| side(job, &edges, edge));
        Some(Corner { spot, sides: [a?, b?], sigma_mm: CORNER_SIGMA_MM })
    };
    let corners = job.points.iter().enumerate().filter_map(corner).collect();
    let mut lengths = Vec::new();
    let mut measures = Vec::with_capacity(job.measures.len());
    for measure in &job.measures {
        let span = span(job, &holes, &edges, measure);
        let sigma_mm = measure.sigma_mm.max(SMALLEST_SIGMA);
        measures.push(role(span, measure.in_use, measure.mm, sigma_mm, &mut lengths));
    }
    let mut stated = Vec::new();
    for statement in &job.statements {
        statement_rows(job, &edges, statement, &mut lengths, &mut stated);
    }
    let sizes = one_size_rows(job, &holes, &mut lengths, &mut stated);
    let (priors, breaks, overlays) = (priors(inputs), breaks.beliefs(), Vec::new());
    let problem = Problem { priors, rims, spots, sides, breaks, sizes, corners, lengths, overlays };
    Assembled { problem, holes, edges, measures, stated, trials: Vec::new(), earlier_rounds: 0, hole_of_rim }
}

/// The rows of one statement, a row for each point on a straight edge.
fn statement_rows(
    job: &Job,
    edges: &[Option<usize>],
    statement: &Statement,
    lengths: &mut Vec<Length>,
    rows: &mut Vec<StatedRow>,
) {
    let Some((first, rest)) = statement.between.split_first() else { return };
    for other in rest {
        let (stated, span) = match statement.kind {
            StatementKind::Square => {
                let sides = side(job, edges, first).zip(side(job, edges, other));
                (Stated::Square, sides.map(|(a, b)| Span::Square(a, b)))
            }
            StatementKind::Straight => {
                let on = spot(job, other).zip(side(job, edges, first));
                (Stated::OnEdge, on.map(|(spot, side)| Span::OnSide(spot, side)))
            }
        };
        let sigma_mm = statement.sigma_mm.max(SMALLEST_SIGMA);
        let role = role(span, statement.in_use, 0.0, sigma_mm, lengths);
        let about = vec![first.clone(), other.clone()];
        rows.push(StatedRow { id: statement.id.clone(), stated, about, sigma_mm, role });
    }
}

/// The rows of groups whose holes are of one size, and how many such groups there are. A hole alone has nothing to be
/// of one size with.
fn one_size_rows(
    job: &Job,
    holes: &[Result<usize, NoRim>],
    lengths: &mut Vec<Length>,
    rows: &mut Vec<StatedRow>,
) -> usize {
    let mut sizes = 0;
    for group in &job.groups {
        let Some(sigma_mm) = group.same_size_sigma_mm.map(|sigma| sigma.max(SMALLEST_SIGMA)) else { continue };
        let of_group = job.holes.iter().zip(holes).filter(|(hole, _)| hole.group.as_ref() == Some(&group.id));
        let rims: Vec<(&Hole, usize)> = of_group.filter_map(|(hole, rim)| Some((hole, rim.ok()?))).collect();
        if rims.len() < 2 {
            continue;
        }
        for (hole, rim) in rims {
            let role = role(Some(Span::SameSize(rim, sizes)), true, 0.0, sigma_mm, lengths);
            let about = vec![hole.id.clone()];
            rows.push(StatedRow { id: group.id.clone(), stated: Stated::SameSize, about, sigma_mm, role });
        }
        sizes += 1;
    }
    sizes
}

/// What becomes of a reading; one that counts is added to the lengths.
fn role(span: Option<Span>, in_use: bool, mm: f64, sigma_mm: f64, lengths: &mut Vec<Length>) -> Role {
    match span {
        None => Role::Waits,
        Some(span) if !in_use => Role::LeftOut(span),
        Some(span) => {
            lengths.push(Length { span, mm, sigma_mm });
            Role::Counts(lengths.len() - 1)
        }
    }
}

fn spot(job: &Job, id: &Id) -> Option<usize> {
    job.points.iter().position(|point| point.id == *id)
}

fn side(job: &Job, edges: &[Option<usize>], id: &Id) -> Option<usize> {
    edges[job.edges.iter().position(|edge| edge.id == *id)?]
}

/// What a measure lies between, in the problem's numbers; `None` where that is not all there.
fn span(job: &Job, holes: &[Result<usize, NoRim>], edges: &[Option<usize>], measure: &Measure) -> Option<Span> {
    let rim = |id: &Id| holes[job.holes.iter().position(|hole| hole.id == *id)?].ok();
    let spot = |id: &Id| spot(job, id);
    let side = |id: &Id| side(job, edges, id);
    let (a, b) = match (measure.kind, measure.between.as_slice()) {
        (MeasureKind::Diameter, [hole]) => return Some(Span::Diameter(rim(hole)?)),
        (_, [a, b]) if a != b => (a, b),
        _ => return None,
    };
    match measure.kind {
        MeasureKind::Centres => Some(Span::Centres(rim(a)?, rim(b)?)),
        MeasureKind::FarRims => Some(Span::FarRims(rim(a)?, rim(b)?)),
        MeasureKind::NearRims => Some(Span::NearRims(rim(a)?, rim(b)?)),
        MeasureKind::Diameter => None,
        MeasureKind::Points => Some(Span::Points(spot(a)?, spot(b)?)),
        MeasureKind::Edges => Some(Span::Sides(side(a)?, side(b)?)),
        // The hole and the edge may be named in either order.
        MeasureKind::RimToEdge => match (rim(a), side(b), rim(b), side(a)) {
            (Some(rim), Some(side), ..) | (.., Some(rim), Some(side)) => Some(Span::RimToSide(rim, side)),
            _ => None,
        },
    }
}
