//! Where on the photo a thing of the job is, for 'show' and for choosing it.

use crate::session::{Chosen, Session, Shown, Sort};
use platewright_core::check::Check;
use platewright_core::job::{Id, Job};
use platewright_core::solution::Solution;
use platewright_core::space::{PhotoPoint, PlatePoint};

/// Where what has this id is on the photo, and how large; `None` where nothing was placed.
pub(super) fn on_photo(job: &Job, id: &Id) -> Option<Shown> {
    if let Some(hole) = job.hole(id) {
        return shown(&hole.rim);
    }
    if let Some(point) = job.points.iter().find(|point| point.id == *id) {
        return shown(&[point.at]);
    }
    if let Some(edge) = job.edges.iter().find(|edge| edge.id == *id) {
        return shown(&edge.along);
    }
    let measures = job.measures.iter().map(|measure| (&measure.id, &measure.between));
    let mut between = measures.chain(job.statements.iter().map(|said| (&said.id, &said.between)));
    if let Some((_, between)) = between.find(|(own, _)| *own == id) {
        return all_of(&between.iter().filter_map(|feature| on_photo(job, feature)).collect::<Vec<_>>());
    }
    if let Some(trial) = job.trials.iter().find(|trial| trial.id == *id) {
        return on_photo(job, &trial.hole);
    }
    let contour = job.contour(id)?;
    shown(&[contour.nodes.first()?.at])
}

/// Some things together.
fn all_of(things: &[Shown]) -> Option<Shown> {
    let at = middle(&things.iter().map(|thing| thing.at).collect::<Vec<_>>())?;
    let reach = things.iter().map(|thing| thing.at.distance(at) + 0.5 * thing.across_px).fold(0.0, f64::max);
    Some(Shown { at, across_px: 2.0 * reach })
}

/// What is added lies on the plate; `None` while nothing says where that is on the photo.
fn added(solution: &Solution, id: &Id) -> Option<Shown> {
    let map = solution.map?;
    let mut places: Vec<PhotoPoint> = Vec::new();
    for fit in solution.added.iter().filter(|fit| fit.id == *id) {
        let rim = fit.rim().map(|rim| rim.segments).unwrap_or_default();
        places.extend(rim.iter().map(|segment| segment.from).chain([fit.at]).filter_map(|at| map.photo_from_plate(at)));
    }
    shown(&places)
}

/// Some places together; `None` where there is none.
pub(super) fn shown(points: &[PhotoPoint]) -> Option<Shown> {
    all_of(&points.iter().map(|at| Shown { at: *at, across_px: 0.0 }).collect::<Vec<_>>())
}

fn middle(points: &[PhotoPoint]) -> Option<PhotoPoint> {
    if points.is_empty() {
        return None;
    }
    let share = 1.0 / points.len() as f64;
    Some(PhotoPoint::new(
        points.iter().map(|point| point.x).sum::<f64>() * share,
        points.iter().map(|point| point.y).sum::<f64>() * share,
    ))
}

/// Chooses what has this id and brings it into sight.
pub(crate) fn show(session: &mut Session, id: &Id) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    session.screen.show = on_photo(job, id).or_else(|| added(&session.results.solution, id));
    if let Some(sort) = Sort::of(job, id) {
        session.screen.chosen = Some(sort.chosen(id.clone()));
    } else if job.added(id).is_some() {
        session.screen.chosen = Some(Chosen::Added(id.clone()));
    } else if job.measures.iter().any(|measure| measure.id == *id) {
        session.screen.chosen = Some(Chosen::Measure(id.clone()));
    } else if job.statements.iter().any(|said| said.id == *id) {
        session.screen.chosen = Some(Chosen::Statement(id.clone()));
    }
}

/// How much of the plate is shown round a place where something is wrong, mm.
const ROUND_A_PLACE_MM: f64 = 6.0;

/// Chooses what a check is about and brings the place where it is wrong into sight.
pub(super) fn show_check(session: &mut Session, check: &Check) {
    if let Some(id) = &check.about {
        show(session, id);
    }
    if let Some(shown) = on_plate(&session.results.solution, &check.places) {
        session.screen.show = Some(shown);
    }
}

/// The first place on the plate, as large as what surrounds it; `None` while nothing says where that is on the photo.
fn on_plate(solution: &Solution, places: &[PlatePoint]) -> Option<Shown> {
    let (map, place) = (solution.map?, *places.first()?);
    Some(Shown { at: map.photo_from_plate(place)?, across_px: ROUND_A_PLACE_MM * map.px_per_mm(place) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn the_middle_of_nothing_is_nowhere() {
        assert_eq!(middle(&[]), None, "no picks, no place");
        let points = [PhotoPoint::new(0.0, 0.0), PhotoPoint::new(10.0, 4.0)];
        assert_eq!(middle(&points), Some(PhotoPoint::new(5.0, 2.0)), "half way");
    }

    #[test]
    fn a_check_is_shown_where_it_is_wrong() {
        let mut session = samples::session(samples::plate());
        session.refresh();
        let h3 = session.results.solution.holes[2].centre;
        let about = |places: Vec<PlatePoint>| Check {
            about: Some(Id::from("h1")),
            places,
            ..samples::check(platewright_core::check::Verdict::Warn)
        };
        show_check(&mut session, &about(vec![h3]));
        let shown = session.screen.show.unwrap();
        assert!(shown.at.distance(PhotoPoint::new(310.0, 230.0)) < 1.0, "at H3, where it is wrong: {shown:?}");
        // The plate has 4 px to the mm, within what the tilt leaves open.
        assert!((shown.across_px - 24.0).abs() < 2.0, "6 mm of it: {shown:?}");
        assert_eq!(session.screen.chosen, Some(Chosen::Hole(Id::from("h1"))), "what it is about is chosen");
        show_check(&mut session, &about(Vec::new()));
        let shown = session.screen.show.unwrap();
        assert!(shown.at.distance(PhotoPoint::new(80.0, 70.0)) < 1.0, "all of H1, where no place is said: {shown:?}");
    }

    #[test]
    fn a_measure_is_as_large_as_both_its_holes_with_what_is_between() {
        let job = samples::plate();
        // The holes of M1 are 240 px apart and 40 px wide.
        let hole = on_photo(&job, &Id::from("h1")).unwrap();
        assert!((hole.across_px - 40.0).abs() < 0.5, "{hole:?}");
        let measure = on_photo(&job, &Id::from("m1")).unwrap();
        assert!((measure.across_px - 280.0).abs() < 1.0, "{measure:?}");
        assert!(measure.at.distance(PhotoPoint::new(200.0, 72.5)) < 1.0, "{measure:?}");
        assert_eq!(on_photo(&job, &Id::from("nothing")), None, "nowhere");
    }
}
