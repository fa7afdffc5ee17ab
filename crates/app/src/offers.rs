//! Rims that the photo shows besides those of the job's holes: found from one hole, each with a tick, until the ticked
//! ones become holes.

use crate::files::LoadedPhoto;
use platewright_core::camera::PlateMap;
use platewright_core::edge::{Offer, RimStart, SizeClass, find_rims};
use platewright_core::fit::geometric;
use platewright_core::job::{Edit, Hole, Id, Job};
use platewright_core::space::{PhotoPoint, PhotoVec};
use platewright_core::tolerance::CLICK_SIGMA_PX;
use std::f64::consts::TAU;
use std::sync::Arc;

/// How well the picks of an offered rim lie on it, px: where the rim is then not to be trusted they are worth no more than
/// clicks.
const OFFERED_SIGMA_PX: f64 = CLICK_SIGMA_PX;

/// The rims that were found, in the order in which they are offered.
#[derive(Debug, Clone, PartialEq)]
pub struct Offers {
    /// The hole from which they were found.
    pub from: Id,
    /// The rims.
    pub rims: Vec<OfferedRim>,
}

/// A rim that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedRim {
    /// Three places on it, which become the hole's picks.
    pub picks: [PhotoPoint; 3],
    /// Places all round it.
    pub line: Vec<PhotoPoint>,
    /// Its diameter as a share of that of the hole from which it was found.
    pub size: f64,
    /// It is of the same size.
    pub is_like: bool,
    /// It is to become a hole.
    pub is_ticked: bool,
}

/// What is needed to look for rims beside the window.
#[derive(Debug, Clone)]
pub struct Search {
    /// The job.
    pub job: Job,
    /// Its photo.
    pub photo: Arc<LoadedPhoto>,
    /// The camera as far as it is known.
    pub map: PlateMap,
    /// The hole from which to look.
    pub from: Id,
}

impl Search {
    /// Looks for rims; `None` where `go_on` says no before all are found.
    pub fn run(&self, go_on: &dyn Fn() -> bool) -> Option<Offers> {
        let start = |hole: &Hole| {
            let picks = (hole.rim.len() >= 3).then_some(&hole.rim)?;
            RimStart::from_picks(&self.map, picks, hole.sigma_px.unwrap_or(CLICK_SIGMA_PX))
        };
        let accepted = self.job.hole(&self.from).and_then(start);
        let others = self.job.holes.iter().filter(|hole| hole.id != self.from);
        let known: Vec<RimStart> = others.filter_map(start).collect();
        let found = match self.photo.picture().zip(accepted) {
            Some((picture, accepted)) => {
                let found = find_rims(&picture, &self.map, &accepted, &known, &mut |_| go_on())?;
                found.iter().map(|offer| offered(offer, accepted.radius_mm)).collect()
            }
            None => Vec::new(),
        };
        Some(Offers { from: self.from.clone(), rims: found })
    }
}

fn offered(offer: &Offer, radius_mm: f64) -> OfferedRim {
    let is_like = offer.size == SizeClass::Like;
    OfferedRim { picks: offer.picks, line: line(offer), size: offer.radius_mm / radius_mm, is_like, is_ticked: is_like }
}

/// Places all round an offered rim: those that were measured, else the circle through its picks.
fn line(offer: &Offer) -> Vec<PhotoPoint> {
    const SIDES: u32 = 48;
    if !offer.points.is_empty() {
        return offer.points.iter().map(|point| point.at).collect();
    }
    let Some(fit) = geometric(&offer.picks) else { return offer.picks.to_vec() };
    let place = |side: u32| {
        let towards = PhotoVec::from_angle(TAU * f64::from(side) / f64::from(SIDES));
        PhotoPoint::from(fit.circle.centre) + towards * fit.circle.radius
    };
    (0..SIDES).map(place).collect()
}

impl OfferedRim {
    /// The middle of its line and its mean radius, px.
    fn circle(&self) -> Option<(PhotoPoint, f64)> {
        let share = 1.0 / self.line.len() as f64;
        let sum = self.line.iter().fold(PhotoVec::default(), |sum, place| sum + (*place - PhotoPoint::default()));
        let middle = PhotoPoint::default() + sum * share;
        let radius = self.line.iter().map(|place| place.distance(middle)).sum::<f64>() * share;
        (radius > 0.0).then_some((middle, radius))
    }

    /// A hole of the job has this rim: its picks make a circle in the same place and of the same size. A smaller hole within
    /// it is another one.
    fn is_taken(&self, job: &Job) -> bool {
        let Some((middle, radius)) = self.circle() else { return false };
        let is_this = |hole: &Hole| {
            let circle = (hole.rim.len() >= 3).then(|| geometric(&hole.rim)).flatten().map(|fit| fit.circle);
            circle.is_some_and(|circle| {
                let apart = PhotoPoint::from(circle.centre).distance(middle);
                apart < SAME_PLACE * radius && SAME_SIZE.contains(&(circle.radius / radius))
            })
        };
        job.holes.iter().any(is_this)
    }
}

/// A hole within this share of an offered rim's radius from its middle, and within these shares of its radius, is that rim:
/// picks lie off, and a slanted circle is none in the photo.
const SAME_PLACE: f64 = 0.3;
const SAME_SIZE: std::ops::Range<f64> = 0.75..1.33;

impl Offers {
    /// Drops the rims of holes that were placed since.
    pub fn drop_taken(&mut self, job: &Job) {
        self.rims.retain(|rim| !rim.is_taken(job));
    }

    /// How many are ticked.
    pub fn ticked(&self) -> usize {
        self.rims.iter().filter(|rim| rim.is_ticked).count()
    }

    /// The edits that make holes of the ticked ones. Those of the same size as the hole from which they were found are of
    /// its group, and have their edge broken as it has.
    pub fn edits(&self, job: &Job) -> Vec<Edit> {
        let mut job = job.clone();
        let like = job.hole(&self.from).cloned();
        let mut edits = Vec::new();
        for rim in self.rims.iter().filter(|rim| rim.is_ticked) {
            let alike = like.as_ref().filter(|_| rim.is_like);
            let hole = Hole {
                id: job.free_id("h"),
                name: job.free_hole_name(),
                rim: rim.picks.to_vec(),
                sigma_px: Some(OFFERED_SIGMA_PX),
                measure_rim: true,
                group: alike.and_then(|hole| hole.group.clone()),
                edge_break: alike.is_some_and(|hole| hole.edge_break),
                keep: true,
            };
            job.holes.push(hole.clone());
            edits.push(Edit::AddHole(hole));
        }
        edits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    fn rim(middle: PhotoPoint, radius: f64) -> OfferedRim {
        let place = |turn: f64| middle + PhotoVec::from_angle(TAU * turn) * radius;
        OfferedRim {
            picks: [0.0, 0.33, 0.67].map(place),
            line: (0..24).map(|step| place(f64::from(step) / 24.0)).collect(),
            size: 1.0,
            is_like: true,
            is_ticked: true,
        }
    }

    #[test]
    fn a_rim_on_which_a_hole_was_placed_since_is_dropped_and_no_other() {
        let job = samples::holes_only();
        let at = |hole: usize| {
            let rim = &job.holes[hole].rim;
            let sum = rim.iter().fold(PhotoVec::default(), |sum, pick| sum + (*pick - PhotoPoint::default()));
            PhotoPoint::default() + sum * (1.0 / rim.len() as f64)
        };
        let free = rim(PhotoPoint::new(200.0, 150.0), 20.0);
        let around = rim(at(1), 60.0);
        let rims = vec![rim(at(1) + PhotoVec::new(2.0, -1.0), 19.0), free.clone(), around.clone()];
        let mut offers = Offers { from: job.holes[0].id.clone(), rims };
        offers.drop_taken(&job);
        assert_eq!(offers.rims, [free, around], "the second hole has the first of them");
        assert_eq!(offers.edits(&job).len(), 2, "two holes are added");
    }
}
