//! Where on the photo a thing of the job is, for 'show' and for choosing it.

use crate::session::{Chosen, Session, Sort};
use platewright_core::job::{Id, Job};
use platewright_core::space::PhotoPoint;

/// The middle of what has this id, on the photo; `None` where nothing was placed.
pub(super) fn on_photo(job: &Job, id: &Id) -> Option<PhotoPoint> {
    if let Some(hole) = job.hole(id) {
        return middle(&hole.rim);
    }
    if let Some(point) = job.points.iter().find(|point| point.id == *id) {
        return Some(point.at);
    }
    if let Some(edge) = job.edges.iter().find(|edge| edge.id == *id) {
        return middle(&edge.along);
    }
    let measures = job.measures.iter().map(|measure| (&measure.id, &measure.between));
    let mut between = measures.chain(job.statements.iter().map(|said| (&said.id, &said.between)));
    if let Some((_, between)) = between.find(|(own, _)| *own == id) {
        let ends: Vec<PhotoPoint> = between.iter().filter_map(|feature| on_photo(job, feature)).collect();
        return middle(&ends);
    }
    if let Some(trial) = job.trials.iter().find(|trial| trial.id == *id) {
        return on_photo(job, &trial.hole);
    }
    let contour = job.contour(id)?;
    contour.nodes.first().map(|node| node.at)
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
    session.screen.show = on_photo(job, id);
    if let Some(sort) = Sort::of(job, id) {
        session.screen.chosen = Some(sort.chosen(id.clone()));
    } else if job.measures.iter().any(|measure| measure.id == *id) {
        session.screen.chosen = Some(Chosen::Measure(id.clone()));
    } else if job.statements.iter().any(|said| said.id == *id) {
        session.screen.chosen = Some(Chosen::Statement(id.clone()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_nothing_is_nowhere() {
        assert_eq!(middle(&[]), None, "no picks, no place");
        let points = [PhotoPoint::new(0.0, 0.0), PhotoPoint::new(10.0, 4.0)];
        assert_eq!(middle(&points), Some(PhotoPoint::new(5.0, 2.0)), "half way");
    }
}
