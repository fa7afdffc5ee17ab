//! How well the picks along a rim or a straight edge are known.

/// Precision of the picks along one rim or straight edge.
#[derive(Debug, Clone, PartialEq)]
pub enum Precision {
    /// Placed by hand: each counts in full, with this standard deviation, px.
    ByHand(f64),
    /// Measured in the photo: many, each with a standard deviation of its own, and robustly, since dirt, glare and the
    /// wall of a hole leave points that belong to no rim.
    Measured {
        /// Standard deviation of each pick, px.
        sigma_px: Vec<f64>,
        /// What does not average out over them.
        shared: SharedError,
    },
}

/// An error that all points of one measured curve have in common, as texture, light and the lens's own blur leave it.
///
/// The seen curve is the true one and this error; the error is eliminated, which costs no unknown (see
/// [`super::gram`]).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SharedError {
    /// Standard deviation of the shift along either axis, px; of a straight edge across it.
    pub shift_px: f64,
    /// Standard deviation of the radius, px; a straight edge has none.
    pub radius_px: f64,
}

/// A measured point farther off than this many of its standard deviations pulls no harder than one that is as far.
///
/// With normal errors one point in 370 lies farther, so that clean points lose nothing (Huber, Robust estimation of a
/// location parameter, 1964).
const HUBER_SIGMAS: f64 = 3.0;

/// One observation as it counts: what its row is multiplied by, and its part of the square sum.
pub(super) struct Counted {
    pub(super) share: f64,
    pub(super) square: f64,
}

impl Precision {
    /// Standard deviation of a pick, px.
    pub fn sigma_px(&self, pick: usize) -> f64 {
        match self {
            Self::ByHand(sigma_px) => *sigma_px,
            Self::Measured { sigma_px, .. } => sigma_px[pick],
        }
    }

    /// What the picks have in common; nothing where they were placed by hand.
    pub fn shared(&self) -> SharedError {
        match self {
            Self::ByHand(_) => SharedError::default(),
            Self::Measured { shared, .. } => *shared,
        }
    }

    /// Variance of a rim's centre along either axis by `count` picks spread evenly round it, px²: two over the sum of
    /// the weights (Chernov and Lesort, Statistical efficiency of curve fitting algorithms, 2004), and what they share.
    pub fn centre_variance_px2(&self, count: usize) -> f64 {
        let weights: f64 = (0..count).map(|pick| self.sigma_px(pick).powi(-2)).sum();
        2.0 / weights + self.shared().shift_px.powi(2)
    }

    /// The same with every standard deviation multiplied.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Self {
        match self {
            Self::ByHand(sigma_px) => Self::ByHand(sigma_px * by),
            Self::Measured { sigma_px, shared } => Self::Measured {
                sigma_px: sigma_px.iter().map(|sigma_px| sigma_px * by).collect(),
                shared: SharedError { shift_px: shared.shift_px * by, radius_px: shared.radius_px * by },
            },
        }
    }

    /// The same for some of the picks only.
    pub(super) fn of_picks(&self, picks: impl Iterator<Item = usize>) -> Self {
        match self {
            Self::ByHand(sigma_px) => Self::ByHand(*sigma_px),
            Self::Measured { sigma_px, shared } => {
                Self::Measured { sigma_px: picks.map(|pick| sigma_px[pick]).collect(), shared: *shared }
            }
        }
    }

    /// How a pick counts that is off by so many of its standard deviations.
    #[inline]
    pub(super) fn counted(&self, off_sigmas: f64) -> Counted {
        let far = off_sigmas.abs();
        if matches!(self, Self::ByHand(_)) || far <= HUBER_SIGMAS {
            return Counted { share: 1.0, square: off_sigmas * off_sigmas };
        }
        // The square sum goes on as a straight line.
        Counted { share: (HUBER_SIGMAS / far).sqrt(), square: HUBER_SIGMAS * (2.0 * far - HUBER_SIGMAS) }
    }
}

impl From<f64> for Precision {
    /// Placed by hand, with this standard deviation, px.
    fn from(sigma_px: f64) -> Self {
        Self::ByHand(sigma_px)
    }
}
