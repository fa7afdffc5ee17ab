//! What is done to outlines: proposed, joined, their nodes made corners, held, or cut as drawn.

use super::Workbench;
use crate::proposal::Proposal;
use crate::session::Document;
use crate::work::Finished;
use platewright_core::job::{Edit, NodeKind};
use platewright_core::space::PhotoPoint;

impl Workbench {
    pub(super) fn corner_or_smooth(&mut self) {
        let Some((contour, index)) = self.session.screen.chosen_node() else { return };
        let contour = contour.clone();
        let Some(document) = &self.session.document else { return };
        let kind = document.job().contour(&contour).and_then(|c| c.nodes.get(index)).map(|node| node.kind);
        let kind = if kind == Some(NodeKind::Corner) { NodeKind::Smooth } else { NodeKind::Corner };
        let name = if kind == NodeKind::Smooth { "make the node smooth" } else { "make the node a corner" };
        self.edit(|history| history.apply(name, Edit::NodeAs { contour, index, kind }));
    }

    pub(super) fn pin(&mut self) {
        let Some((contour, index)) = self.session.screen.chosen_node() else { return };
        let contour = contour.clone();
        let job = self.session.document.as_ref().map(Document::job);
        let node = job.and_then(|job| job.contour(&contour)?.nodes.get(index));
        let pinned = node.is_some_and(|node| !node.pinned);
        let name = if pinned { "hold the node" } else { "let go of the node" };
        self.edit(|history| history.apply(name, Edit::PinNode { contour, index, pinned }));
    }

    pub(super) fn as_drawn(&mut self) {
        let Some((contour, index)) = self.session.screen.chosen_node() else { return };
        let contour = contour.clone();
        let job = self.session.document.as_ref().map(Document::job);
        let node = job.and_then(|job| job.contour(&contour)?.nodes.get(index));
        let as_drawn = node.is_some_and(|node| !node.as_drawn);
        let name = if as_drawn { "cut the piece as drawn" } else { "follow the edge again" };
        self.edit(|history| history.apply(name, Edit::PieceAsDrawn { contour, index, as_drawn }));
    }

    /// Looks for the outline beside the window.
    pub(super) fn propose_from(&mut self, inside: PhotoPoint) {
        self.session.screen.proposing = false;
        if let Some(hole) = self.session.hole_at(inside) {
            let said = format!("That is hole {hole}. Press P and click on the face, beside the holes.");
            self.session.screen.said = Some(said);
            return;
        }
        let Some(proposing) = self.session.proposing(inside) else { return };
        self.session.screen.working = Some("Looking for the outline and its openings.".to_owned());
        let started = self.work.start("propose", move |go_on| proposing.run(go_on).map(Finished::Proposed));
        if let Err(error) = started {
            self.session.screen.working = None;
            self.session.screen.error = Some(format!("Nothing was looked for: {error}. Try again."));
        }
    }

    pub(super) fn show_proposal(&mut self, proposal: Proposal) {
        let screen = &mut self.session.screen;
        if proposal.contours.is_empty() {
            let text =
                "No face that ends within the photo was found there. Click another place on it, or trace the edge.";
            screen.said = Some(text.to_owned());
        } else {
            screen.chosen = None;
            screen.drawer_open = true;
            // It lies all round the part.
            screen.fit_pending = true;
            screen.proposal = Some(proposal);
        }
    }

    pub(super) fn take_proposal(&mut self) {
        let Some(document) = &self.session.document else { return };
        let Some(proposal) = self.session.screen.proposal.take() else { return };
        let edits = proposal.edits(document.job());
        self.edit(|history| history.apply_all("take the proposed outline", edits));
    }

    pub(super) fn join(&mut self) {
        let Some(contour) = self.session.open_contour().map(|c| c.id.clone()) else { return };
        self.session.screen.tracing = None;
        self.edit(|history| history.apply("join the outline", Edit::CloseContour { contour, closed: true }));
    }
}
