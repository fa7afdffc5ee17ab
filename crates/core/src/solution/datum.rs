//! Where plate coordinates start and which way x runs.

use super::assemble::Assembled;
use crate::adjust::Adjusted;
use crate::camera::RigidMove;
use crate::job::{Id, Job};
use crate::space::PlatePoint;

/// The datum's frame as seen from the solve frame: what the job says, else from the first fitted feature (holes before
/// points) towards the second. With one feature x runs as in the photo.
pub(super) fn datum(job: &Job, assembled: &Assembled, adjusted: &Adjusted<'_>) -> RigidMove {
    let named = |id: &Id| -> Option<PlatePoint> {
        if let Some(place) = job.holes.iter().position(|hole| hole.id == *id) {
            return Some(adjusted.centre(assembled.holes[place].ok()?));
        }
        job.points.iter().position(|point| point.id == *id).map(|place| adjusted.spot(place))
    };
    if let Some(datum) = &job.datum
        && let (Some(origin), Some(along)) = (named(&datum.origin), named(&datum.along))
    {
        return RigidMove::to_datum(origin, along);
    }
    let holes = (0..assembled.problem.rims.len()).map(|rim| adjusted.centre(rim));
    let points = (0..assembled.problem.spots.len()).map(|spot| adjusted.spot(spot));
    let mut fitted = holes.chain(points);
    match (fitted.next(), fitted.next()) {
        (Some(origin), Some(along)) => RigidMove::to_datum(origin, along),
        (Some(origin), None) => RigidMove::to_datum(origin, origin),
        _ => RigidMove::default(),
    }
}
