//! What one profile across a curve tells: where the step is that is the curve's.

use super::consensus::NEAR_PX;
use super::picture::{Light, Mixture, Picture};
use super::profile::{LONGEST_PX, Profile, Strip};
use super::search::median;
use super::second::{Inner, Standpoint, Within};
use super::station::Station;
use super::step::{Channels, Expected, Ground, Step, StepFit, between, free_step, gains, one_step, steps};
use crate::space::PhotoPoint;

/// Why a place along an edge gives no point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rejection {
    /// The profile there reaches off the photo, or the camera does not see the place.
    OffPhoto,
    /// The light does not change across the curve by more than its noise.
    NoContrast,
    /// The light changes, but not on the curve: the wall's far end, dirt, a shadow.
    OffCurve,
    /// The edge turns there within a few pixels: a corner.
    Turn,
    /// Glare: so much of the light there is cut off at white that half of the way up to it is not known.
    Glare,
}

/// A place along an edge that gives no point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rejected {
    /// Where it was looked for, or what was found off the curve; `None` where the camera does not see the place.
    pub at: Option<PhotoPoint>,
    /// Why it does not count.
    pub reason: Rejection,
}

/// A profile that looks for a second edge beside the curve's reaches this many blurs to each side, within limits in px.
const WIDE_BLURS: f64 = 5.0;
const WIDE_PX: (f64, f64) = (4.0, 8.0);

/// It reaches so many times as far within the curve: breaks are a few px wide.
const INSIDE: f64 = 1.6;

/// A profile that measures the curve reaches this many, within limits. The levels beside a step are settled there by few
/// pixels, which costs a tenth in noise; but surfaces are even over a few px only, and walls grow lighter towards the
/// rim: on rendered photos the nearer levels leave a fifth less error than those of wide profiles.
const NEAR_BLURS: f64 = 2.9;
const NEAR_REACH_PX: (f64, f64) = (2.4, 8.0);

/// An edge whose bright side is cut off at white by more than this share is glare.
const MOST_WHITE: f64 = 0.1;

/// What of such a step is below white may put it elsewhere by so many blurs at most.
const GLARE_MOVES_BLURS: f64 = 1.5;

/// The blur that is assumed before it is known: that of a sharp photo, px.
const USUAL_BLUR_PX: f64 = 0.9;

/// Blurs beyond these are no blurs of an edge, px.
const BLUR_PX: (f64, f64) = (0.3, 4.0);

/// A step that is settled worse than this is none, px; and one that tells the blur is settled better than that.
const LEAST_CLEAR_PX: f64 = 0.7;
const CLEAR_SIGMA_PX: f64 = 0.3;
const CLEAR_BLUR: f64 = 0.3;

/// Two steps that are nearer are not two edges: what the one shows, the other shows as well, px.
pub(super) const APART_PX: f64 = 2.0;

/// Of two steps one that rises by less than this share of the other is an unevenness of the surface.
const LEAST_SHARE: f64 = 0.2;

/// A second edge shows by at least this share in brightness: smeared colour alone looks like one.
const OWN_BRIGHTNESS: f64 = 0.5;

/// So many profiles tell the blur, and so many are enough.
const FEWEST_TELL: usize = 8;
const MOST_TELL: usize = 32;

/// The ground along a curve slopes where its profiles agree on more than this, in standard deviations of their mean, and it is
/// more a px than this share of the step: the feet of a lens's blur, which is no Gaussian, are less. A slope costs a fifth in
/// noise, so that it is kept for where it is.
const SLOPES_BY: f64 = 4.0;
const LEAST_SLOPE: f64 = 0.03;

/// So many profiles at least tell it: the ground of a smaller rim is near its wall all over.
const FEWEST_AGREE: usize = 20;

/// The ground tells its slope from so many blurs within the foot of the edge on, over so many px at most and at least.
const FOOT_BLURS: f64 = 3.0;
const GROUND_PX: (f64, f64) = (2.0, 5.0);

/// A wall that shows by less than this moves its edge by a part of it that is less than other errors, px.
const THINNEST_PX: f64 = 0.25;

/// How much colour counts against brightness where an edge is measured: its smear is no Gaussian, and its code values do
/// not add up as light does, so it shall decide only where brightness does not.
const COLOUR_WORTH: f64 = 0.5;

/// No pixel's light is known better than this: what rounding to 8 bits leaves in the shadows.
const LEAST_NOISE: f64 = 1e-4;

/// Blurs of single profiles are never taken to agree better than this: a few that are alike may be so by chance.
const LEAST_BLUR_SPREAD: f64 = 0.05;

/// How much the blur changes over a photo: a share of it.
const BLUR_CHANGES: f64 = 0.05;

/// The blur of brightness at a place of a photo.
#[derive(Debug, Clone, Copy)]
pub(super) struct Blur {
    /// Standard deviation of the blur, px.
    pub(super) px: f64,
    /// How well it is known, as a share of it.
    pub(super) sigma_share: f64,
}

impl Blur {
    /// The blur that most of a photo has, each place counting by how well it tells; `None` where there is none.
    pub(super) fn of_photo(mut places: Vec<Self>) -> Option<Self> {
        places.sort_by(|a, b| a.px.total_cmp(&b.px));
        let weight = |blur: &Self| (blur.sigma_share.powi(2) + BLUR_CHANGES.powi(2)).recip();
        let half = 0.5 * places.iter().map(weight).sum::<f64>();
        let mut sum = 0.0;
        let middle = places.iter().find(|blur| {
            sum += weight(blur);
            sum >= half
        })?;
        Some(Self { px: middle.px, sigma_share: BLUR_CHANGES })
    }

    /// What this place tells, with what the photo tells: the weighted mean of the logarithms.
    fn with(self, photo: Self) -> Self {
        let (own, other) = (self.sigma_share.powi(-2), photo.sigma_share.powi(-2));
        let px = ((own * self.px.ln() + other * photo.px.ln()) / (own + other)).exp();
        Self { px, sigma_share: (own + other).sqrt().recip() }
    }
}

/// The strip from which the blur is told: narrow, so that a wall or a broken edge beside the edge stays out.
const BLUR_STRIP: Strip = Strip { inside_px: 3.0, outside_px: 4.0, half_width_px: 0.0 };

/// Colours that tell less than this share of what brightness tells are left out: they are blurred by the camera's own
/// reduction, and cost time.
const COLOUR_TELLS: f64 = 0.02;

/// What one profile tells.
#[derive(Debug, Clone, Copy)]
pub(super) enum Reading {
    Step { station: Station, off_px: f64, sigma_px: f64, contrast: f64, other_px: Option<f64> },
    Rejected(Rejected),
}

impl Reading {
    /// Where it is and what it shows beside the curve's step, from that on; `None` where it has no step on the curve.
    pub(super) fn beside(&self) -> Option<(Station, Option<f64>)> {
        let Self::Step { station, off_px, other_px, .. } = self else { return None };
        Some((*station, other_px.map(|other_px| other_px - off_px)))
    }

    /// Where it was looked at; `None` where there is no step.
    pub(super) const fn station(&self) -> Option<&Station> {
        match self {
            Self::Step { station, .. } => Some(station),
            Self::Rejected(_) => None,
        }
    }

    pub(super) const fn rejected(&self) -> Option<Rejected> {
        match self {
            Self::Rejected(rejected) => Some(*rejected),
            Self::Step { .. } => None,
        }
    }
}

/// What a profile makes of a rim with the far end of the wall below it.
#[derive(Debug, Clone, Copy)]
pub(super) struct RimTried {
    /// By how many variances it fits worse than the best that was tried.
    pub(super) misfit: f64,
    /// How much more the colour of the wall is like the ground's than like the face's, 0 to 1; of one material both are
    /// one colour, in more or less light.
    pub(super) unlike: f64,
}

/// The surfaces beside an edge and its wall begin so many blurs away, and are looked at over so many px.
const FEET_BLURS: f64 = 2.0;
const SURFACE_PX: f64 = 5.0;

/// Colours that are nearer than this tell nothing, in the mixture's units.
const COLOURS_ALIKE: f64 = 1.0;

/// From light to code values, about (IEC 61966-2-1).
const CODED: f64 = 1.0 / 2.4;

/// How much more the colour of the wall is like the ground's than like the face's, of ground, wall and face.
fn unlike([ground, wall, face]: &[Light; 3]) -> f64 {
    let off = |other: &Light| {
        let shade = (wall[0].max(0.0) / other[0].max(f64::MIN_POSITIVE)).powf(CODED);
        (wall[1] - shade * other[1]).powi(2) + (wall[2] - shade * other[2]).powi(2)
    };
    let (of_face, of_ground) = (off(face), off(ground));
    of_face / (of_face + of_ground + COLOURS_ALIKE * COLOURS_ALIKE)
}

/// Which step of a profile is the curve's.
#[derive(Debug, Clone, Copy)]
pub(super) enum Gate {
    /// The outermost, from the curve that the wide search found: where only a sliver of wall shows, that may have taken
    /// the wall's far end.
    Outermost,
    /// The nearest to a curve that is known.
    Nearest,
}

impl Gate {
    fn holds(self, off_px: f64) -> bool {
        let out_px = match self {
            Self::Outermost => 2.0 * NEAR_PX,
            Self::Nearest => NEAR_PX,
        };
        off_px > -NEAR_PX && off_px < out_px
    }
}

impl Gate {
    /// How far the profiles reach to each side of the curve, px.
    fn reach_px(self, blur_px: f64) -> f64 {
        let (blurs, (least, most)) = match self {
            Self::Outermost => (WIDE_BLURS, WIDE_PX),
            Self::Nearest => (NEAR_BLURS, NEAR_REACH_PX),
        };
        (blurs * blur_px).clamp(least, most)
    }

    /// How far they reach within the curve, px: where a second edge is looked for, as far as there is room.
    pub(super) fn inside_px(self, blur_px: f64) -> f64 {
        let reach_px = self.reach_px(blur_px);
        match self {
            Self::Outermost => (INSIDE * reach_px).min(LONGEST_PX - reach_px),
            Self::Nearest => reach_px,
        }
    }
}

/// The strip across a station: as far as the gate asks and to the far foot of an inner edge, but not past the centre of a
/// small hole.
fn strip(station: &Station, gate: Gate, inner_px: Option<f64>, blur_px: f64, half_width_px: f64) -> Strip {
    let outside_px = gate.reach_px(blur_px);
    let to_far_foot = inner_px.map_or(0.0, |inner_px| (outside_px - inner_px).min(LONGEST_PX - outside_px));
    let inside_px = gate.inside_px(blur_px).max(to_far_foot).min(to_centre_px(station));
    Strip { inside_px, outside_px, half_width_px }
}

/// How far within a curve a profile may reach, px: not past the centre of a small hole.
fn to_centre_px(station: &Station) -> f64 {
    0.8 / station.bend.max(f64::MIN_POSITIVE)
}

/// Blur, noise and sharpness about a curve in some channels.
struct Told {
    blur_px: f64,
    /// How well the profiles agree on it, as a share of it.
    blur_sigma_share: f64,
    variance: f64,
    /// Mean of one over the variance of a step's distance: what the channels tell about where the edge is.
    tells: f64,
}

impl Told {
    /// Standard deviation of one pixel's light. Never zero: an even picture without noise has none to divide by.
    fn noise(&self) -> f64 {
        self.variance.sqrt().max(LEAST_NOISE)
    }
}

/// From single steps with blurs of their own. Of the profiles that show a step the half that it fits best counts, and
/// of those the sharper: where a wall shows there is no single step, and two look like one of a wider blur.
fn told(profiles: &[Profile], channels: Channels) -> Option<Told> {
    let mut fits: Vec<(f64, StepFit)> = profiles
        .iter()
        .filter_map(|profile| {
            let fit = free_step(profile, 0.0, USUAL_BLUR_PX, channels)?;
            let step = fit.steps[0]?;
            let is_step = step.sigma_px < CLEAR_SIGMA_PX && step.off_px.abs() < 2.0 * NEAR_PX;
            let is_blur = fit.blur_sigma_share < CLEAR_BLUR && fit.blur_px > BLUR_PX.0 && fit.blur_px < BLUR_PX.1;
            (is_step && is_blur).then_some((fit.variance / (step.size() * step.size()), fit))
        })
        .collect();
    fits.sort_by(|a, b| a.0.total_cmp(&b.0));
    fits.truncate(fits.len().div_ceil(2));
    let mut blurs: Vec<f64> = fits.iter().map(|(_, fit)| fit.blur_px).collect();
    blurs.sort_by(f64::total_cmp);
    let mut variances: Vec<f64> = fits.iter().map(|(_, fit)| fit.variance).collect();
    let tells = fits.iter().filter_map(|(_, fit)| fit.steps[0]).map(|step| step.sigma_px.powi(-2)).sum::<f64>();
    let blur_px = *blurs.get(blurs.len() / 3)?;
    // Two thirds of normal values lie within two standard deviations about the middle.
    let spread = 0.5 * (blurs[blurs.len() * 5 / 6] - blurs[blurs.len() / 6]) / blur_px;
    let blur_sigma_share = spread.max(LEAST_BLUR_SPREAD) / (blurs.len() as f64).sqrt();
    Some(Told { blur_px, blur_sigma_share, variance: median(&mut variances)?, tells: tells / profiles.len() as f64 })
}

/// How the light along a curve is to be read.
#[derive(Clone)]
pub(super) struct Reader<'a> {
    picture: &'a Picture<'a>,
    /// Channels in units of their noise.
    mixture: Mixture,
    /// Light of one unit of brightness.
    noise: f64,
    expected: Expected,
    blur: Blur,
    half_width_px: f64,
    /// Glare is read by what of the step is below white.
    reads_glare: bool,
}

impl<'a> Reader<'a> {
    /// From profiles at the stations, with what is known of the photo's blur; `None` where none of them shows a step.
    pub(super) fn new(
        picture: &'a Picture,
        stations: &[Station],
        half_width_px: f64,
        photo_blur: Option<Blur>,
    ) -> Option<Self> {
        let mixture = Mixture::of_coded_colour(1.0, 1.0);
        let strip = Strip { half_width_px, ..BLUR_STRIP };
        let collect = |station: &Station| Profile::collect(picture, &mixture, station, &strip);
        let profiles: Vec<Profile> = stations.iter().filter_map(collect).collect();
        let (brightness, colour) = (told(&profiles, Channels::Brightness), told(&profiles, Channels::Colour));
        let tells = |told: &Option<Told>| told.as_ref().map_or(0.0, |told| told.tells);
        let colour = colour.filter(|colour| colour.tells > COLOUR_TELLS * tells(&brightness));
        let (noise, colour_noise) = (brightness.as_ref().map(Told::noise), colour.as_ref().map(Told::noise));
        let own = brightness.as_ref().or(colour.as_ref())?;
        let own = Blur { px: own.blur_px, sigma_share: own.blur_sigma_share };
        // Where colour alone shows the edge its blur is not the photo's.
        let blur = photo_blur.filter(|_| brightness.is_some()).map_or(own, |photo| own.with(photo));
        let (channels, variance) = match (&brightness, &colour) {
            (Some(_), None) => (Channels::Brightness, 1.0),
            (None, _) => (Channels::Colour, COLOUR_WORTH * COLOUR_WORTH),
            (Some(_), Some(colour)) => {
                let channels = Channels::All { colour_blur_px: colour.blur_px };
                (channels, (1.0 + 2.0 * COLOUR_WORTH * COLOUR_WORTH) / 3.0)
            }
        };
        let (noise, colour_noise) = (noise.unwrap_or(1.0), colour_noise.unwrap_or(1.0));
        Some(Self {
            picture,
            mixture: Mixture::of_coded_colour(1.0 / noise, COLOUR_WORTH / colour_noise),
            noise,
            expected: Expected { blur_px: blur.px, channels, variance, ground: Ground::Even },
            blur,
            half_width_px,
            reads_glare: false,
        })
    }
}

impl Reader<'_> {
    fn has_brightness(&self) -> bool {
        self.expected.channels != Channels::Colour
    }

    /// The same, with what the ground along a curve is like, as its profiles together tell; where an inner edge is known beside
    /// it, beyond that. One profile's slope may be its noise.
    pub(super) fn with_ground_told(self, places: impl Iterator<Item = (Station, Option<Within>)>) -> Self {
        let tells = |(station, within): (Station, Option<Within>)| {
            let (ground, face) = (self.ground(&station, within)?.surface()?, self.face(&station)?.surface()?);
            let rise = std::array::from_fn(|channel| face.level[channel] - ground.level[channel]);
            Some((ground.slope, ground.weight, rise))
        };
        let all: Vec<(Light, f64, Light)> = places.filter_map(tells).collect();
        let weights: f64 = all.iter().map(|(_, weight, _)| weight).sum();
        let does_slope = |channel: usize| {
            let mean = all.iter().map(|(slope, weight, _)| weight * slope[channel]).sum::<f64>() / weights;
            let rise = all.iter().map(|(_, weight, rise)| weight * rise[channel].abs()).sum::<f64>() / weights;
            let scatter = all.iter().map(|(slope, weight, _)| (weight * (slope[channel] - mean)).powi(2)).sum::<f64>();
            mean.abs() > LEAST_SLOPE * rise && mean.abs() * weights > SLOPES_BY * scatter.sqrt()
        };
        let slopes = all.len() >= FEWEST_AGREE && self.expected.channels.numbers().any(does_slope);
        let ground = if slopes { Ground::Sloping } else { Ground::Even };
        Self { expected: Expected { ground, ..self.expected }, ..self }
    }

    /// The same, with what the ground is like as another reader of the same curve was told.
    pub(super) fn with_ground_of(self, other: &Self) -> Self {
        Self { expected: Expected { ground: other.expected.ground, ..self.expected }, ..self }
    }

    /// The light of the face across a station, clear of the edge.
    fn face(&self, station: &Station) -> Option<Profile> {
        let clear_px = FOOT_BLURS * self.expected.blur_px;
        let strip =
            Strip { inside_px: -clear_px, outside_px: clear_px + GROUND_PX.0, half_width_px: self.half_width_px };
        Profile::collect(self.picture, &self.mixture, station, &strip)
    }

    /// The light of the ground across a station, clear of the edge and of an inner edge; `None` where there is no room.
    fn ground(&self, station: &Station, within: Option<Within>) -> Option<Profile> {
        let clear_px = FOOT_BLURS * self.expected.blur_px;
        let inner_px = within.map_or(0.0, |within| -within.off_px);
        let is_beside = inner_px <= self.farthest_beside_px();
        // Beyond an inner edge that is near; as far as one that is not.
        let from_px = clear_px + if is_beside { inner_px.max(0.0) } else { 0.0 };
        let to_edge_px = if is_beside { f64::INFINITY } else { inner_px - clear_px };
        let inside_px = (from_px + GROUND_PX.1).min(to_edge_px).min(to_centre_px(station)).min(LONGEST_PX);
        let strip = Strip { inside_px, outside_px: -from_px, half_width_px: self.half_width_px };
        (inside_px - from_px >= GROUND_PX.0)
            .then(|| Profile::collect(self.picture, &self.mixture, station, &strip))
            .flatten()
    }

    /// What is expected of a profile: a slope would hide a second edge from those that look for one, and moves the edge of those
    /// that measure.
    fn expected_by(&self, gate: Gate) -> Expected {
        match gate {
            Gate::Outermost => Expected { ground: Ground::Even, ..self.expected },
            Gate::Nearest => self.expected,
        }
    }

    /// An inner edge that lies farther within is not read beside the curve's own, px: each has its levels to itself.
    pub(super) fn farthest_beside_px(&self) -> f64 {
        2.0 * NEAR_BLURS * self.expected.blur_px
    }

    /// The blur of brightness.
    pub(super) const fn blur(&self) -> Blur {
        self.blur
    }

    /// The same for profiles of another width.
    pub(super) fn with_half_width(self, half_width_px: f64) -> Self {
        Self { half_width_px, ..self }
    }

    /// The same for edges above a wall, which a single step fits nowhere: with a blur that is known, and by how the face and
    /// the ground scatter at stations with the widths of the wall there, px. `None` where there is no room beside the wall.
    pub(super) fn above_wall(&self, stations: &[(Station, f64)], blur_px: f64) -> Option<Self> {
        let mixture = Mixture::of_coded_colour(1.0, 1.0);
        let beside = |(station, width_px): &(Station, f64)| {
            let near_px = width_px + FEET_BLURS * blur_px;
            let far_px = near_px + SURFACE_PX;
            let strips = [(-near_px, far_px), (far_px, -near_px)];
            strips.map(|(inside_px, outside_px)| {
                let strip = Strip { inside_px, outside_px, half_width_px: self.half_width_px };
                Some(Profile::collect(self.picture, &mixture, station, &strip)?.surface()?.variance)
            })
        };
        let all: Vec<Light> = stations.iter().flat_map(beside).flatten().collect();
        let noise = |channel: usize| {
            let variance = median(&mut all.iter().map(|scatter| scatter[channel]).collect::<Vec<_>>())?;
            Some(variance.sqrt().max(LEAST_NOISE))
        };
        let (noise, colour_noise) = (noise(0)?, noise(1)?.hypot(noise(2)?) * std::f64::consts::FRAC_1_SQRT_2);
        let channels = match self.expected.channels {
            Channels::Colour => Channels::All { colour_blur_px: self.expected.blur_px },
            channels => channels,
        };
        let variance =
            if channels == Channels::Brightness { 1.0 } else { (1.0 + 2.0 * COLOUR_WORTH * COLOUR_WORTH) / 3.0 };
        Some(Self {
            mixture: Mixture::of_coded_colour(1.0 / noise, COLOUR_WORTH / colour_noise),
            noise,
            expected: Expected { blur_px, channels, variance, ground: Ground::Sloping },
            blur: Blur { px: blur_px, sigma_share: BLUR_CHANGES },
            ..self.clone()
        })
    }

    /// The same, but where the bright side is cut off at white a step is read by what of it is below white, as well as that
    /// tells: for edges that have nothing else to bridge a long stretch of glare.
    pub(super) fn with_glare(self) -> Self {
        Self { reads_glare: true, ..self }
    }

    /// The step `near_px` by what of it is below white, if that settles it.
    fn below_white(&self, profile: &Profile, near_px: f64) -> Option<Step> {
        let step = one_step(&profile.below_white(), near_px, &self.expected)?.steps[0]?;
        let is_near = (step.off_px - near_px).abs() < GLARE_MOVES_BLURS * self.blur.px;
        (self.reads_glare && is_near && step.sigma_px < LEAST_CLEAR_PX).then_some(step)
    }

    /// The same with blur and noise told by those of the stations whose profiles an inner edge leaves alone, if they are
    /// enough.
    pub(super) fn told_beside(
        self,
        stand: &Standpoint,
        inner: &Inner,
        mut stations: Vec<Station>,
        photo_blur: Option<Blur>,
    ) -> Self {
        let far_px = BLUR_STRIP.inside_px + 2.0 * self.blur.px;
        stations.retain(|station| {
            let within_px = -inner.off_px(stand, station);
            within_px < THINNEST_PX || within_px > far_px
        });
        let enough = stations.len() >= FEWEST_TELL;
        let stations: Vec<Station> = stations.iter().step_by(stations.len() / MOST_TELL + 1).copied().collect();
        let again = enough.then(|| Self::new(self.picture, &stations, self.half_width_px, photo_blur)).flatten();
        // Where those are in the shade brightness may show nothing, and all the same in the light.
        again.filter(|again| again.has_brightness() || !self.has_brightness()).unwrap_or(self)
    }

    /// By how many variances two steps, the outer near the station and the inner so far within, fit a profile better than
    /// one. `None` where there is no profile or no step.
    pub(super) fn gains<const N: usize>(&self, station: &Station, apart_px: [f64; N]) -> Option<[f64; N]> {
        let farthest_px = apart_px.into_iter().fold(0.0, f64::max);
        let strip = strip(station, Gate::Nearest, Some(-farthest_px), self.expected.blur_px, self.half_width_px);
        let profile = Profile::collect(self.picture, &self.mixture, station, &strip)?;
        gains(&profile, 0.0, apart_px, &self.expected)
    }

    /// The strip across a station, and the inner edge where it is read beside the curve's own.
    fn strip_across(&self, station: &Station, gate: Gate, within: Option<Within>) -> (Strip, Option<Within>) {
        let beside_px = THINNEST_PX..self.farthest_beside_px();
        let within = within.filter(|within| beside_px.contains(&-within.off_px));
        let inner_px = within.map(|within| within.off_px);
        (strip(station, gate, inner_px, self.expected.blur_px, self.half_width_px), within)
    }

    /// What a profile makes of a rim at some places across it, px towards the face, with the far end of the wall `apart_px`
    /// within each. `None` where there is no profile, or it is too short for so wide a wall.
    pub(super) fn rims(&self, station: &Station, apart_px: f64, rims_px: &[f64]) -> Option<Vec<RimTried>> {
        let reach_px = apart_px + Gate::Nearest.reach_px(self.expected.blur_px);
        if 2.0 * reach_px > LONGEST_PX {
            return None;
        }
        let strip = Strip { inside_px: reach_px, outside_px: reach_px, half_width_px: self.half_width_px };
        let profile = Profile::collect(self.picture, &self.mixture, station, &strip)?;
        let expected = self.expected;
        let tried = |rim_px: &f64| {
            let (square_sum, surfaces) = between(&profile, [*rim_px, rim_px - apart_px], &expected)?;
            Some(RimTried { misfit: square_sum / expected.variance, unlike: unlike(&surfaces) })
        };
        let mut all: Vec<RimTried> = rims_px.iter().map(tried).collect::<Option<_>>()?;
        // What even the best leaves is unevenness: it does not tell the others from it.
        let least = all.iter().map(|tried| tried.misfit).fold(f64::INFINITY, f64::min);
        let noise = (least / (expected.channels.numbers().len() * profile.bins().len()) as f64).max(1.0);
        for tried in &mut all {
            tried.misfit = (tried.misfit - least) / noise;
        }
        Some(all)
    }

    /// Reads one profile: the step that is the curve's, where an inner edge is known to be beside it.
    ///
    /// Where that is known well its step tells the curve's as well, however little the surfaces between differ.
    pub(super) fn read(&self, station: &Station, gate: Gate, within: Option<Within>) -> Reading {
        let rejected = |at, reason| Reading::Rejected(Rejected { at: Some(at), reason });
        let (strip, within) = self.strip_across(station, gate, within);
        let Some(profile) = Profile::collect(self.picture, &self.mixture, station, &strip) else {
            return rejected(station.at, Rejection::OffPhoto);
        };
        let Some(fit) = steps(&profile, 0.0, within, &self.expected_by(gate)) else {
            return rejected(station.at, Rejection::NoContrast);
        };
        let clear = || fit.steps.iter().flatten().filter(|step| step.sigma_px < LEAST_CLEAR_PX);
        let Some(largest) = clear().max_by(|a, b| a.size().total_cmp(&b.size())) else {
            return rejected(station.at, Rejection::NoContrast);
        };
        let is_told = fit.is_known && within.is_some_and(|within| within.is_agreed);
        let outer_px = fit.steps[0].filter(|_| is_told).map(|step| step.off_px);
        let counts = |step: &Step| outer_px == Some(step.off_px) || step.size() > LEAST_SHARE * largest.size();
        let on = clear().filter(|step| gate.holds(step.off_px) && counts(step));
        let chosen = match gate {
            Gate::Outermost => on.max_by(|a, b| a.off_px.total_cmp(&b.off_px)),
            Gate::Nearest => on.min_by(|a, b| a.off_px.abs().total_cmp(&b.off_px.abs())),
        };
        let Some(mut step) = chosen.copied() else {
            return rejected(station.photo(largest.off_px), Rejection::OffCurve);
        };
        let bright_end = step.off_px + strip.outside_px.copysign(step.rise[0]);
        if profile.white_share(step.off_px, bright_end) > MOST_WHITE {
            match self.below_white(&profile, step.off_px) {
                Some(below) => step = below,
                None => return rejected(station.photo(step.off_px), Rejection::Glare),
            }
        }
        Reading::Step {
            station: *station,
            off_px: step.off_px + 0.5 * fit.blur_px * fit.blur_px * station.bend,
            sigma_px: step.sigma_px,
            contrast: step.rise[0] * self.noise,
            other_px: clear()
                .filter(|other| other.rise[0].abs() > OWN_BRIGHTNESS * other.size())
                .map(|other| other.off_px)
                .find(|off| (off - step.off_px).abs() > APART_PX),
        }
    }
}
