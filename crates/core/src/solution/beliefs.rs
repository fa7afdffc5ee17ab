//! What is believed of the camera before anything is measured: what the person said, else the photo, else the usual.

use super::Inputs;
use super::assemble::SMALLEST_SIGMA;
use crate::adjust::{Prior, Priors};
use crate::job::{Belief, LensTerm};

/// Relative standard deviation of the focal length that a photo says of itself: its 35 mm equivalent is rounded to
/// whole mm, and lenses breathe. Common practice, no source.
pub const EXIF_FOCAL_SIGMA: f64 = 0.04;
/// Focal length over the long side where nothing is known, and the standard deviation of its logarithm: from wide phone
/// cameras to short telephoto lenses. Common practice, no source.
const GUESSED_FOCAL: (f64, f64) = (0.8, 0.35);
/// Distance where no length says it, mm, and the standard deviation of its logarithm, which says nothing.
const GUESSED_DISTANCE: (f64, f64) = (300.0, 3.0);
/// Standard deviation of the principal point as a share of the long side. Common practice, no source.
const PRINCIPAL_SIGMA: f64 = 0.005;
/// Standard deviations of k1, k2, p1, p2 of a lens that nothing is known of. Common practice, no source.
const DISTORTION_SIGMA: [f64; 4] = [0.05, 0.02, 0.001, 0.001];

/// A belief with where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Believed {
    /// The value with its standard deviation.
    pub belief: Belief,
    /// Where it comes from.
    pub source: BeliefSource,
}

/// Where a belief comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeliefSource {
    /// The person said it.
    Person,
    /// The photo says it of itself.
    Photo,
    /// It is the usual one: a guess.
    Usual,
}

/// What is believed of the camera before anything is measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beliefs {
    /// How far the camera may have been tilted either way, degrees (1 sigma).
    pub tilt_sigma_deg: f64,
    /// Focal length, px.
    pub focal_px: Believed,
    /// The terms of the lens, in the order of [`LensTerm::ALL`]: cx and cy in px, the rest without unit.
    pub lens: [Believed; 6],
}

impl Beliefs {
    /// What is believed of a term of the lens.
    pub fn term(&self, term: LensTerm) -> Believed {
        self.lens[term as usize]
    }
}

/// What is believed of the camera of a job before anything is measured.
pub fn beliefs(inputs: &Inputs<'_>) -> Beliefs {
    let photo = &inputs.job.photo;
    let usable = |focal: &f64| focal.is_finite() && *focal > 0.0;
    let said = photo.focal_px.filter(|belief| usable(&belief.value));
    let focal_px =
        said.map_or_else(|| focal_unsaid(inputs), |belief| Believed { belief, source: BeliefSource::Person });
    let lens = LensTerm::ALL.map(|term| match photo.lens.term(term) {
        Some(belief) => Believed { belief, source: BeliefSource::Person },
        None => Believed { belief: usual_term(photo.size, term), source: BeliefSource::Usual },
    });
    Beliefs { tilt_sigma_deg: photo.held.tilt_sigma_deg(), focal_px, lens }
}

/// The focal length where the person does not say it: what the photo says of itself, else a guess.
pub fn focal_unsaid(inputs: &Inputs<'_>) -> Believed {
    let [width, height] = inputs.job.photo.size.map(f64::from);
    let guess = GUESSED_FOCAL.0 * width.max(height).max(1.0);
    let exif = inputs.exif_focal_px.filter(|focal| focal.is_finite() && *focal > 0.0);
    let (value, share, source) = exif
        .map_or((guess, GUESSED_FOCAL.1, BeliefSource::Usual), |exif| (exif, EXIF_FOCAL_SIGMA, BeliefSource::Photo));
    Believed { belief: Belief { value, sigma: share * value }, source }
}

/// What is usually believed of a term of the lens of a photo of `size`, px.
pub fn usual_term(size: [u32; 2], term: LensTerm) -> Belief {
    let [width, height] = size.map(f64::from);
    let principal = PRINCIPAL_SIGMA * width.max(height).max(1.0);
    let [k1, k2, p1, p2] = DISTORTION_SIGMA;
    let (value, sigma) = match term {
        LensTerm::Cx => (0.5 * (width - 1.0), principal),
        LensTerm::Cy => (0.5 * (height - 1.0), principal),
        LensTerm::K1 => (0.0, k1),
        LensTerm::K2 => (0.0, k2),
        LensTerm::P1 => (0.0, p1),
        LensTerm::P2 => (0.0, p2),
    };
    Belief { value, sigma }
}

/// The same as the adjustment takes it: distance and focal length by their logarithms, tilts in radians.
pub(super) fn priors(inputs: &Inputs<'_>) -> Priors {
    let beliefs = beliefs(inputs);
    let prior = |value, sigma: f64| Prior { value, sigma: sigma.max(SMALLEST_SIGMA) };
    let focal = beliefs.focal_px.belief;
    let tilt = prior(0.0, beliefs.tilt_sigma_deg.to_radians());
    let [cx, cy, k1, k2, p1, p2] = beliefs.lens.map(|term| prior(term.belief.value, term.belief.sigma));
    let distance = prior(GUESSED_DISTANCE.0.ln(), GUESSED_DISTANCE.1);
    Priors([distance, tilt, tilt, prior(focal.value.ln(), focal.sigma / focal.value), cx, cy, k1, k2, p1, p2])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::Instrument;
    use crate::job::{Edit, Held, Job, LensBeliefs, Photo};

    fn photo() -> Photo {
        Photo {
            file: "plate.jpg".to_owned(),
            sha256: "0".repeat(64),
            size: [4000, 3000],
            held: Held::ByEye,
            focal_px: None,
            lens: LensBeliefs::default(),
        }
    }

    fn at_focal(said: Option<Belief>, exif_focal_px: Option<f64>) -> Believed {
        let mut job = Job::new(photo());
        job.apply(Edit::Focal(said)).unwrap();
        beliefs(&Inputs { job: &job, exif_focal_px, instrument: Instrument::CALIPER, seen: None }).focal_px
    }

    #[test]
    fn what_the_person_says_comes_before_the_photo_and_the_photo_before_a_guess() {
        let said = Belief { value: 3000.0, sigma: 30.0 };
        assert_eq!(at_focal(Some(said), Some(2800.0)), Believed { belief: said, source: BeliefSource::Person });
        let photo = at_focal(None, Some(2800.0));
        assert_eq!((photo.source, photo.belief.value), (BeliefSource::Photo, 2800.0));
        assert!((photo.belief.sigma - 112.0).abs() < 1e-9, "4 % of it: {}", photo.belief.sigma);
        let guess = at_focal(None, None);
        assert_eq!(guess.source, BeliefSource::Usual, "nothing is known");
        assert!((guess.belief.sigma / guess.belief.value - 0.35).abs() < 1e-12, "±35 %");
        assert_eq!(at_focal(None, Some(f64::NAN)).source, BeliefSource::Usual, "what is no number says nothing");
    }

    #[test]
    fn a_term_that_was_said_replaces_the_usual_one_alone() {
        let mut job = Job::new(photo());
        let said = Belief { value: -0.08, sigma: 0.005 };
        job.apply(Edit::Lens(LensBeliefs { k1: Some(said), ..LensBeliefs::default() })).unwrap();
        let beliefs = beliefs(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
        assert_eq!(beliefs.term(LensTerm::K1), Believed { belief: said, source: BeliefSource::Person });
        let usual = usual_term(job.photo.size, LensTerm::K2);
        assert_eq!(beliefs.term(LensTerm::K2), Believed { belief: usual, source: BeliefSource::Usual });
    }
}
