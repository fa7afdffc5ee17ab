//! What is being added to the part: the features that it is placed from are clicked, then its figures are typed.

use crate::session::{Chosen, Session};
use platewright_core::job::{Added, AddedKind, Between, Edit, Id, Job, Offset, OnCircle, Placed};
use platewright_core::solution::{AddedFit, Solution, added_among};
use platewright_core::space::{PlatePoint, PlateVec};

/// How a circle and a slot begin: six holes 20 mm from the middle, 10 mm between the centres of the ends.
const USUAL_ON_A_CIRCLE: usize = 6;
const USUAL_RADIUS_MM: f64 = 20.0;
const USUAL_SLOT_MM: f64 = 10.0;

/// A place is clicked to this, mm: what is finer is typed.
const CLICKED_TO_MM: f64 = 0.1;

/// What can be added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Addition {
    /// A hole.
    Hole,
    /// A slot.
    Slot,
    /// Several holes on a circle.
    Circle,
}

impl Addition {
    /// All of them, in the order of their buttons.
    pub const ALL: [Self; 3] = [Self::Hole, Self::Slot, Self::Circle];

    /// The words of its button.
    pub fn words(self) -> &'static str {
        match self {
            Self::Hole => "Add a hole",
            Self::Slot => "Add a slot",
            Self::Circle => "Add a circle of holes",
        }
    }

    /// One of it at the datum.
    fn begun(self, id: Id) -> Added {
        let middle = PlatePoint::default();
        let circle = OnCircle {
            about: None,
            about_mm: Some(middle),
            n: USUAL_ON_A_CIRCLE,
            radius_mm: USUAL_RADIUS_MM,
            first_deg: 0.0,
        };
        let added = Added::new(id, AddedKind::Hole, Placed::Circle(circle));
        match self {
            Self::Circle => added,
            Self::Hole => Added { at_mm: Some(middle), placed: None, ..added },
            Self::Slot => Added {
                kind: AddedKind::Slot,
                at_mm: Some(middle),
                placed: None,
                length_mm: Some(USUAL_SLOT_MM),
                ..added
            },
        }
    }
}

/// The features that something is placed from.
pub(crate) fn bases(added: &Added) -> Vec<&Id> {
    added.rests_on().filter(|id| added.towards.as_ref() != Some(*id) || is_base(added, id)).collect()
}

fn is_base(added: &Added, id: &Id) -> bool {
    match &added.placed {
        None => false,
        Some(Placed::Offset(offset)) => offset.from == *id,
        Some(Placed::Between(between)) => between.a == *id || between.b == *id,
        Some(Placed::Circle(circle)) => circle.about.as_ref() == Some(id),
    }
}

/// Places it from these: from the datum, from one feature, or on the line between two. Of a circle the first is the middle.
fn place_from(added: &mut Added, bases: &[Id]) {
    if let Some(Placed::Circle(circle)) = &mut added.placed {
        circle.about = bases.first().cloned();
        circle.about_mm = if bases.is_empty() { Some(PlatePoint::default()) } else { None };
        return;
    }
    added.at_mm = bases.is_empty().then(PlatePoint::default);
    added.placed = match bases {
        [] => None,
        [from] => Some(Placed::Offset(Offset { from: from.clone(), by_mm: PlateVec::default() })),
        [a, b, ..] => Some(Placed::Between(Between { a: a.clone(), b: b.clone(), share: None, distance_mm: None })),
    };
}

/// What puts it into the job. Where it lies by coordinates and nothing says where they start, that is said with it: else it
/// would move with whatever comes to be the first hole.
pub(crate) fn edits_to_put(job: &Job, solution: &Solution, added: &Added) -> Vec<Edit> {
    let is_unsaid = job.datum.is_none() && added.lies_by_coordinates();
    let datum = is_unsaid.then(|| solution.datum_in_use(job)).flatten();
    let said = datum.map(|datum| Edit::DatumAt(Some(datum)));
    said.into_iter().chain([Edit::PutAdded(Box::new(added.clone()))]).collect()
}

/// A place of the plate as finely as it is clicked.
pub(crate) fn on_grid(at: PlatePoint) -> PlatePoint {
    let round = |mm: f64| (mm / CLICKED_TO_MM).round() * CLICKED_TO_MM;
    PlatePoint::new(round(at.x), round(at.y))
}

/// What moves something added, or the circle that it lies on, to a place of the plate: by its coordinates, by how far it is
/// from its feature, or along the line between two. `None` where only its figures move it.
pub(crate) fn moved_to(session: &Session, id: &Id, to: PlatePoint) -> Option<Edit> {
    let job = session.document.as_ref()?.job();
    let from = session.held_place(id)?;
    let mut added = job.added(id)?.clone();
    match &mut added.placed {
        None => added.at_mm = Some(to),
        Some(Placed::Offset(offset)) => offset.by_mm = offset.by_mm + (to - from),
        Some(Placed::Between(between)) => {
            let [a, b] = [&between.a, &between.b].map(|id| session.place_of(id));
            let start = a?;
            (between.share, between.distance_mm) = (None, Some((to - start).dot((b? - start).unit()?)));
        }
        Some(Placed::Circle(circle)) => circle.about_mm = Some(to),
    }
    Some(Edit::PutAdded(Box::new(added)))
}

impl Session {
    /// Where a hole, a point or something added is found; of several on a circle, the first.
    fn place_of(&self, id: &Id) -> Option<PlatePoint> {
        let solution = &self.results.solution;
        let hole = solution.holes.iter().find(|fit| fit.id == *id).map(|fit| fit.centre);
        let point = || solution.points.iter().find(|fit| fit.id == *id).map(|fit| fit.at);
        let added = || solution.added.iter().find(|fit| fit.id == *id).map(|fit| fit.at);
        hole.or_else(point).or_else(added)
    }

    /// Where something added is held to be moved: in its middle, or in that of its circle. `None` while the size of the part
    /// is not known, and for a circle about a feature, which lies where that lies.
    pub(crate) fn held_place(&self, id: &Id) -> Option<PlatePoint> {
        if self.screen.adding.is_some() || !self.results.solution.fit.scale_known() {
            return None;
        }
        match &self.document.as_ref()?.job().added(id)?.placed {
            Some(Placed::Circle(circle)) => circle.about_mm,
            _ => self.place_of(id),
        }
    }

    /// Begins to add something; a hole or point that is chosen is the first that it is placed from. What was added just
    /// before is chosen too, and is not meant.
    pub fn begin_adding(&mut self, addition: Addition) {
        let Some(document) = &self.document else { return };
        let mut added = addition.begun(document.job().free_id("a"));
        if let Some(Chosen::Hole(id) | Chosen::Point(id)) = self.screen.chosen.take() {
            place_from(&mut added, &[id]);
        }
        self.screen.tracing = None;
        self.screen.adding = Some(added);
    }

    /// Puts a feature into what it is placed from, or takes it out again.
    ///
    /// # Errors
    /// Where it is the thing itself: a sentence with the way out.
    pub fn take_base(&mut self, id: &Id) -> Result<(), String> {
        let Some(added) = &mut self.screen.adding else { return Ok(()) };
        if added.id == *id {
            return Err(format!("{} cannot be placed from itself. Click another.", added.shown_name()));
        }
        let before: Vec<Id> = bases(added).into_iter().filter(|base| is_base(added, base)).cloned().collect();
        let is_circle = matches!(added.placed, Some(Placed::Circle(_)));
        let now: Vec<Id> = match before.as_slice() {
            before if before.contains(id) => before.iter().filter(|base| *base != id).cloned().collect(),
            [first, ..] if !is_circle => vec![first.clone(), id.clone()],
            _ => vec![id.clone()],
        };
        place_from(added, &now);
        Ok(())
    }

    /// Puts what is being added, or the middle of its circle, at a place of the plate, where it is placed from no feature.
    ///
    /// # Errors
    /// Where it is placed from a feature: a sentence with the way out.
    pub fn place_adding(&mut self, at: PlatePoint) -> Result<(), String> {
        let Some(added) = &mut self.screen.adding else { return Ok(()) };
        let at = on_grid(at);
        match &mut added.placed {
            None => added.at_mm = Some(at),
            Some(Placed::Circle(circle)) if circle.about.is_none() => circle.about_mm = Some(at),
            Some(_) => return Err("It is placed from what was clicked. Type how far, or click that again.".to_owned()),
        }
        Ok(())
    }

    /// Where what is being added would lie, by the places that are found.
    pub(crate) fn adding_seen(&self) -> Vec<AddedFit> {
        let Some((added, document)) = self.screen.adding.as_ref().zip(self.document.as_ref()) else {
            return Vec::new();
        };
        let job = document.job();
        let others = job.added.iter().filter(|other| other.id != added.id);
        let all: Vec<&Added> = others.chain([added]).collect();
        let solution = &self.results.solution;
        let place = |id: &Id| {
            let hole = solution.holes.iter().find(|fit| fit.id == *id).map(|fit| fit.centre);
            hole.or_else(|| Some(solution.points.iter().find(|fit| fit.id == *id)?.at))
        };
        added_among(job, &all, place).into_iter().filter(|fit| fit.id == added.id).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    fn adding(addition: Addition) -> Session {
        let mut session = samples::session(samples::plate());
        session.refresh();
        session.begin_adding(addition);
        session
    }

    fn added(session: &Session) -> &Added {
        session.screen.adding.as_ref().unwrap()
    }

    #[test]
    fn clicks_say_what_it_is_placed_from() {
        let mut session = adding(Addition::Hole);
        assert_eq!(added(&session).at_mm, Some(PlatePoint::default()), "at the datum, to begin with");
        session.take_base(&"h2".into()).unwrap();
        assert!(matches!(&added(&session).placed, Some(Placed::Offset(offset)) if offset.from.0 == "h2"), "from one");
        session.take_base(&"h4".into()).unwrap();
        assert_eq!(bases(added(&session)), [&Id::from("h2"), &Id::from("h4")], "between two");
        session.take_base(&"h3".into()).unwrap();
        assert_eq!(bases(added(&session)), [&Id::from("h2"), &Id::from("h3")], "a third takes the place of the second");
        session.take_base(&"h2".into()).unwrap();
        assert_eq!(bases(added(&session)), [&Id::from("h3")], "clicked again it is taken out");
        assert!(session.take_base(&"a1".into()).is_err(), "not from itself");
        assert!(session.place_adding(PlatePoint::new(1.0, 2.0)).is_err(), "it stands beside H3");
        session.take_base(&"h3".into()).unwrap();
        session.place_adding(PlatePoint::new(1.234, 2.0)).unwrap();
        assert!(added(&session).at_mm.unwrap().distance(PlatePoint::new(1.2, 2.0)) < 1e-9, "to a tenth");
    }

    #[test]
    fn what_is_placed_again_from_what_rests_on_it_is_seen_nowhere() {
        let mut session = adding(Addition::Hole);
        let mut before = Addition::Hole.begun("a1".into());
        let mut beside = Addition::Hole.begun("a2".into());
        place_from(&mut beside, &["a1".into()]);
        let history = &mut session.document.as_mut().unwrap().history;
        for added in [&before, &beside] {
            history.apply("add it", Edit::PutAdded(Box::new(added.clone()))).unwrap();
        }
        place_from(&mut before, &["a2".into()]);
        session.screen.adding = Some(before);
        assert_eq!(session.adding_seen(), [], "neither has a place");
    }

    #[test]
    fn a_circle_goes_about_one_feature() {
        let mut session = adding(Addition::Circle);
        for id in ["h2", "h4"] {
            session.take_base(&id.into()).unwrap();
            assert_eq!(bases(added(&session)), [&Id::from(id)], "the last that was clicked");
        }
        let seen = session.adding_seen();
        let middle = session.results.solution.holes[3].centre;
        assert_eq!(seen.len(), 6);
        assert!(seen.iter().all(|fit| (fit.at.distance(middle) - 20.0).abs() < 1e-9), "20 mm round H4: {seen:?}");
    }
}
