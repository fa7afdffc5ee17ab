//! A contour made of what was measured along it.
//!
//! Pieces that follow each other and were seen make a run, whose measured places are made fair together; the ends of a run
//! are where its last line or arc passes its last node. Between runs stand the pieces that are as drawn: by choice, or
//! because no edge was seen.

use super::meant::{self, Agreed, held};
use super::path::between_nodes;
use super::places::Beside;
use super::shape::shapes;
use super::{Making, OwnedCut, Parts, contour_fit_by, is_in_reach};
use crate::camera::PlateMap;
use crate::edge::FollowedPiece;
use crate::fair::{EdgePoint, Faired, Wanted, fair};
use crate::geom::{Gap, Segment};
use crate::job::Contour;
use crate::seen::ContourSeen;
use crate::solution::{ContourFit, FairPiece, HoleFit, MeasuredContour};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use crate::tolerance::{CUT_CHORD_MM, DRAWN_CHORD_MM, SAME_PLACE_MM};

/// Places nearer to a pinned node than this give way to it, px.
const PINNED_ROOM_PX: f64 = 12.0;

/// A measured place with where it comes from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Given {
    pub(super) point: EdgePoint,
    pub(super) photo: PhotoPoint,
    pub(super) node: usize,
}

/// A run of pieces that were seen.
pub(super) struct Run {
    /// The nodes of the job at which its pieces start.
    pub(super) pieces: Vec<usize>,
    pub(super) ring: bool,
    pub(super) given: Vec<Given>,
    /// By the places alone, and with what was agreed.
    pub(super) free: Faired,
    pub(super) faired: Faired,
    /// Its lines and arcs, led on to its nodes.
    pub(super) segments: Vec<Segment>,
}

/// The contour as it was measured, with what may have been meant if that is `suggested`; `None` where a node has no place on
/// the plate, or there are too few.
pub(super) fn contour_fit(
    contour: &Contour,
    seen: &ContourSeen,
    map: &PlateMap,
    holes: &[HoleFit],
    Making { chord_mm, suggested }: Making,
) -> Option<ContourFit> {
    let tolerance_mm = if chord_mm.is_finite() { chord_mm.max(SAME_PLACE_MM) } else { CUT_CHORD_MM };
    let nodes = places_of(contour, map)?;
    let drawing = Drawing { contour, seen, map, nodes: &nodes };
    let Fairing { mut runs, is_seen, agreed } = drawing.fairing(holes, tolerance_mm);
    for run in &mut runs {
        run.segments = drawing.led_on(run);
    }
    let pieces = fair_pieces(&runs);
    let meant = |pieces: &[FairPiece]| meant::suggestions(contour, map, holes, &runs, &agreed, pieces);
    let suggestions = if suggested { meant(&pieces) } else { Vec::new() };
    let beside: Vec<Beside> = runs.iter().map(|run| Beside::new(run, seen.face())).collect();
    let worst = |of: fn(&Faired) -> f64| runs.iter().map(|run| of(&run.faired)).fold(0.0, f64::max);
    let missed = runs.iter().zip(&beside).map(|(run, beside)| {
        let out_mm = beside.stands_out_mm(run, |at| drawing.reach_mm(at));
        beside.passed_by_mm(run.faired.noise_mm).max(out_mm)
    });
    let mut measured = MeasuredContour {
        tolerance_mm: worst(|faired| faired.tolerance_mm).max(tolerance_mm),
        noise_mm: worst(|faired| faired.noise_mm),
        worst_mm: missed.fold(worst(|faired| faired.worst_mm), f64::max),
        places: beside.iter().flat_map(|beside| beside.places.iter().copied()).collect(),
        unseen: drawing.unseen(&runs, &is_seen),
        far_nodes: Vec::new(),
        agreed: agreed.into_iter().map(|agreed| agreed.fit(&pieces)).collect(),
        pieces,
        suggestions,
    };
    if runs.is_empty() {
        let place = |photo| map.plate_from_photo(photo).filter(is_in_reach);
        return Some(ContourFit { measured: Some(measured), ..contour_fit_by(contour, place, chord_mm) });
    }
    let (cut, drawn) = drawing.cut(&runs, &is_seen, tolerance_mm);
    measured.far_nodes = drawing.far_nodes(&cut.segments);
    let is_ring = contour.piece_count() == nodes.len();
    let ends = cut.segments.last().zip(cut.segments.first()).filter(|_| !is_ring);
    let gaps = ends.map(|(last, first)| Gap { from: last.to, to: first.from }).into_iter().collect();
    Some(Parts { nodes, pieces: drawn, gaps, cut, closed: is_ring, measured: Some(measured) }.joined(contour))
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
pub(super) struct Drawing<'a> {
    pub(super) contour: &'a Contour,
    pub(super) seen: &'a ContourSeen,
    pub(super) map: &'a PlateMap,
    pub(super) nodes: &'a [PlatePoint],
}

impl Drawing<'_> {
    pub(super) fn followed(&self, piece: usize) -> Option<&FollowedPiece> {
        self.seen.pieces.get(piece)?.as_ref()
    }

    /// The node that a piece ends at.
    pub(super) fn end_of(&self, piece: usize) -> usize {
        (piece + 1) % self.nodes.len()
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
