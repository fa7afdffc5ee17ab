//! Figures and relations: those that were agreed found again among the lines and arcs, and those that may have been
//! meant as well.

use super::followed::{Run, middle};
use crate::camera::PlateMap;
use crate::fair::{self, EdgePoint, Faired, PrimitiveKind, RoundThing, SuggestionKind};
use crate::job::{Contour, Meant, MeantKind};
use crate::solution::{AgreedFit, Change, FairPiece, HoleFit, SuggestionFit};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use std::f64::consts::FRAC_PI_2;

/// A line or an arc is found again by a place that lies no farther from it than this, mm.
const FOUND_MM: f64 = 1.0;

/// Something that was agreed.
pub(super) struct Agreed {
    meant: Meant,
    /// In which run, and what it says there.
    found: Option<(usize, SuggestionKind)>,
    /// Where the lines and arcs that it is about lie.
    middles: Vec<PlatePoint>,
    is_held: bool,
}

impl Agreed {
    pub(super) fn fit(self, pieces: &[FairPiece]) -> AgreedFit {
        let Self { meant, middles, is_held, .. } = self;
        AgreedFit { meant, pieces: middles.into_iter().filter_map(|at| piece_at(pieces, at)).collect(), is_held }
    }
}

fn round_things(holes: &[HoleFit]) -> Vec<RoundThing> {
    holes.iter().map(|hole| RoundThing { centre: hole.centre, sigma_mm: hole.sigma_mm() }).collect()
}

fn points(run: &Run) -> Vec<EdgePoint> {
    run.given.iter().map(|given| given.point).collect()
}

/// Holds the runs to what the contour says was agreed.
pub(super) fn held(contour: &Contour, map: &PlateMap, holes: &[HoleFit], runs: &mut [Run]) -> Vec<Agreed> {
    let mut all: Vec<Agreed> = contour
        .agreed
        .iter()
        .map(|meant| {
            let found = found(meant, map, holes, runs);
            let middles = found.iter().flat_map(|(run, kind)| middles(&runs[*run].free, *kind)).collect();
            Agreed { meant: meant.clone(), found, middles, is_held: false }
        })
        .collect();
    let round = round_things(holes);
    for (number, run) in runs.iter_mut().enumerate() {
        let own: Vec<&mut Agreed> =
            all.iter_mut().filter(|agreed| agreed.found.is_some_and(|(run, _)| run == number)).collect();
        let kinds: Vec<SuggestionKind> = own.iter().filter_map(|agreed| Some(agreed.found?.1)).collect();
        if kinds.is_empty() {
            continue;
        }
        let (faired, is_held) = fair::agreed(&points(run), &run.free, &round, &kinds);
        run.faired = faired;
        own.into_iter().zip(is_held).for_each(|(agreed, is_held)| agreed.is_held = is_held);
    }
    all
}

/// In which run, and of which of its primitives, something is said.
fn found(meant: &Meant, map: &PlateMap, holes: &[HoleFit], runs: &[Run]) -> Option<(usize, SuggestionKind)> {
    let of = meant.of.iter().map(|at| primitive_at(runs, map.plate_from_photo(*at)?)).collect::<Option<Vec<_>>>()?;
    let (run, first) = *of.first()?;
    let second = of.get(1).map(|(_, other)| *other);
    if of.iter().any(|(other, _)| *other != run) || second == Some(first) {
        return None;
    }
    let is_arc = |k: usize| matches!(runs[run].free.primitives[k].kind, PrimitiveKind::Arc { .. });
    let both = second.map(|second| (first.min(second), first.max(second)));
    let kind = match meant.kind {
        MeantKind::EqualRadii => SuggestionKind::EqualRadii { arcs: both?, radius_mm: 0.0 },
        MeantKind::Concentric => {
            let hole = holes.iter().position(|hole| meant.hole.as_ref() == Some(&hole.id))?;
            SuggestionKind::Concentric { arc: first, hole }
        }
        MeantKind::Parallel => SuggestionKind::Parallel { lines: both? },
        MeantKind::Square => SuggestionKind::Square { lines: both? },
        MeantKind::RoundRadius => SuggestionKind::RoundRadius { arc: first, radius_mm: meant.mm? },
        MeantKind::RoundDistance => SuggestionKind::RoundDistance { lines: both?, mm: meant.mm? },
    };
    let wants_arc = matches!(meant.kind, MeantKind::EqualRadii | MeantKind::Concentric | MeantKind::RoundRadius);
    of.iter().all(|(_, k)| is_arc(*k) == wants_arc).then_some((run, kind))
}

/// The run and the primitive that pass a place.
fn primitive_at(runs: &[Run], at: PlatePoint) -> Option<(usize, usize)> {
    let of_run = |(number, run): (usize, &Run)| {
        let distance = move |(k, primitive): (usize, &fair::Primitive)| {
            let (start, count) = primitive.segments;
            let own = run.free.contour.segments.iter().skip(start).take(count);
            (own.map(|segment| segment.distance_mm(at)).fold(f64::INFINITY, f64::min), (number, k))
        };
        run.free.primitives.iter().enumerate().map(distance).collect::<Vec<_>>()
    };
    let all = runs.iter().enumerate().flat_map(of_run);
    all.filter(|(mm, _)| *mm < FOUND_MM).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, found)| found)
}

fn middles(free: &Faired, kind: SuggestionKind) -> Vec<PlatePoint> {
    let middle_of = |k: usize| {
        let (start, count) = free.primitives[k].segments;
        middle(free.contour.segments.get(start..start + count).unwrap_or_default())
    };
    kind.pieces().into_iter().map(middle_of).collect()
}

/// The piece that passes a place.
fn piece_at(pieces: &[FairPiece], at: PlatePoint) -> Option<usize> {
    let distance = |piece: &FairPiece| {
        let places = piece.along.iter().chain([&piece.middle]);
        places.map(|place| place.distance(at)).fold(f64::INFINITY, f64::min)
    };
    (0..pieces.len()).min_by(|a, b| distance(&pieces[*a]).total_cmp(&distance(&pieces[*b])))
}

/// What may have been meant beside what was agreed, but for what was refused.
pub(super) fn suggestions(
    contour: &Contour,
    map: &PlateMap,
    holes: &[HoleFit],
    runs: &[Run],
    agreed: &[Agreed],
    pieces: &[FairPiece],
) -> Vec<SuggestionFit> {
    let round = round_things(holes);
    let refused: Vec<(usize, SuggestionKind)> =
        contour.refused.iter().filter_map(|meant| found(meant, map, holes, runs)).collect();
    let mut all = Vec::new();
    for (number, run) in runs.iter().enumerate() {
        let held = agreed.iter().filter(|agreed| agreed.is_held).filter_map(|agreed| agreed.found);
        let held: Vec<SuggestionKind> = held.filter(|(run, _)| *run == number).map(|(_, kind)| kind).collect();
        for suggestion in fair::suggestions(&points(run), &run.free, &round, &held) {
            if refused.iter().any(|(run, kind)| *run == number && says_the_same(*kind, suggestion.kind)) {
                continue;
            }
            let middles = middles(&run.free, suggestion.kind);
            let of: Option<Vec<PhotoPoint>> = middles.iter().map(|at| map.photo_from_plate(*at)).collect();
            let own: Vec<usize> = middles.iter().filter_map(|at| piece_at(pieces, *at)).collect();
            let change = change(suggestion.kind, &own.iter().map(|k| &pieces[*k]).collect::<Vec<_>>(), &round);
            let Some((of, change)) = of.zip(change) else { continue };
            let meant = meant(suggestion.kind, of, holes);
            let (moves_mm, worst_mm) = (suggestion.moves_mm, suggestion.worst_mm);
            all.push(SuggestionFit { meant, pieces: own, change, moves_mm, worst_mm });
        }
    }
    all
}

fn says_the_same(one: SuggestionKind, other: SuggestionKind) -> bool {
    match (one, other) {
        // What radius it is follows from the points.
        (SuggestionKind::EqualRadii { arcs: a, .. }, SuggestionKind::EqualRadii { arcs: b, .. }) => a == b,
        _ => one == other,
    }
}

fn meant(kind: SuggestionKind, of: Vec<PhotoPoint>, holes: &[HoleFit]) -> Meant {
    let (kind, hole, mm) = match kind {
        SuggestionKind::EqualRadii { .. } => (MeantKind::EqualRadii, None, None),
        SuggestionKind::Concentric { hole, .. } => (MeantKind::Concentric, holes.get(hole), None),
        SuggestionKind::Parallel { .. } => (MeantKind::Parallel, None, None),
        SuggestionKind::Square { .. } => (MeantKind::Square, None, None),
        SuggestionKind::RoundRadius { radius_mm, .. } => (MeantKind::RoundRadius, None, Some(radius_mm)),
        SuggestionKind::RoundDistance { mm, .. } => (MeantKind::RoundDistance, None, Some(mm)),
    };
    Meant { kind, of, hole: hole.map(|hole| hole.id.clone()), mm }
}

/// What a suggestion changes of the pieces that it is about.
fn change(kind: SuggestionKind, about: &[&FairPiece], round: &[RoundThing]) -> Option<Change> {
    let radius = |piece: &&FairPiece| match piece.kind {
        PrimitiveKind::Arc { radius_mm, .. } => Some(radius_mm),
        PrimitiveKind::Line => None,
    };
    let direction = |piece: &FairPiece| -> Option<PlateVec> { (*piece.along.last()? - *piece.along.first()?).unit() };
    match kind {
        SuggestionKind::EqualRadii { radius_mm, .. } | SuggestionKind::RoundRadius { radius_mm, .. } => {
            Some(Change::Radius { from_mm: about.iter().filter_map(radius).collect(), to_mm: radius_mm })
        }
        SuggestionKind::Concentric { hole, .. } => match about.first()?.kind {
            PrimitiveKind::Arc { centre, .. } => {
                Some(Change::Centre { off_mm: centre.distance(round.get(hole)?.centre) })
            }
            PrimitiveKind::Line => None,
        },
        SuggestionKind::Parallel { .. } | SuggestionKind::Square { .. } => {
            let (one, other) = (direction(about.first()?)?, direction(about.get(1)?)?);
            let angle = one.cross(other).atan2(one.dot(other));
            let off = angle - FRAC_PI_2 * (angle / FRAC_PI_2).round();
            Some(Change::Angle { off_deg: off.abs().to_degrees() })
        }
        SuggestionKind::RoundDistance { mm, .. } => {
            let (one, other) = (about.first()?, about.get(1)?);
            let between = other.middle - one.middle;
            let apart = |along: PlateVec| along.cross(between).abs();
            let from_mm = 0.5 * (apart(direction(one)?) + apart(direction(other)?));
            Some(Change::Distance { from_mm, to_mm: mm })
        }
    }
}
