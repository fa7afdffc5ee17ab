//! A contour made of what was measured along it.
//!
//! Pieces that follow each other and were seen make a run, whose measured places are made fair together; the ends of a run
//! are where its last line or arc passes its last node. Between runs stand the pieces that are as drawn: by choice, or
//! because no edge was seen.

use super::meant::{self, Agreed, held};
use super::path::between_nodes;
use super::shape::shapes;
use super::station::{Chain, Station, station};
use super::{OwnedCut, Parts, contour_fit_by, is_in_reach};
use crate::camera::PlateMap;
use crate::edge::{FaceSide, FollowedPiece, Rejection};
use crate::fair::{EdgePoint, Faired, Wanted, fair};
use crate::geom::{Gap, Segment};
use crate::job::{Contour, NodeKind, Piece};
use crate::seen::ContourSeen;
use crate::solution::{ContourFit, EdgePlace, FairPiece, HoleFit, MeasuredContour, SuggestionFit, Unseen};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use crate::tolerance::{CUT_CHORD_MM, DRAWN_CHORD_MM, SAME_PLACE_MM};
use std::f64::consts::PI;

/// Measured places lie so far apart along an edge that is seen, px; and near its nodes so much may have none: at a corner.
const STEP_PX: f64 = 5.0;
const CORNER_PX: f64 = 24.0;

/// A piece was not seen where less than this share of its places were measured. A piece shorter than this, px, is left to its
/// neighbours.
const SEEN_SHARE: f64 = 0.4;
const SHORT_PX: f64 = 60.0;

/// Measured places farther apart than this leave a stretch where nothing was seen, px: more than a corner does.
const UNSEEN_PX: f64 = 48.0;

/// Places nearer to a pinned node than this give way to it, px.
const PINNED_ROOM_PX: f64 = 12.0;

/// An arc that is led on to a node stays within this, rad.
const SWEEP_MAX_RAD: f64 = 5.8;

/// A measured place with where it comes from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Given {
    pub(super) point: EdgePoint,
    photo: PhotoPoint,
    node: usize,
}

/// A run of pieces that were seen.
pub(super) struct Run {
    /// The nodes of the job at which its pieces start.
    pieces: Vec<usize>,
    ring: bool,
    pub(super) given: Vec<Given>,
    /// By the places alone, and with what was agreed.
    pub(super) free: Faired,
    pub(super) faired: Faired,
    /// Its lines and arcs, led on to its nodes.
    segments: Vec<Segment>,
}

/// The contour as it was measured; `None` where a node has no place on the plate, or there are too few.
pub(super) fn contour_fit(
    contour: &Contour,
    seen: &ContourSeen,
    map: &PlateMap,
    holes: &[HoleFit],
    chord_mm: f64,
) -> Option<ContourFit> {
    let tolerance_mm = if chord_mm.is_finite() { chord_mm.max(SAME_PLACE_MM) } else { CUT_CHORD_MM };
    let nodes = places_of(contour, map)?;
    let drawing = Drawing { contour, seen, map, nodes: &nodes };
    let Fairing { mut runs, is_seen, agreed } = drawing.fairing(holes, tolerance_mm);
    for run in &mut runs {
        run.segments = drawing.led_on(run);
    }
    let pieces = fair_pieces(&runs);
    let places: Vec<EdgePlace> = runs.iter().flat_map(|run| places(run, seen.face)).collect();
    let worst = |of: fn(&Faired) -> f64| runs.iter().map(|run| of(&run.faired)).fold(0.0, f64::max);
    let measured = MeasuredContour {
        tolerance_mm: worst(|faired| faired.tolerance_mm).max(tolerance_mm),
        noise_mm: worst(|faired| faired.noise_mm),
        worst_mm: worst(|faired| faired.worst_mm).max(passed_by_mm(&places)),
        places,
        unseen: drawing.unseen(&runs, &is_seen),
        agreed: agreed.into_iter().map(|agreed| agreed.fit(&pieces)).collect(),
        pieces,
        suggestions: Vec::new(),
    };
    if runs.is_empty() {
        let place = |photo| map.plate_from_photo(photo).filter(is_in_reach);
        return Some(ContourFit { measured: Some(measured), ..contour_fit_by(contour, place, chord_mm) });
    }
    let (cut, drawn) = drawing.cut(&runs, &is_seen, tolerance_mm);
    let is_ring = contour.piece_count() == nodes.len();
    let ends = cut.segments.last().zip(cut.segments.first()).filter(|_| !is_ring);
    let gaps = ends.map(|(last, first)| Gap { from: last.to, to: first.from }).into_iter().collect();
    Some(Parts { nodes, pieces: drawn, gaps, cut, closed: is_ring, measured: Some(measured) }.joined(contour))
}

/// What may have been meant with the contour as it was measured.
pub(super) fn suggestions(
    contour: &Contour,
    seen: &ContourSeen,
    map: &PlateMap,
    holes: &[HoleFit],
    tolerance_mm: f64,
) -> Vec<SuggestionFit> {
    let Some(nodes) = places_of(contour, map) else { return Vec::new() };
    let drawing = Drawing { contour, seen, map, nodes: &nodes };
    let Fairing { runs, agreed, .. } = drawing.fairing(holes, tolerance_mm);
    meant::suggestions(contour, map, holes, &runs, &agreed, &fair_pieces(&runs))
}

/// Where the nodes are on the plate; `None` where one is not in its reach.
fn places_of(contour: &Contour, map: &PlateMap) -> Option<Vec<PlatePoint>> {
    contour.nodes.iter().map(|node| map.plate_from_photo(node.at).filter(is_in_reach)).collect()
}

/// The runs of a contour, made fair.
struct Fairing {
    runs: Vec<Run>,
    /// For each piece whether it is in one of them.
    is_seen: Vec<bool>,
    agreed: Vec<Agreed>,
}

/// A contour with what was seen of it.
struct Drawing<'a> {
    contour: &'a Contour,
    seen: &'a ContourSeen,
    map: &'a PlateMap,
    nodes: &'a [PlatePoint],
}

impl Drawing<'_> {
    fn followed(&self, piece: usize) -> Option<&FollowedPiece> {
        self.seen.pieces.get(piece)?.as_ref()
    }

    /// The node that a piece ends at.
    fn end_of(&self, piece: usize) -> usize {
        (piece + 1) % self.nodes.len()
    }

    /// The edge of a piece was seen, or the piece is so short that its neighbours tell where it lies.
    fn is_seen(&self, piece: usize) -> bool {
        let nodes = &self.contour.nodes;
        let length_px = nodes[piece].at.distance(nodes[self.end_of(piece)].at);
        self.followed(piece).is_some_and(|followed| {
            let wanted = SEEN_SHARE * (length_px - 2.0 * CORNER_PX) / STEP_PX;
            length_px < SHORT_PX || followed.points.len() as f64 >= wanted
        })
    }

    /// Pieces of a sort that follow each other; of a closed contour the first stretch starts behind a piece of another
    /// sort.
    fn stretches(&self, is_wanted: impl Fn(usize) -> bool) -> Vec<Vec<usize>> {
        let count = self.contour.piece_count();
        let is_closed = count == self.nodes.len();
        let start = (0..count).find(|piece| !is_wanted(*piece)).filter(|_| is_closed).unwrap_or(0);
        let mut stretches: Vec<Vec<usize>> = vec![Vec::new()];
        for piece in (0..count).map(|step| (start + step) % count) {
            match stretches.last_mut() {
                Some(stretch) if is_wanted(piece) => stretch.push(piece),
                _ => stretches.push(Vec::new()),
            }
        }
        stretches.retain(|stretch| !stretch.is_empty());
        stretches
    }

    /// The measured places of a run, with the nodes that are pinned.
    fn given(&self, pieces: &[usize], ring: bool) -> Vec<Given> {
        let pin = |node: usize| {
            let photo = self.contour.nodes[node].at;
            let point = EdgePoint { at: self.nodes[node], sigma_mm: 0.0, pinned: true };
            self.contour.nodes[node].pinned.then_some(Given { point, photo, node })
        };
        let mut given = Vec::new();
        for piece in pieces.iter().copied() {
            given.extend(pin(piece));
            let ends = [piece, self.end_of(piece)].map(|node| &self.contour.nodes[node]);
            let has_room = |at: PhotoPoint| !ends.iter().any(|end| end.pinned && end.at.distance(at) < PINNED_ROOM_PX);
            let points = self.followed(piece).into_iter().flat_map(|followed| &followed.points);
            given.extend(points.filter(|point| has_room(point.at)).filter_map(|point| {
                let at = self.map.plate_from_photo(point.at).filter(is_in_reach)?;
                let sigma_mm = point.sigma_px / self.map.px_per_mm(at);
                Some(Given { point: EdgePoint { at, sigma_mm, pinned: false }, photo: point.at, node: piece })
            }));
        }
        if !ring && let Some(last) = pieces.last() {
            given.extend(pin(self.end_of(*last)).map(|end| Given { node: *last, ..end }));
        }
        given
    }

    fn run(&self, pieces: Vec<usize>, tolerance_mm: f64) -> Option<Run> {
        let ring = pieces.len() == self.nodes.len();
        let given = self.given(&pieces, ring);
        let points: Vec<EdgePoint> = given.iter().map(|given| given.point).collect();
        let wanted = Wanted { closed: ring, tolerance_mm, counter_clockwise: None };
        let free = fair(&points, &wanted)?;
        Some(Run { pieces, ring, given, faired: free.clone(), free, segments: Vec::new() })
    }

    fn fairing(&self, holes: &[HoleFit], tolerance_mm: f64) -> Fairing {
        let mut is_seen: Vec<bool> = (0..self.contour.piece_count()).map(|piece| self.is_seen(piece)).collect();
        let mut runs = Vec::new();
        for pieces in self.stretches(|piece| is_seen[piece]) {
            match self.run(pieces.clone(), tolerance_mm) {
                Some(run) => runs.push(run),
                None => pieces.into_iter().for_each(|piece| is_seen[piece] = false),
            }
        }
        let agreed = held(self.contour, self.map, holes, &mut runs);
        Fairing { runs, is_seen, agreed }
    }

    /// The lines and arcs of a run, from its first node to its last.
    fn led_on(&self, run: &Run) -> Vec<Segment> {
        let mut segments = run.faired.contour.segments.clone();
        let (Some(first), Some(last)) = (run.pieces.first(), run.pieces.last()) else { return segments };
        let [start, end] = [*first, self.end_of(*last)];
        if !run.ring {
            if !self.contour.nodes[start].pinned
                && let Some(segment) = segments.first_mut()
            {
                *segment = led_to(segment.reversed(), self.nodes[start]).reversed();
            }
            if !self.contour.nodes[end].pinned
                && let Some(segment) = segments.last_mut()
            {
                *segment = led_to(*segment, self.nodes[end]);
            }
        }
        segments
    }

    /// All of the contour, and for each node the way to the next.
    fn cut(&self, runs: &[Run], is_seen: &[bool], tolerance_mm: f64) -> (OwnedCut, Vec<Vec<PlatePoint>>) {
        let mut drawn = vec![Vec::new(); self.nodes.len()];
        let mut by_start: Vec<(usize, OwnedCut)> = Vec::new();
        for run in runs {
            let starts = run.pieces.iter().copied();
            let last = run.pieces.last().map(|piece| self.end_of(*piece)).filter(|_| !run.ring);
            let nodes: Vec<PlatePoint> = starts.chain(last).map(|node| self.nodes[node]).collect();
            for (piece, way) in run.pieces.iter().zip(between_nodes(&run.segments, &nodes, run.ring)) {
                drawn[*piece] = way;
            }
            let owners = owners(run);
            let mut cut = OwnedCut::default();
            for (segment, owner) in run.segments.iter().zip(owners) {
                cut.push(owner, (segment.in_half_turns(), 0.0));
            }
            by_start.extend(run.pieces.first().map(|first| (*first, cut)));
        }
        for pieces in self.stretches(|piece| !is_seen[piece]) {
            let chain = self.drawn_chain(&pieces, runs);
            let mut cut = OwnedCut::default();
            for (node, shape) in shapes(&chain).into_iter().filter(|(node, _)| pieces.contains(node)) {
                drawn[node] = shape.sampled(DRAWN_CHORD_MM);
                cut.push(node, shape.cut(tolerance_mm));
            }
            by_start.extend(pieces.first().map(|first| (*first, cut)));
        }
        by_start.sort_by_key(|(start, _)| *start);
        let mut whole = OwnedCut::default();
        for (_, part) in by_start {
            whole.owners.extend(part.owners);
            whole.segments.extend(part.segments);
            whole.deviation_mm = whole.deviation_mm.max(part.deviation_mm);
        }
        (whole, drawn)
    }

    /// Pieces as drawn, between the ends of the runs beside them, which lead on into smooth ones.
    fn drawn_chain(&self, pieces: &[usize], runs: &[Run]) -> Chain {
        let mut chain = Chain::default();
        let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else { return chain };
        let [start, end] = [*first, self.end_of(*last)];
        let before = runs.iter().find(|run| run.pieces.last().is_some_and(|piece| self.end_of(*piece) == start));
        let before = before.and_then(|run| run.segments.last());
        let after = runs.iter().find(|run| run.pieces.first() == Some(&end)).and_then(|run| run.segments.first());
        let beside = |at: PlatePoint| Station {
            node: usize::MAX,
            at,
            kind: NodeKind::Corner,
            next: Piece::Line,
            through: None,
            lever_in: None,
            lever_out: None,
        };
        if let Some((segment, along)) = before.and_then(|segment| Some((segment, segment.end_direction()?))) {
            chain.push(beside(segment.to - along));
        }
        let place = |photo| self.map.plate_from_photo(photo).filter(is_in_reach);
        let own = pieces.iter().copied().chain([end]).enumerate();
        for (number, node) in own {
            let moved = match (number, before, after) {
                (0, Some(segment), _) => Some(segment.to),
                (number, _, Some(segment)) if number == pieces.len() => Some(segment.from),
                _ => None,
            };
            let node_there = station(node, &self.contour.nodes[node], &place);
            let is_end = number == pieces.len();
            let next = |station: Station| Station {
                at: moved.unwrap_or(station.at),
                next: if is_end { Piece::Line } else { station.next },
                node: if is_end { usize::MAX } else { station.node },
                ..station
            };
            if let Some(station) = node_there {
                chain.push(next(station));
            }
        }
        if let Some((segment, along)) = after.and_then(|segment| Some((segment, segment.start_direction()?))) {
            chain.push(beside(segment.from + along));
        }
        chain
    }

    /// Where no edge was seen.
    fn unseen(&self, runs: &[Run], is_seen: &[bool]) -> Vec<Unseen> {
        let mut unseen = Vec::new();
        for (node, _) in
            is_seen.iter().enumerate().filter(|(piece, is_seen)| !**is_seen && self.contour.follows(*piece))
        {
            let ends = [node, self.end_of(node)];
            let [from, to] = ends.map(|node| self.nodes[node]);
            let reason = self.reason(&[node], ends.map(|node| self.contour.nodes[node].at));
            unseen.push(Unseen { node, from, to, reason, as_drawn: true });
        }
        for run in runs {
            let ring = run.ring.then(|| run.given.first()).flatten();
            let next = run.given.iter().skip(1).chain(ring);
            for (one, other) in run.given.iter().zip(next) {
                if one.photo.distance(other.photo) > UNSEEN_PX {
                    let reason = self.reason(&[one.node, other.node], [one.photo, other.photo]);
                    let (from, to) = (one.point.at, other.point.at);
                    unseen.push(Unseen { node: one.node, from, to, reason, as_drawn: false });
                }
            }
        }
        unseen.sort_by_key(|unseen| unseen.node);
        unseen
    }

    /// Why most places between two gave no point.
    fn reason(&self, pieces: &[usize], [from, to]: [PhotoPoint; 2]) -> Option<Rejection> {
        let way = to - from;
        let is_between = |at: PhotoPoint| (0.0..=way.dot(way)).contains(&(at - from).dot(way));
        let followed = pieces.iter().filter_map(|piece| self.followed(*piece));
        let rejected = followed.flat_map(|followed| &followed.rejected);
        let reasons: Vec<Rejection> =
            rejected.filter(|rejected| rejected.at.is_none_or(is_between)).map(|rejected| rejected.reason).collect();
        let count = |reason: &Rejection| reasons.iter().filter(|other| *other == reason).count();
        reasons.iter().max_by_key(|reason| count(reason)).copied()
    }
}

/// A line or an arc that ends where it passes `node`; as it is where that lies behind its start.
fn led_to(segment: Segment, node: PlatePoint) -> Segment {
    let Some((centre, radius_mm)) = segment.centre().zip(segment.radius_mm()) else {
        let Some(along) = segment.chord().unit() else { return segment };
        let length = (node - segment.from).dot(along);
        return if length > SAME_PLACE_MM {
            Segment::line(segment.from, segment.from + along * length)
        } else {
            segment
        };
    };
    let Some(outward) = (node - centre).unit() else { return segment };
    let now = segment.to - centre;
    let turn = now.cross(outward).atan2(now.dot(outward));
    let sweep = segment.sweep_rad() + turn;
    let goes_on = sweep * segment.bulge > 0.0 && sweep.abs() < SWEEP_MAX_RAD && turn.abs() < PI / 2.0;
    let to: PlatePoint = centre + outward * radius_mm;
    if goes_on { Segment::arc(segment.from, to, (sweep / 4.0).tan()) } else { segment }
}

/// For each piece of a run's contour the node of the job at which the piece that it belongs to starts.
fn owners(run: &Run) -> Vec<usize> {
    let first = run.pieces.first().copied().unwrap_or(0);
    let mut owners = vec![None; run.faired.contour.segments.len()];
    for primitive in &run.faired.primitives {
        let node = run.given.get(primitive.from_point).map_or(first, |given| given.node);
        let (start, count) = primitive.segments;
        owners.iter_mut().skip(start).take(count).for_each(|owner| *owner = Some(node));
    }
    // A bridge belongs to what it leads on.
    let mut last = first;
    let filled = owners.into_iter().map(|owner| {
        last = owner.unwrap_or(last);
        last
    });
    filled.collect()
}

/// The measured places of a run beside its cut.
fn places(run: &Run, face: FaceSide) -> Vec<EdgePlace> {
    let segments = &run.segments;
    let mut near = 0;
    // The pieces follow each other as the places do: the nearest is mostly the last one's, or next to it.
    let mut on_cut = |at: PlatePoint, off_mm: f64| {
        let count = segments.len().max(1);
        let around = (0..4).map(|step| (near + count + step - 1) % count);
        let is_nearest = |number: &usize| {
            segments.get(*number).is_some_and(|segment| (segment.distance_mm(at) - off_mm).abs() < SAME_PLACE_MM)
        };
        let distance = |number: &usize| segments[*number].distance_mm(at);
        let least = || (0..segments.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)));
        near = around.into_iter().find(is_nearest).or_else(least).unwrap_or(0);
        segments.get(near).map_or(at, |segment| segment.nearest(at))
    };
    let outward = if face == FaceSide::Left { 1.0 } else { -1.0 };
    let measured = run.given.iter().zip(&run.faired.deviations).enumerate();
    let place = |(number, (given, off_mm)): (usize, (&Given, &f64))| EdgePlace {
        at: given.point.at,
        on_cut: on_cut(given.point.at, off_mm.abs()),
        off_mm: outward * off_mm,
        node: given.node,
        took_part: !run.faired.left_out.contains(&number),
    };
    measured.filter(|(_, (given, off))| off.is_finite() && !given.point.pinned).map(place).collect()
}

/// How far off the cut lie places that follow each other and were left out, mm: single ones and pairs are no part of the edge,
/// more in a row are a part of it that was missed.
fn passed_by_mm(places: &[EdgePlace]) -> f64 {
    let missed = places.windows(3).filter(|three| three.iter().all(|place| !place.took_part));
    missed.map(|three| three.iter().map(|place| place.off_mm.abs()).fold(f64::INFINITY, f64::min)).fold(0.0, f64::max)
}

/// The lines and arcs of all runs.
fn fair_pieces(runs: &[Run]) -> Vec<FairPiece> {
    let of_run = |run: &Run| {
        let piece = |primitive: &crate::fair::Primitive| {
            let (start, count) = primitive.segments;
            let own = run.faired.contour.segments.get(start..start + count).unwrap_or_default();
            let along = crate::geom::Contour { segments: own.to_vec(), closed: false }.sampled(DRAWN_CHORD_MM);
            FairPiece {
                kind: primitive.kind,
                middle: middle(own),
                along,
                rms_mm: primitive.rms_mm,
                worst_mm: primitive.worst_mm,
                length_mm: primitive.length_mm,
            }
        };
        run.faired.primitives.iter().map(piece).collect::<Vec<_>>()
    };
    runs.iter().flat_map(of_run).collect()
}

/// The middle of a primitive's pieces: of one, or of the two halves of an arc.
pub(super) fn middle(own: &[Segment]) -> PlatePoint {
    match own {
        [one] => one.point_at(0.5),
        [first, ..] => first.to,
        [] => PlatePoint::default() + PlateVec::default(),
    }
}
