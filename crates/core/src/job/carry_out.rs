//! Carrying out an edit.

use super::Added;
use super::contours::{Contour, Meant, Node, NodeKind, Piece, Role};
use super::edit::{Edit, EditRefused, LeverSide};
use super::model::{Group, Hole, Id, Job, Measure, NamedPoint, Statement, StatementKind, StraightEdge};
use super::trial::Trial;
use crate::space::{PhotoPoint, PhotoVec};

impl Job {
    /// Carries out `edit`.
    ///
    /// # Errors
    /// Where the edit names something that is not there, or would leave an invalid job; the job is then unchanged.
    pub fn apply(&mut self, edit: Edit) -> Result<(), EditRefused> {
        let mut after = self.clone();
        after.carry_out(edit)?;
        super::validate(&after)?;
        *self = after;
        Ok(())
    }

    fn carry_out(&mut self, edit: Edit) -> Result<(), EditRefused> {
        match edit {
            Edit::Title(title) => self.title = title,
            Edit::Photo(photo) => self.photo = *photo,
            Edit::HeldAs(held) => self.photo.held = held,
            Edit::Focal(belief) => self.photo.focal_px = belief,
            Edit::Lens(lens) => self.photo.lens = lens,
            Edit::AddPoint(point) => self.points.push(point),
            Edit::MovePoint { point, to } => find(&mut self.points, "point", &point)?.at = to,
            Edit::AddEdge(edge) => self.edges.push(edge),
            Edit::Rename { feature, name } => self.rename(&feature, name)?,
            Edit::PickSigma { feature, sigma_px } => *self.pick_sigma_mut(&feature)? = sigma_px,
            Edit::AddEdgePick { edge, at } => find(&mut self.edges, "edge", &edge)?.along.push(at),
            Edit::MoveEdgePick { edge, index, to } => *self.edge_pick_mut(&edge, index)? = to,
            Edit::RemoveEdgePick { edge, index } => {
                self.edge_pick_mut(&edge, index)?;
                find(&mut self.edges, "edge", &edge)?.along.remove(index);
            }
            Edit::MeasureEdge { edge, measure } => find(&mut self.edges, "edge", &edge)?.measure_edge = measure,
            Edit::PutStatement(statement) => put(&mut self.statements, statement),
            Edit::PutGroup(group) => put(&mut self.groups, group),
            Edit::PutTrial(trial) => put(&mut self.trials, trial),
            Edit::TriedAs(tried) => self.tried = tried,
            Edit::PutAdded(added) => put(&mut self.added, *added),
            Edit::DesignAs(design) => self.design = design,
            Edit::DatumAt(None) => self.forget_datum()?,
            Edit::DatumAt(datum) => self.datum = datum,
            Edit::StockAs(stock) => self.stock = Some(stock),
            Edit::DutiesAs(duties) => self.duties = duties,
            Edit::Remove(id) => self.remove(&id)?,
            edit @ (Edit::AddHole(_)
            | Edit::AddRimPick { .. }
            | Edit::MoveRimPick { .. }
            | Edit::RemoveRimPick { .. }
            | Edit::EdgeBroken { .. }
            | Edit::MeasureRim { .. }
            | Edit::KeepHole { .. }
            | Edit::HoleGroup { .. }) => self.edit_hole(edit)?,
            edit @ (Edit::AddMeasure(_)
            | Edit::MeasureValue { .. }
            | Edit::MeasureAs { .. }
            | Edit::UseMeasure { .. }) => self.edit_measure(edit)?,
            edit => self.edit_contour(edit)?,
        }
        Ok(())
    }

    fn edge_pick_mut(&mut self, edge: &Id, index: usize) -> Result<&mut PhotoPoint, EditRefused> {
        let picks = &mut find(&mut self.edges, "edge", edge)?.along;
        picks.get_mut(index).ok_or_else(|| EditRefused::NoSuchPart { id: edge.clone(), what: "pick", index })
    }

    fn edit_hole(&mut self, edit: Edit) -> Result<(), EditRefused> {
        match edit {
            Edit::AddHole(hole) => self.holes.push(hole),
            Edit::AddRimPick { hole, at } => find(&mut self.holes, "hole", &hole)?.rim.push(at),
            Edit::MoveRimPick { hole, index, to } => {
                let picks = &mut find(&mut self.holes, "hole", &hole)?.rim;
                *picks.get_mut(index).ok_or(EditRefused::NoSuchPart { id: hole, what: "pick", index })? = to;
            }
            Edit::RemoveRimPick { hole, index } => {
                let picks = &mut find(&mut self.holes, "hole", &hole)?.rim;
                if index >= picks.len() {
                    return Err(EditRefused::NoSuchPart { id: hole, what: "pick", index });
                }
                picks.remove(index);
            }
            Edit::EdgeBroken { hole, broken } => find(&mut self.holes, "hole", &hole)?.edge_break = broken,
            Edit::MeasureRim { hole, measure } => find(&mut self.holes, "hole", &hole)?.measure_rim = measure,
            Edit::KeepHole { hole, keep } => find(&mut self.holes, "hole", &hole)?.keep = keep,
            Edit::HoleGroup { hole, group } => find(&mut self.holes, "hole", &hole)?.group = group,
            _ => unreachable!("only edits of holes are handed here"),
        }
        Ok(())
    }

    fn edit_measure(&mut self, edit: Edit) -> Result<(), EditRefused> {
        match edit {
            Edit::AddMeasure(measure) => self.measures.push(measure),
            Edit::MeasureValue { measure, mm, sigma_mm } => {
                let measure = find(&mut self.measures, "measure", &measure)?;
                (measure.mm, measure.sigma_mm) = (mm, sigma_mm);
            }
            Edit::MeasureAs { measure, kind, between } => {
                let measure = find(&mut self.measures, "measure", &measure)?;
                (measure.kind, measure.between) = (kind, between);
            }
            Edit::UseMeasure { measure, in_use } => find(&mut self.measures, "measure", &measure)?.in_use = in_use,
            _ => unreachable!("only edits of measures are handed here"),
        }
        Ok(())
    }

    fn edit_contour(&mut self, edit: Edit) -> Result<(), EditRefused> {
        match edit {
            Edit::AddContour(contour) => self.contours.push(contour),
            Edit::KeepContour { contour, keep } => find(&mut self.contours, "contour", &contour)?.keep = keep,
            Edit::ContourRole { contour, role } => {
                let contour = find(&mut self.contours, "contour", &contour)?;
                // Only an opening can be left out.
                (contour.role, contour.keep) = (role, contour.keep || role == Role::Outer);
            }
            Edit::CloseContour { contour, closed } => find(&mut self.contours, "contour", &contour)?.closed = closed,
            Edit::InsertNode { contour, index, node } => {
                let nodes = &mut find(&mut self.contours, "contour", &contour)?.nodes;
                if index > nodes.len() {
                    return Err(EditRefused::NoSuchPart { id: contour, what: "node", index });
                }
                nodes.insert(index, node);
            }
            Edit::MoveNode { contour, index, to } => {
                let node = self.node_mut(&contour, index)?;
                let step = to - node.at;
                node.at = to;
                node.through = node.through.map(|through| through + step * 0.5);
            }
            Edit::RemoveNode { contour, index } => {
                self.node_mut(&contour, index)?;
                find(&mut self.contours, "contour", &contour)?.nodes.remove(index);
            }
            Edit::NodeAs { contour, index, kind } => self.node_mut(&contour, index)?.kind = kind,
            Edit::PieceAs { contour, index, piece } => {
                let node = self.node_mut(&contour, index)?;
                node.next = piece;
                if piece != Piece::Arc {
                    node.through = None;
                }
            }
            Edit::ArcThrough { contour, index, through } => self.node_mut(&contour, index)?.through = through,
            Edit::Lever { contour, index, side, to } => set_lever(self.node_mut(&contour, index)?, side, to),
            Edit::PinNode { contour, index, pinned } => self.node_mut(&contour, index)?.pinned = pinned,
            Edit::PieceAsDrawn { contour, index, as_drawn } => self.node_mut(&contour, index)?.as_drawn = as_drawn,
            edit => self.edit_fairing(edit)?,
        }
        Ok(())
    }

    fn edit_fairing(&mut self, edit: Edit) -> Result<(), EditRefused> {
        match edit {
            Edit::FollowEdge { contour, follow } => find(&mut self.contours, "contour", &contour)?.follow_edge = follow,
            Edit::Agree { contour, meant } => {
                let contour = find(&mut self.contours, "contour", &contour)?;
                take_back(contour, &meant);
                contour.agreed.push(meant);
            }
            Edit::Refuse { contour, meant } => {
                let contour = find(&mut self.contours, "contour", &contour)?;
                take_back(contour, &meant);
                contour.refused.push(meant);
            }
            Edit::TakeBackMeant { contour, meant } => {
                take_back(find(&mut self.contours, "contour", &contour)?, &meant);
            }
            _ => unreachable!("every other edit is handled before"),
        }
        Ok(())
    }

    fn node_mut(&mut self, contour: &Id, index: usize) -> Result<&mut Node, EditRefused> {
        let nodes = &mut find(&mut self.contours, "contour", contour)?.nodes;
        nodes.get_mut(index).ok_or_else(|| EditRefused::NoSuchPart { id: contour.clone(), what: "node", index })
    }

    fn rename(&mut self, id: &Id, name: String) -> Result<(), EditRefused> {
        let holes = self.holes.iter().map(|h| (&h.id, &h.name));
        let points = self.points.iter().map(|p| (&p.id, &p.name));
        let edges = self.edges.iter().map(|e| (&e.id, &e.name));
        // Two of one name could not be told apart on the sheet.
        let taken = holes.chain(points).chain(edges).any(|(other, taken)| other != id && *taken == name);
        if taken || self.added.iter().any(|added| added.id != *id && added.shown_name() == name) {
            return Err(EditRefused::NameTaken(name));
        }
        match self.added.iter_mut().find(|added| added.id == *id) {
            Some(added) => added.name = Some(name),
            None => *self.name_mut(id)? = name,
        }
        Ok(())
    }

    fn name_mut(&mut self, id: &Id) -> Result<&mut String, EditRefused> {
        let holes = self.holes.iter_mut().map(|h| (&h.id, &mut h.name));
        let points = self.points.iter_mut().map(|p| (&p.id, &mut p.name));
        let edges = self.edges.iter_mut().map(|e| (&e.id, &mut e.name));
        let mut named = holes.chain(points).chain(edges);
        named
            .find(|(own, _)| *own == id)
            .map(|(_, name)| name)
            .ok_or_else(|| EditRefused::NoSuch { what: "feature", id: id.clone() })
    }

    fn pick_sigma_mut(&mut self, id: &Id) -> Result<&mut Option<f64>, EditRefused> {
        let holes = self.holes.iter_mut().map(|h| (&h.id, &mut h.sigma_px));
        let points = self.points.iter_mut().map(|p| (&p.id, &mut p.sigma_px));
        let edges = self.edges.iter_mut().map(|e| (&e.id, &mut e.sigma_px));
        let mut picked = holes.chain(points).chain(edges);
        picked
            .find(|(own, _)| *own == id)
            .map(|(_, sigma)| sigma)
            .ok_or_else(|| EditRefused::NoSuch { what: "feature", id: id.clone() })
    }

    fn remove(&mut self, id: &Id) -> Result<(), EditRefused> {
        let before = self.ids().count();
        self.holes.retain(|h| h.id != *id);
        self.points.retain(|p| p.id != *id);
        self.edges.retain(|e| e.id != *id);
        self.groups.retain(|g| g.id != *id);
        self.contours.retain(|c| c.id != *id);
        self.remove_added(id);
        self.measures.retain(|m| m.id != *id && !m.between.contains(id));
        for statement in self.statements.iter_mut().filter(|s| s.kind == StatementKind::Straight) {
            // A point less on a line is still a line; without its edge or its last point it is none.
            let edge = statement.between.first().cloned();
            statement.between.retain(|other| edge.as_ref() == Some(other) || other != id);
        }
        self.statements.retain(|s| s.id != *id && !s.between.contains(id) && s.between.len() > 1);
        self.trials.retain(|t| t.id != *id && t.hole != *id);
        for contour in &mut self.contours {
            contour.agreed.retain(|meant| meant.hole.as_ref() != Some(id));
            contour.refused.retain(|meant| meant.hole.as_ref() != Some(id));
        }
        for hole in &mut self.holes {
            if hole.group.as_ref() == Some(id) {
                hole.group = None;
            }
        }
        if self.datum.as_ref().is_some_and(|d| d.origin == *id || d.along == *id) {
            self.forget_datum()?;
        }
        if self.ids().count() == before {
            return Err(EditRefused::NoSuch { what: "thing", id: id.clone() });
        }
        Ok(())
    }
}

fn take_back(contour: &mut Contour, meant: &Meant) {
    contour.agreed.retain(|other| other != meant);
    contour.refused.retain(|other| other != meant);
}

impl Job {
    /// Leaves where coordinates start unsaid, unless something lies by them.
    fn forget_datum(&mut self) -> Result<(), EditRefused> {
        if let Some(added) = self.added.iter().find(|added| added.lies_by_coordinates()) {
            return Err(EditRefused::LiesByCoordinates(added.shown_name()));
        }
        self.datum = None;
        Ok(())
    }

    /// Removes what was added with this id, and what was placed by it, and so on; a group that goes leaves no size.
    fn remove_added(&mut self, id: &Id) {
        let mut gone = vec![id.clone()];
        while let Some(id) = gone.pop() {
            let goes = |added: &Added| added.id == id || added.rests_on().any(|other| *other == id);
            gone.extend(self.added.iter().filter(|added| goes(added) && added.id != id).map(|added| added.id.clone()));
            self.added.retain(|added| !goes(added));
        }
        for added in self.added.iter_mut().filter(|added| added.group.as_ref() == Some(id)) {
            added.group = None;
        }
    }
}

fn set_lever(node: &mut Node, side: LeverSide, to: Option<PhotoVec>) {
    let (own, other) = match side {
        LeverSide::In => (&mut node.lever_in, &mut node.lever_out),
        LeverSide::Out => (&mut node.lever_out, &mut node.lever_in),
    };
    *own = to;
    if node.kind != NodeKind::Smooth {
        return;
    }
    match to.and_then(PhotoVec::unit) {
        Some(direction) => {
            let length = other.or(to).map_or(0.0, PhotoVec::length);
            *other = Some(-direction * length);
        }
        None => *other = None,
    }
}

/// What carries an id, for look-ups.
trait Named {
    fn id(&self) -> &Id;
}

macro_rules! named {
    ($($kind:ty),*) => { $(impl Named for $kind { fn id(&self) -> &Id { &self.id } })* };
}
named!(Hole, NamedPoint, StraightEdge, Measure, Statement, Group, Contour, Added, Trial);

/// Replaces what has the id, or adds it.
fn put<T: Named>(all: &mut Vec<T>, one: T) {
    match all.iter_mut().find(|old| old.id() == one.id()) {
        Some(old) => *old = one,
        None => all.push(one),
    }
}

fn find<'a, T: Named>(all: &'a mut [T], what: &'static str, id: &Id) -> Result<&'a mut T, EditRefused> {
    all.iter_mut().find(|one| one.id() == id).ok_or_else(|| EditRefused::NoSuch { what, id: id.clone() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{MeantKind, read};

    fn job() -> Job {
        read(super::super::tests::EXAMPLE).unwrap()
    }

    /// `edit` is refused with `sentence` and changes nothing.
    fn check_refused(edit: Edit, sentence: &str) {
        let (mut job, before) = (job(), job());
        let refused = job.apply(edit).expect_err("the edit is refused").to_string();
        assert_eq!(refused, sentence);
        assert_eq!(job, before, "a refused edit leaves the job as it was");
    }

    #[test]
    fn what_is_not_there_is_not_edited() {
        check_refused(Edit::AddRimPick { hole: "h99".into(), at: PhotoPoint::default() }, "there is no hole “h99”");
        check_refused(Edit::RemoveRimPick { hole: "h1".into(), index: 9 }, "h1 has no pick number 9");
        check_refused(Edit::RemoveNode { contour: "c1".into(), index: 7 }, "c1 has no node number 7");
        check_refused(Edit::Remove("nothing".into()), "there is no thing “nothing”");
    }

    #[test]
    fn a_name_is_given_once() {
        let mut job = job();
        let other = Hole { id: "h2".into(), name: "H2".to_owned(), ..job.holes[0].clone() };
        job.apply(Edit::AddHole(other)).unwrap();
        let refused = job.apply(Edit::Rename { feature: "h2".into(), name: job.holes[0].name.clone() });
        assert_eq!(refused, Err(EditRefused::NameTaken(job.holes[0].name.clone())));
        job.apply(Edit::Rename { feature: "h2".into(), name: "vent".to_owned() }).unwrap();
        assert_eq!(job.feature_name(&"h2".into()), "vent", "a free one is taken");
    }

    #[test]
    fn what_rests_on_a_removed_hole_goes_with_it() {
        let mut job = job();
        job.apply(Edit::Remove("a1".into())).unwrap();
        let hole = job.measures[0].between[0].clone();
        job.apply(Edit::Remove(hole.clone())).unwrap();
        assert!(job.measures.iter().all(|measure| !measure.between.contains(&hole)), "no measure hangs in the air");
        assert!(
            job.datum.as_ref().is_none_or(|datum| datum.origin != hole && datum.along != hole),
            "nor does the datum"
        );
        assert!(job.trials.iter().all(|trial| trial.hole != hole), "nor a trial");
    }

    #[test]
    fn the_other_lever_of_a_smooth_node_turns_with_it_and_keeps_its_length() {
        let mut job = job();
        let (contour, index) = (job.contours[0].id.clone(), 0);
        job.apply(Edit::NodeAs { contour: contour.clone(), index, kind: NodeKind::Smooth }).unwrap();
        let lever = |side, to| Edit::Lever { contour: contour.clone(), index, side, to: Some(to) };
        job.apply(lever(LeverSide::In, PhotoVec::new(-5.0, 0.0))).unwrap();
        job.apply(lever(LeverSide::Out, PhotoVec::new(0.0, 30.0))).unwrap();
        let node = &job.contours[0].nodes[0];
        assert_eq!(node.lever_out, Some(PhotoVec::new(0.0, 30.0)), "as it was pulled");
        let other = node.lever_in.unwrap();
        assert!(other.x.abs() < 1e-12 && (other.y + 5.0).abs() < 1e-12, "against it, 5 px long as before: {other:?}");
    }

    #[test]
    fn what_is_agreed_is_no_longer_refused_and_the_other_way_round() {
        let mut job = job();
        let contour = job.contours[0].id.clone();
        let meant =
            Meant { kind: MeantKind::RoundRadius, of: vec![PhotoPoint::new(3.0, 4.0)], hole: None, mm: Some(6.0) };
        let of = |job: &Job| (job.contours[0].agreed.len(), job.contours[0].refused.len());
        job.apply(Edit::Agree { contour: contour.clone(), meant: meant.clone() }).unwrap();
        assert_eq!(of(&job), (1, 0), "agreed");
        job.apply(Edit::Refuse { contour: contour.clone(), meant: meant.clone() }).unwrap();
        assert_eq!(of(&job), (0, 1), "refused");
        job.apply(Edit::TakeBackMeant { contour, meant }).unwrap();
        assert_eq!(of(&job), (0, 0), "as if nothing had been said");
    }

    #[test]
    fn a_piece_follows_the_edge_unless_it_is_as_drawn() {
        let mut job = job();
        let contour = job.contours[0].id.clone();
        job.apply(Edit::FollowEdge { contour: contour.clone(), follow: true }).unwrap();
        assert!(job.contours[0].follows(0), "its contour does");
        job.apply(Edit::PieceAsDrawn { contour: contour.clone(), index: 0, as_drawn: true }).unwrap();
        assert!(!job.contours[0].follows(0), "this one is as drawn");
        job.apply(Edit::PinNode { contour, index: 1, pinned: true }).unwrap();
        assert!(job.contours[0].nodes[1].pinned, "its place is held");
    }

    #[test]
    fn statements_go_with_what_they_are_about() {
        let mut job = job();
        job.apply(Edit::Remove("p1".into())).unwrap();
        assert_eq!(job.statements[0].between, vec![Id::from("e1"), Id::from("p2")], "a point less on the line");
        job.apply(Edit::Remove("p2".into())).unwrap();
        assert!(job.statements.is_empty(), "a line without points says nothing");
        let mut job = super::super::read(super::super::tests::EXAMPLE).unwrap();
        job.apply(Edit::Remove("e1".into())).unwrap();
        assert!(job.statements.is_empty(), "nor does one without its edge");
    }

    #[test]
    fn free_ids_are_free() {
        let job = job();
        let id = job.free_id("h");
        assert!(job.ids().all(|taken| *taken != id), "{id} is nobody's");
    }
}
