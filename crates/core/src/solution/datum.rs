//! Where plate coordinates start and which way x runs.

use super::Solution;
use super::assemble::Assembled;
use crate::adjust::{Adjusted, Feature};
use crate::camera::RigidMove;
use crate::job::{Datum, Id, Job};
use crate::space::PlatePoint;

/// The hole or point with this id, where it is in the adjustment.
pub(super) fn feature_of(job: &Job, assembled: &Assembled, id: &Id) -> Option<Feature> {
    if let Some(place) = job.holes.iter().position(|hole| hole.id == *id) {
        return assembled.holes[place].ok().map(Feature::Rim);
    }
    job.points.iter().position(|point| point.id == *id).map(Feature::Spot)
}

/// Where a feature is, in the solve frame.
pub(super) fn place_of(adjusted: &Adjusted<'_>, feature: Feature) -> PlatePoint {
    match feature {
        Feature::Rim(rim) => adjusted.centre(rim),
        Feature::Spot(spot) => adjusted.spot(spot),
    }
}

/// Where coordinates start, and what x runs towards: what the job says, else the first fitted feature (holes before points)
/// and the second.
pub(super) fn features(job: &Job, assembled: &Assembled) -> (Option<Feature>, Option<Feature>) {
    let named = |id: &Id| feature_of(job, assembled, id);
    let said = job.datum.as_ref().and_then(|datum| named(&datum.origin).zip(named(&datum.along)));
    if let Some((origin, along)) = said {
        return (Some(origin), Some(along));
    }
    let holes = (0..assembled.problem.rims.len()).map(Feature::Rim);
    let mut fitted = holes.chain((0..assembled.problem.spots.len()).map(Feature::Spot));
    (fitted.next(), fitted.next())
}

/// The datum's frame as seen from the solve frame. With one feature x runs as in the photo.
pub(super) fn datum(job: &Job, assembled: &Assembled, adjusted: &Adjusted<'_>) -> RigidMove {
    let place = |feature| place_of(adjusted, feature);
    match features(job, assembled) {
        (Some(origin), Some(along)) => RigidMove::to_datum(place(origin), place(along)),
        (Some(origin), None) => RigidMove::to_datum(place(origin), place(origin)),
        _ => RigidMove::default(),
    }
}

impl Solution {
    /// Where coordinates start as things stand, to be said in `job`: what it says, else the two features that it is taken
    /// from; `None` with fewer.
    pub fn datum_in_use(&self, job: &Job) -> Option<Datum> {
        if job.datum.is_some() {
            return job.datum.clone();
        }
        let holes = self.holes.iter().map(|fit| &fit.id);
        let mut fitted = holes.chain(self.points.iter().map(|fit| &fit.id)).cloned();
        Some(Datum { origin: fitted.next()?, along: fitted.next()? })
    }
}
