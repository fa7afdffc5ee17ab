//! Whether a job holds together.
//!
//! Run on every job that is read and after every [`super::Edit`], so a half-made job passes: a hole without picks, a
//! contour of one node. What fails is what nothing could be computed from: a reference to nothing, a length of zero.

use super::contours::{Contour, Meant, MeantKind, Role};
use super::error::shown;
use super::limits::Most;
use super::model::{
    Belief, Datum, Group, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, Photo, Statement, StatementKind,
};
use super::stock::{MOST_COPIES, Stock};
use super::trial::{Trial, Tried};
use super::validate_design::design;
use super::{FORMAT, JobError, VERSION};
use crate::tolerance::{LARGEST_FIGURE, SMALLEST_FIGURE};
use std::collections::BTreeMap;
use std::fmt::Display;

/// The clearance classes that a group may name: those of ISO 273, and the three in plain words.
const CLEARANCES: [&str; 6] = ["fine", "medium", "coarse", "close", "normal", "loose"];

/// No printer makes a check bar longer or shorter than by this factor: such a figure is another bar's, or inches.
const MOST_STRETCH: f64 = 2.0;

/// Checks that every id is unique, every reference exists and every number is usable.
///
/// # Errors
/// The first thing that is wrong, with its key.
pub fn validate(job: &Job) -> Result<(), JobError> {
    if job.format != FORMAT {
        return Err(JobError::at("format", format!("is “{}”, which is not “{FORMAT}”", shown(&job.format))));
    }
    if job.version != VERSION {
        return Err(JobError::at("version", format!("is {}, which is not {VERSION}", job.version)));
    }
    photo(&job.photo)?;
    let ids = Ids::of(job)?;
    for (i, one) in job.holes.iter().enumerate() {
        hole(&format!("holes[{i}]"), one, &ids)?;
    }
    for (i, point) in job.points.iter().enumerate() {
        pair(format_args!("points[{i}].at"), point.at.into())?;
        optional(format_args!("points[{i}].sigma_px"), point.sigma_px, positive)?;
    }
    for (i, edge) in job.edges.iter().enumerate() {
        pairs(&format!("edges[{i}].along"), edge.along.iter().map(|&at| at.into()))?;
        optional(format_args!("edges[{i}].sigma_px"), edge.sigma_px, positive)?;
    }
    for (i, one) in job.measures.iter().enumerate() {
        measure(&format!("measures[{i}]"), one, &ids)?;
    }
    for (i, one) in job.statements.iter().enumerate() {
        statement(&format!("statements[{i}]"), one, &ids)?;
    }
    for (i, one) in job.groups.iter().enumerate() {
        group(&format!("groups[{i}]"), one)?;
    }
    for (i, one) in job.contours.iter().enumerate() {
        contour(&format!("contours[{i}]"), one, &ids)?;
    }
    design(job, &ids)?;
    job.datum.as_ref().map_or(Ok(()), |one| datum(one, &ids))?;
    job.stock.as_ref().map_or(Ok(()), stock)?;
    job.tried.as_ref().map_or(Ok(()), tried)?;
    for (i, one) in job.trials.iter().enumerate() {
        trial(&format!("trials[{i}]"), one, &ids)?;
    }
    Ok(())
}

/// What an id stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Thing {
    Hole,
    Point,
    Edge,
    Measure,
    Statement,
    Group,
    Contour,
    Added,
    Trial,
}

impl Thing {
    fn list(self) -> &'static str {
        match self {
            Self::Hole => "holes",
            Self::Point => "points",
            Self::Edge => "edges",
            Self::Measure => "measures",
            Self::Statement => "statements",
            Self::Group => "groups",
            Self::Contour => "contours",
            Self::Added => "added",
            Self::Trial => "trials",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Hole => "a hole",
            Self::Point => "a point",
            Self::Edge => "an edge",
            Self::Measure => "a measure",
            Self::Statement => "a statement",
            Self::Group => "a group",
            Self::Contour => "a contour",
            Self::Added => "an added feature",
            Self::Trial => "a trial",
        }
    }
}

/// Every id of a job, with what it stands for and where.
pub(super) struct Ids<'a>(BTreeMap<&'a Id, (Thing, usize)>);

impl<'a> Ids<'a> {
    fn of(job: &'a Job) -> Result<Self, JobError> {
        let mut ids = Self(BTreeMap::new());
        ids.add(Thing::Hole, job.holes.iter().map(|one| &one.id))?;
        ids.add(Thing::Point, job.points.iter().map(|one| &one.id))?;
        ids.add(Thing::Edge, job.edges.iter().map(|one| &one.id))?;
        ids.add(Thing::Measure, job.measures.iter().map(|one| &one.id))?;
        ids.add(Thing::Statement, job.statements.iter().map(|one| &one.id))?;
        ids.add(Thing::Group, job.groups.iter().map(|one| &one.id))?;
        ids.add(Thing::Contour, job.contours.iter().map(|one| &one.id))?;
        ids.add(Thing::Added, job.added.iter().map(|one| &one.id))?;
        ids.add(Thing::Trial, job.trials.iter().map(|one| &one.id))?;
        Ok(ids)
    }

    fn add(&mut self, thing: Thing, all: impl Iterator<Item = &'a Id>) -> Result<(), JobError> {
        for (i, id) in all.enumerate() {
            let key = format!("{}[{i}].id", thing.list());
            if id.0.is_empty() {
                return Err(JobError::at(key, "is empty"));
            }
            if let Some((other, at)) = self.0.insert(id, (thing, i)) {
                let other = other.list();
                return Err(JobError::at(key, format!("“{}” is also the id of {other}[{at}]", shown(&id.0))));
            }
        }
        Ok(())
    }

    /// Refuses an id that stands for nothing, or for none of `wanted`.
    pub(super) fn refers(&self, key: impl Display, id: &Id, wanted: &[Thing]) -> Result<(), JobError> {
        let words: Vec<&str> = wanted.iter().map(|thing| thing.word()).collect();
        let words = words.join(" or ");
        match self.0.get(id) {
            Some((thing, _)) if wanted.contains(thing) => Ok(()),
            Some((thing, _)) => Err(JobError::at(
                key.to_string(),
                format!("“{}” is {}, where {words} belongs", shown(&id.0), thing.word()),
            )),
            None => Err(JobError::at(key.to_string(), format!("nothing here has the id “{}”", shown(&id.0)))),
        }
    }
}

fn photo(photo: &Photo) -> Result<(), JobError> {
    if photo.file.is_empty() {
        return Err(JobError::at("photo.file", "is empty"));
    }
    if photo.sha256.len() != 64 || !photo.sha256.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Err(JobError::at("photo.sha256", format!("“{}” is not 64 hex digits", shown(&photo.sha256))));
    }
    for (i, size) in photo.size.iter().enumerate() {
        if *size == 0 {
            return Err(JobError::at(format!("photo.size[{i}]"), "is 0, and a photo has at least one pixel"));
        }
    }
    if let Some(focal) = &photo.focal_px {
        positive("photo.focal_px.value", focal.value)?;
        positive("photo.focal_px.sigma", focal.sigma)?;
    }
    let LensBeliefs { cx, cy, k1, k2, p1, p2 } = &photo.lens;
    let named = [("cx", cx), ("cy", cy), ("k1", k1), ("k2", k2), ("p1", p1), ("p2", p2)];
    for (name, belief) in named {
        if let Some(Belief { value, sigma }) = belief {
            usable(format_args!("photo.lens.{name}.value"), *value)?;
            positive(format_args!("photo.lens.{name}.sigma"), *sigma)?;
        }
    }
    Ok(())
}

fn hole(key: &str, hole: &Hole, ids: &Ids<'_>) -> Result<(), JobError> {
    pairs(&format!("{key}.rim"), hole.rim.iter().map(|&at| at.into()))?;
    optional(format_args!("{key}.sigma_px"), hole.sigma_px, positive)?;
    hole.group.as_ref().map_or(Ok(()), |group| ids.refers(format_args!("{key}.group"), group, &[Thing::Group]))
}

fn measure(key: &str, measure: &Measure, ids: &Ids<'_>) -> Result<(), JobError> {
    let wanted: &[&[Thing]] = match measure.kind {
        MeasureKind::Centres | MeasureKind::FarRims | MeasureKind::NearRims => &[&[Thing::Hole], &[Thing::Hole]],
        MeasureKind::Diameter => &[&[Thing::Hole]],
        MeasureKind::Points => &[&[Thing::Point], &[Thing::Point]],
        MeasureKind::Edges => &[&[Thing::Edge], &[Thing::Edge]],
        // Whichever was named first, it is the same length.
        MeasureKind::RimToEdge => &[&[Thing::Hole, Thing::Edge], &[Thing::Hole, Thing::Edge]],
    };
    let between = format!("{key}.between");
    if measure.between.len() != wanted.len() {
        let (found, needed) = (measure.between.len(), wanted.len());
        return Err(JobError::at(between, format!("names {found}, and a measure of this kind needs {needed}")));
    }
    for (i, (id, wanted)) in measure.between.iter().zip(wanted).enumerate() {
        ids.refers(format_args!("{between}[{i}]"), id, wanted)?;
    }
    if let [one, other] = measure.between.as_slice() {
        if one == other {
            return Err(JobError::at(between, format!("goes from “{}” to itself", shown(&one.0))));
        }
        let thing = |id: &Id| ids.0.get(id).map(|(thing, _)| *thing);
        if measure.kind == MeasureKind::RimToEdge && thing(one) == thing(other) {
            return Err(JobError::at(between, "needs one hole and one edge"));
        }
    }
    let most = if measure.kind == MeasureKind::Diameter { Most::DIAMETER } else { Most::LENGTH };
    most.check_positive(format_args!("{key}.mm"), measure.mm)?;
    positive(format_args!("{key}.sigma_mm"), measure.sigma_mm)
}

fn statement(key: &str, statement: &Statement, ids: &Ids<'_>) -> Result<(), JobError> {
    let between = format!("{key}.between");
    let [edge, rest @ ..] = statement.between.as_slice() else {
        return Err(JobError::at(between, "names nothing"));
    };
    let (wanted, most) = match statement.kind {
        StatementKind::Square => (Thing::Edge, 1),
        StatementKind::Straight => (Thing::Point, usize::MAX),
    };
    if rest.is_empty() || rest.len() > most {
        let needed = match statement.kind {
            StatementKind::Square => "a square corner needs two edges",
            StatementKind::Straight => "a straight edge needs itself and at least one point",
        };
        return Err(JobError::at(between, format!("names {}, and {needed}", statement.between.len())));
    }
    ids.refers(format_args!("{between}[0]"), edge, &[Thing::Edge])?;
    for (i, id) in rest.iter().enumerate() {
        ids.refers(format_args!("{between}[{}]", i + 1), id, &[wanted])?;
        if statement.between[..=i].contains(id) {
            return Err(JobError::at(format!("{between}[{}]", i + 1), format!("names “{}” twice", shown(&id.0))));
        }
    }
    positive(format_args!("{key}.sigma_mm"), statement.sigma_mm)
}

fn group(key: &str, group: &Group) -> Result<(), JobError> {
    if let Some(clearance) = group.clearance.as_deref()
        && !CLEARANCES.contains(&clearance)
    {
        let known = CLEARANCES.join(", ");
        let found = shown(clearance);
        return Err(JobError::at(
            format!("{key}.clearance"),
            format!("“{found}” is not known here; known are {known}"),
        ));
    }
    if let Some(fastener) = group.fastener.as_deref()
        && !fastener.chars().any(char::is_numeric)
    {
        let found = shown(fastener);
        let problem = format!("“{found}” is no fastener: a size has a figure in it, as M6, #10 and 1/4 in have");
        return Err(JobError::at(format!("{key}.fastener"), problem));
    }
    optional(format_args!("{key}.finished_mm"), group.finished_mm, |key, mm| Most::DIAMETER.check_positive(key, mm))?;
    optional(format_args!("{key}.same_size_sigma_mm"), group.same_size_sigma_mm, positive)
}

fn contour(key: &str, contour: &Contour, ids: &Ids<'_>) -> Result<(), JobError> {
    if contour.role == Role::Outer && !contour.keep {
        return Err(JobError::at(format!("{key}.keep"), "is false, and only an opening can be left out"));
    }
    for (i, node) in contour.nodes.iter().enumerate() {
        let node_key = format!("{key}.nodes[{i}]");
        pair(format_args!("{node_key}.at"), node.at.into())?;
        optional(format_args!("{node_key}.through"), node.through.map(Into::into), pair)?;
        optional(format_args!("{node_key}.lever_in"), node.lever_in.map(Into::into), pair)?;
        optional(format_args!("{node_key}.lever_out"), node.lever_out.map(Into::into), pair)?;
    }
    for (list, all) in [("agreed", &contour.agreed), ("refused", &contour.refused)] {
        for (i, one) in all.iter().enumerate() {
            meant(&format!("{key}.{list}[{i}]"), one, ids)?;
        }
    }
    Ok(())
}

fn meant(key: &str, meant: &Meant, ids: &Ids<'_>) -> Result<(), JobError> {
    let (found, needed) = (meant.of.len(), meant.kind.pieces());
    if found != needed {
        return Err(JobError::at(format!("{key}.of"), format!("names {found}, and this kind needs {needed}")));
    }
    pairs(&format!("{key}.of"), meant.of.iter().map(|&at| at.into()))?;
    let about_hole = meant.kind == MeantKind::Concentric;
    match &meant.hole {
        Some(hole) if about_hole => ids.refers(format_args!("{key}.hole"), hole, &[Thing::Hole])?,
        None if !about_hole => {}
        Some(_) => return Err(JobError::at(format!("{key}.hole"), "is there, and this kind is about no hole")),
        None => return Err(JobError::at(format!("{key}.hole"), "is missing, and this kind needs one")),
    }
    match meant.mm {
        Some(mm) if meant.kind.has_figure() => positive(format_args!("{key}.mm"), mm),
        None if !meant.kind.has_figure() => Ok(()),
        Some(_) => Err(JobError::at(format!("{key}.mm"), "is there, and this kind has no figure")),
        None => Err(JobError::at(format!("{key}.mm"), "is missing, and this kind needs a figure")),
    }
}

fn datum(datum: &Datum, ids: &Ids<'_>) -> Result<(), JobError> {
    ids.refers("datum.origin", &datum.origin, &[Thing::Hole, Thing::Point])?;
    ids.refers("datum.along", &datum.along, &[Thing::Hole, Thing::Point])?;
    if datum.origin == datum.along {
        return Err(JobError::at("datum.along", "is the origin itself, and x has to run towards another place"));
    }
    Ok(())
}

fn stock(stock: &Stock) -> Result<(), JobError> {
    optional("stock.thickness_mm", stock.thickness_mm, |key, mm| Most::THICKNESS.check_positive(key, mm))?;
    optional("stock.kerf_mm", stock.kerf_mm, |key, mm| Most::KERF.check_zero_or_more(key, mm))?;
    let tolerance = |key, mm| Most::CUT_TOLERANCE.check_zero_or_more(key, mm);
    optional("stock.cut_tolerance_mm", stock.cut_tolerance_mm, tolerance)?;
    optional("stock.gap_mm", stock.gap_mm, |key, mm| Most::GAP.check_zero_or_more(key, mm))?;
    let sides = stock.sheet_mm.iter().flatten().enumerate();
    sides.into_iter().try_for_each(|(i, mm)| Most::SHEET.check_positive(format_args!("stock.sheet_mm[{i}]"), *mm))?;
    match stock.copies {
        Some(n) if n == 0 || n > MOST_COPIES => {
            Err(JobError::at("stock.copies", format!("is {n}, and one file holds 1 to {MOST_COPIES}")))
        }
        _ => Ok(()),
    }
}

fn tried(tried: &Tried) -> Result<(), JobError> {
    for (key, bar) in [("tried.bar_across_mm", tried.bar_across_mm), ("tried.bar_up_mm", tried.bar_up_mm)] {
        let Some([should_be, reads]) = bar else { continue };
        positive(format_args!("{key}[0]"), should_be)?;
        positive(format_args!("{key}[1]"), reads)?;
        if !(1.0 / MOST_STRETCH..=MOST_STRETCH).contains(&(reads / should_be)) {
            let text = format!("reads {reads} where it should be {should_be}, which no printer does");
            return Err(JobError::at(key, text));
        }
    }
    Ok(())
}

fn trial(key: &str, trial: &Trial, ids: &Ids<'_>) -> Result<(), JobError> {
    ids.refers(format_args!("{key}.hole"), &trial.hole, &[Thing::Hole])?;
    if trial.round == 0 {
        return Err(JobError::at(format!("{key}.round"), "is 0, and the first plate that is tried is 1"));
    }
    optional(format_args!("{key}.towards_deg"), trial.towards_deg, usable)?;
    optional(format_args!("{key}.mm"), trial.mm, zero_or_more)?;
    optional(format_args!("{key}.at_mm"), trial.at_mm.map(Into::into), pair)
}

pub(super) fn optional<K: Display, T>(
    key: K,
    value: Option<T>,
    check: impl Fn(K, T) -> Result<(), JobError>,
) -> Result<(), JobError> {
    value.map_or(Ok(()), |value| check(key, value))
}

fn pairs(key: &str, all: impl Iterator<Item = [f64; 2]>) -> Result<(), JobError> {
    all.enumerate().try_for_each(|(i, at)| pair(format_args!("{key}[{i}]"), at))
}

pub(super) fn pair(key: impl Display, at: [f64; 2]) -> Result<(), JobError> {
    at.into_iter().enumerate().try_for_each(|(i, value)| usable(format_args!("{key}[{i}]"), value))
}

/// Finite, and no larger than anything on a bench.
pub(super) fn usable(key: impl Display, value: f64) -> Result<(), JobError> {
    if !value.is_finite() {
        return Err(JobError::at(key.to_string(), "is not a number"));
    }
    if value.abs() > LARGEST_FIGURE {
        return Err(JobError::at(key.to_string(), format!("is {value:e}, which is more than anything here can be")));
    }
    Ok(())
}

pub(super) fn zero_or_more(key: impl Display, value: f64) -> Result<(), JobError> {
    usable(&key, value)?;
    if value < 0.0 {
        return Err(JobError::at(key.to_string(), format!("is {value}, and it cannot be less than 0")));
    }
    Ok(())
}

pub(super) fn positive(key: impl Display, value: f64) -> Result<(), JobError> {
    usable(&key, value)?;
    if value <= 0.0 {
        return Err(JobError::at(key.to_string(), format!("is {value}, and it has to be more than 0")));
    }
    if value < SMALLEST_FIGURE {
        return Err(JobError::at(key.to_string(), format!("is {value:e}, which is less than anything here can be")));
    }
    Ok(())
}
