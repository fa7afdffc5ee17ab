//! The outline and the openings that the photo shows round one place on the face, each with a tick, until they become
//! contours.

use crate::files::LoadedPhoto;
use platewright_core::camera::PlateMap;
use platewright_core::edge::propose_outline;
use platewright_core::job::{Contour, Edit, Id, Job, Node, Role};
use platewright_core::space::{PhotoPoint, PlatePoint};
use std::sync::Arc;

/// From one node to the next the edge leaves the straight way by no more than this share of it, nor by more than so many px;
/// what leaves it by less than so many px is left to be followed.
const BULGE_SHARE: f64 = 0.06;
const BULGE_PX: (f64, f64) = (8.0, 20.0);

/// What was found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Proposal {
    /// The outline, then the openings.
    pub contours: Vec<ProposedContour>,
}

/// A contour that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct ProposedContour {
    /// What it goes round.
    pub role: Role,
    /// Places all round it on the edge.
    pub line: Vec<PhotoPoint>,
    /// It is to become a contour.
    pub is_ticked: bool,
}

/// What is needed to look for an outline beside the window.
#[derive(Debug, Clone)]
pub struct Proposing {
    /// The photo.
    pub photo: Arc<LoadedPhoto>,
    /// The camera as far as it is known.
    pub map: PlateMap,
    /// A place on the face.
    pub inside: PhotoPoint,
    /// Holes that are known already: centres and radii, mm.
    pub holes: Vec<(PlatePoint, f64)>,
}

impl Proposing {
    /// Looks for them; `None` where `go_on` says no before they are found. A proposal without contours where no face that ends
    /// within the photo is about the place.
    pub fn run(&self, go_on: &dyn Fn() -> bool) -> Option<Proposal> {
        let picture = self.photo.picture();
        let found = picture
            .and_then(|picture| propose_outline(&picture, &self.map, self.inside, &self.holes, &mut |_| go_on()));
        go_on().then(|| {
            let contour = |role, line| ProposedContour { role, line, is_ticked: true };
            let contours = found.map(|found| {
                let openings = found.openings.into_iter().map(|line| contour(Role::Opening, line));
                std::iter::once(contour(Role::Outer, found.outer)).chain(openings).collect()
            });
            Proposal { contours: contours.unwrap_or_default() }
        })
    }
}

impl Proposal {
    /// How many are ticked.
    pub fn ticked(&self) -> usize {
        self.contours.iter().filter(|contour| contour.is_ticked).count()
    }

    /// The edits that make contours of the ticked ones. A ticked outline takes the place of the one that is there.
    pub fn edits(&self, job: &Job) -> Vec<Edit> {
        let mut job = job.clone();
        let mut edits = Vec::new();
        for found in self.contours.iter().filter(|contour| contour.is_ticked) {
            if found.role == Role::Outer {
                let outer = job.contours.iter().filter(|contour| contour.role == Role::Outer);
                let replaced: Vec<Id> = outer.map(|contour| contour.id.clone()).collect();
                edits.extend(replaced.into_iter().map(Edit::Remove));
            }
            let nodes = few_nodes(&found.line).into_iter().map(hundredths).map(Node::corner).collect();
            let new = Contour::new(job.free_id("c"), found.role);
            let contour = Contour { closed: true, follow_edge: true, nodes, ..new };
            job.contours.push(contour.clone());
            edits.push(Edit::AddContour(contour));
        }
        edits
    }
}

/// To a hundredth of a px, as clicks are.
fn hundredths(at: PhotoPoint) -> PhotoPoint {
    let round = |value: f64| (value * 100.0).round() / 100.0;
    PhotoPoint::new(round(at.x), round(at.y))
}

/// A few places of a closed chain, at its corners and along its bends, from which its edge can be followed: the chain is
/// halved where it is farthest from the straight way until each part is nearly straight (Ramer 1972).
fn few_nodes(chain: &[PhotoPoint]) -> Vec<PhotoPoint> {
    let count = chain.len();
    if count < 4 {
        return chain.to_vec();
    }
    // Two places that are far apart are corners, or as good as any.
    let farthest = |from: usize| {
        let distance = |k: &usize| chain[from].distance(chain[*k]);
        (0..count).max_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    };
    let one = farthest(0);
    let other = farthest(one);
    let (first, second) = (one.min(other), one.max(other));
    let mut kept = vec![first, second];
    let mut open = vec![(first, second), (second, first + count)];
    while let Some((from, to)) = open.pop() {
        let (a, b) = (chain[from % count], chain[to % count]);
        let way = b - a;
        let length = way.length();
        let off = |k: usize| {
            let step = chain[k % count] - a;
            if length > 0.0 { (way.cross(step) / length).abs() } else { step.length() }
        };
        let bulge = (from + 1..to).map(|k| (k, off(k))).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((k, off)) = bulge
            && off > (BULGE_SHARE * length).clamp(BULGE_PX.0, BULGE_PX.1)
        {
            kept.push(k % count);
            open.extend([(from, k), (k, to)]);
        }
    }
    kept.sort_unstable();
    kept.dedup();
    kept.into_iter().map(|k| chain[k]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    /// A square of 400 px with a round corner at the lower right, a place every 5 px.
    fn chain() -> Vec<PhotoPoint> {
        let side = |k: u32| f64::from(k) * 5.0;
        let mut chain: Vec<PhotoPoint> = (0..80).map(|k| PhotoPoint::new(100.0, 100.0 + side(k))).collect();
        chain.extend((0..60).map(|k| PhotoPoint::new(100.0 + side(k), 500.0)));
        chain.extend((0..31).map(|k| {
            let angle = f64::from(k) / 31.0 * std::f64::consts::FRAC_PI_2;
            PhotoPoint::new(400.0 + 100.0 * angle.sin(), 400.0 + 100.0 * angle.cos())
        }));
        chain.extend((0..60).map(|k| PhotoPoint::new(500.0, 400.0 - side(k))));
        chain.extend((0..80).map(|k| PhotoPoint::new(500.0 - side(k), 100.0)));
        chain
    }

    #[test]
    fn nodes_stand_at_corners_and_along_bends() {
        let nodes = few_nodes(&chain());
        assert!((5..=9).contains(&nodes.len()), "few: {nodes:?}");
        for corner in [(100.0, 100.0), (100.0, 500.0), (500.0, 100.0)] {
            let near = nodes.iter().any(|node| node.distance(PhotoPoint::new(corner.0, corner.1)) < 6.0);
            assert!(near, "{corner:?} is one: {nodes:?}");
        }
        assert_eq!(few_nodes(&chain()[..3]).len(), 3, "three stay three");
    }

    #[test]
    fn a_ticked_outline_takes_the_place_of_the_one_that_is_there() {
        let found = |role, is_ticked| ProposedContour { role, line: chain(), is_ticked };
        let proposal = Proposal {
            contours: vec![found(Role::Outer, true), found(Role::Opening, true), found(Role::Opening, false)],
        };
        let mut job = samples::plate_with_outline(true);
        for edit in proposal.edits(&job) {
            job.apply(edit).expect("it may be done");
        }
        let roles: Vec<Role> = job.contours.iter().map(|contour| contour.role).collect();
        assert_eq!(roles, [Role::Outer, Role::Opening], "one outline, and the ticked opening");
        assert!(job.contours.iter().all(|contour| contour.closed && contour.follow_edge), "they follow the edge");
    }
}
