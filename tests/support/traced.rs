//! Jobs with an outline that follows the edge, from rough nodes.

use crate::Case;
use platewright_core::job::{Contour, Job, Node, Role};
use platewright_core::space::PhotoPoint;
use platewright_synth::Random;

/// Nodes are displaced by this in a direction of chance, px.
const DISPLACED_PX: f64 = 5.0;

/// The case's job with an outline through its true nodes, each off by a few px.
pub fn traced(case: &Case) -> Job {
    let mut random = Random::new(1);
    let mut rough = |node: PhotoPoint| {
        let (sine, cosine) = random.between(0.0, std::f64::consts::TAU).sin_cos();
        Node::corner(PhotoPoint::new(node.x + DISPLACED_PX * cosine, node.y + DISPLACED_PX * sine))
    };
    let nodes = case.true_nodes().into_iter().map(&mut rough).collect();
    let outline = Contour { closed: true, follow_edge: true, nodes, ..Contour::new("outline".into(), Role::Outer) };
    Job { contours: vec![outline], ..case.job() }
}
