//! The outline and the openings that the photo shows round one place on the face, each with a tick, until they become
//! contours.

use crate::files::LoadedPhoto;
use platewright_core::camera::PlateMap;
use platewright_core::edge::{Walls, propose_outline};
use platewright_core::job::{Contour, Edit, Id, Job, Node, Role};
use platewright_core::space::{PhotoPoint, PlatePoint};
use std::sync::Arc;

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
    /// The few of them from which its edge is followed.
    pub nodes: Vec<PhotoPoint>,
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
    /// The walls of the part, where its rims tell.
    pub walls: Option<Walls>,
}

impl Proposing {
    /// Looks for them; `None` where `go_on` says no before they are found. A proposal without contours where no face that ends
    /// within the photo is about the place.
    pub fn run(&self, go_on: &dyn Fn() -> bool) -> Option<Proposal> {
        let picture = self.photo.picture();
        let found = picture.and_then(|picture| {
            propose_outline(&picture, &self.map, self.inside, &self.holes, self.walls, &mut |_| go_on())
        });
        go_on().then(|| {
            let contours = found.map(|found| {
                let roles = std::iter::once(Role::Outer).chain(std::iter::repeat(Role::Opening));
                let nodes = found.nodes();
                let lines = std::iter::once(found.outer).chain(found.openings);
                let each = roles.zip(lines).zip(nodes);
                each.map(|((role, line), nodes)| ProposedContour { role, line, nodes, is_ticked: true }).collect()
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
            let nodes = found.nodes.iter().copied().map(hundredths).map(Node::corner).collect();
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    /// A square of 400 px.
    fn square() -> Vec<PhotoPoint> {
        [(100.0, 100.0), (100.0, 500.0), (500.0, 500.0), (500.0, 100.0)].map(|(x, y)| PhotoPoint::new(x, y)).to_vec()
    }

    #[test]
    fn a_ticked_outline_takes_the_place_of_the_one_that_is_there() {
        let found = |role, is_ticked| ProposedContour { role, line: square(), nodes: square(), is_ticked };
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
