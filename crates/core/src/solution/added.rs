//! Where what is added to the part lies, and how well its place is known.

use super::finish::added_diameter_mm;
use super::results::Results;
use super::traced::Traced;
use super::{AddedFit, Ellipse, SlotFit, datum};
use crate::adjust::{Feature, PlaceCovariance};
use crate::job::{Added, AddedKind, Between, Id, Job, Placed, PlacingOrder};
use crate::space::{PlatePoint, PlateVec};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// What places are told from: the frame of the datum, and the places of features, all in one frame.
struct Base<'a> {
    /// Where the datum's coordinates start.
    origin: Traced,
    /// The direction of its x, of length one.
    along: Traced,
    /// Where a hole or point is; `None` where it is not found.
    feature: &'a dyn Fn(&Id) -> Option<Traced>,
    /// The middles of what is added, as far as they are found yet.
    middles: BTreeMap<&'a Id, Traced>,
}

/// One hole or slot.
struct One {
    at: Traced,
    /// Of a slot.
    along: PlateVec,
}

impl<'a> Base<'a> {
    /// With the middle of everything that is added and has one, each found once and after what it rests on.
    fn new((origin, along): (Traced, Traced), feature: &'a dyn Fn(&Id) -> Option<Traced>, added: &[&'a Added]) -> Self {
        let mut base = Self { origin, along, feature, middles: BTreeMap::new() };
        for number in PlacingOrder::of(added).order {
            let added = added[number];
            // Shares of shares may grow beyond every figure.
            if let Some(middle) = base.middle(added).filter(|middle| middle.place().is_finite()) {
                base.middles.insert(&added.id, middle);
            }
        }
        base
    }

    /// A step in the datum's directions.
    fn step(&self, by: PlateVec) -> Traced {
        self.along.turned(by)
    }

    fn at(&self, PlatePoint { x, y }: PlatePoint) -> Traced {
        self.origin.plus(&self.step(PlateVec::new(x, y)))
    }

    /// Where a hole, a point or the middle of something added is.
    fn of(&self, id: &Id) -> Option<Traced> {
        self.middles.get(id).cloned().or_else(|| (self.feature)(id))
    }

    /// Of several on a circle: the middle of the circle. What it rests on is found before.
    fn middle(&self, added: &Added) -> Option<Traced> {
        match (&added.placed, added.at_mm) {
            (None, at) => at.map(|at| self.at(at)),
            (Some(Placed::Offset(offset)), _) => Some(self.of(&offset.from)?.plus(&self.step(offset.by_mm))),
            (Some(Placed::Between(Between { a, b, share, distance_mm })), _) => {
                let a = self.of(a)?;
                let way = self.of(b)?.minus(&a);
                let way = match distance_mm {
                    Some(mm) => way.unit()?.times(*mm),
                    None => way.times(share.unwrap_or(0.5)),
                };
                Some(a.plus(&way))
            }
            (Some(Placed::Circle(circle)), _) => match (&circle.about, circle.about_mm) {
                (Some(about), _) => self.of(about),
                (None, at) => at.map(|at| self.at(at)),
            },
        }
    }

    /// Every hole or slot of one entry of the job; none where what it rests on is not found.
    fn all(&self, added: &Added) -> Vec<One> {
        let Some(middle) = self.middles.get(&added.id).cloned() else { return Vec::new() };
        let Some(Placed::Circle(circle)) = &added.placed else {
            return self.one(added, middle, 0.0).into_iter().collect();
        };
        let one = |k: usize| {
            let spoke_rad = circle.first_deg.to_radians() + TAU * k as f64 / circle.n as f64;
            let spoke = self.step(PlateVec::from_angle(spoke_rad) * circle.radius_mm);
            self.one(added, middle.plus(&spoke), spoke_rad)
        };
        // Rather none of them than some.
        (0..circle.n).map(one).collect::<Option<_>>().unwrap_or_default()
    }

    fn one(&self, added: &Added, at: Traced, spoke_rad: f64) -> Option<One> {
        let along = if let Some(towards) = &added.towards {
            self.of(towards)?.minus(&at).step().unit()?
        } else {
            let angle_rad = spoke_rad + added.angle_deg.unwrap_or(0.0).to_radians();
            self.step(PlateVec::from_angle(angle_rad)).step()
        };
        Some(One { at, along })
    }
}

impl AddedFit {
    /// One of `added`, number `number` of `of`, at `at` in the datum's frame; `along` is the direction of a slot.
    fn new(job: &Job, added: &Added, (number, of): (usize, usize), at: PlatePoint, along: PlateVec) -> Self {
        let name = added.shown_name();
        Self {
            id: added.id.clone(),
            number,
            name: if of > 1 { format!("{name}.{number}") } else { name },
            at,
            ellipse: Ellipse::default(),
            diameter_mm: added_diameter_mm(job, added),
            slot: (added.kind == AddedKind::Slot)
                .then(|| SlotFit { length_mm: added.length_mm.unwrap_or(0.0), angle_rad: along.angle_rad() }),
        }
    }
}

/// Everything that is added and has a place.
pub(super) fn added(results: &Results<'_>) -> Vec<AddedFit> {
    let Results { job, assembled, adjusted, datum, .. } = results;
    if job.added.is_empty() {
        return Vec::new();
    }
    let traced = |feature| Traced::feature(feature, datum::place_of(adjusted, feature));
    let (origin, along) = datum::features(job, assembled);
    let (origin, along) = (origin.map(traced), along.map(traced));
    let direction = origin.as_ref().zip(along.as_ref()).and_then(|(origin, along)| along.minus(origin).unit());
    let feature = |id: &Id| datum::feature_of(job, assembled, id).map(traced);
    let frame = (origin.unwrap_or_default(), direction.unwrap_or_else(|| Traced::fixed(1.0, 0.0)));
    let base = Base::new(frame, &feature, &job.added.iter().collect::<Vec<_>>());
    let all: Vec<(&Added, Vec<One>)> = job.added.iter().map(|added| (added, base.all(added))).collect();
    let mut features: Vec<Feature> = Vec::new();
    for feature in all.iter().flat_map(|(_, ones)| ones).flat_map(|one| one.at.features()) {
        if !features.contains(&feature) {
            features.push(feature);
        }
    }
    let joint = adjusted.joint_covariance(&features);
    let fit = |(added, ones): (&Added, Vec<One>)| -> Vec<AddedFit> {
        let of = ones.len();
        let fit = |(k, one): (usize, One)| {
            let covariance: PlaceCovariance = one.at.covariance(&features, &joint);
            let at = datum.apply(one.at.place());
            let ellipse = results.ellipse_of(&covariance);
            AddedFit { ellipse, ..AddedFit::new(job, added, (k + 1, of), at, datum.turn(one.along)) }
        };
        ones.into_iter().enumerate().map(fit).collect()
    };
    all.into_iter().flat_map(fit).collect()
}

/// Where each of `added` lies by the places of features in the datum's frame, without how well it is known: for what is not
/// in the job yet.
pub fn added_among(job: &Job, added: &[&Added], places: impl Fn(&Id) -> Option<PlatePoint>) -> Vec<AddedFit> {
    let feature = |id: &Id| places(id).map(|at| Traced::fixed(at.x, at.y));
    let base = Base::new((Traced::default(), Traced::fixed(1.0, 0.0)), &feature, added);
    let fit = |added: &&Added| -> Vec<AddedFit> {
        let ones = base.all(added);
        let of = ones.len();
        let fit = |(k, one): (usize, One)| AddedFit::new(job, added, (k + 1, of), one.at.place(), one.along);
        ones.into_iter().enumerate().map(fit).collect()
    };
    added.iter().flat_map(fit).collect()
}
