//! Whether the photo is smeared one way, as it is where the camera moved while the shutter was open.
//!
//! Model: the lens blurs edges of all directions alike, by a variance s². A camera that moves by a length L adds a bar of
//! that length, whose variance L²/12 counts in full across an edge that is square to the way and not at all across one
//! that runs along it: an edge whose normal lies at the angle t has s² + L²/12 cos²(t - w), w being the way's angle.
//! With cos² = (1 + cos 2t)/2 that is a constant and a wave of height L²/24 over two turns, which four blurs tell that are
//! taken of normals about 0, 45, 90 and 135 degrees (formula derived here). A bar is no Gaussian: what is fitted to it comes
//! out up to two fifths too long or too short.

use super::curve::Circle;
use super::picture::Picture;
use super::reading::Reader;
use super::station::Station;
use crate::camera::PlateMap;
use crate::space::PlatePoint;

/// A smear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smear {
    /// How far the picture moved, px.
    pub length_px: f64,
    /// Which way, radians from the photo's x towards its y, 0 to pi.
    pub angle_rad: f64,
}

/// Directions of normals that are told apart; each takes what lies within an eighth of a half turn of it.
const SECTORS: usize = 4;

/// The mean of cos 2t over a sector, as a share of what it is in the sector's middle: sin(pi/4) over pi/4.
const SECTOR_SHARE: f64 = std::f64::consts::FRAC_1_SQRT_2 / std::f64::consts::FRAC_PI_4;

/// Places looked at round a rim, and the most in a sector.
const AROUND: usize = 64;
const MOST_IN_SECTOR: usize = 96;

/// Half the width of a profile, px.
const HALF_WIDTH_PX: f64 = 1.5;

/// A wave that is less than so many of its standard deviations is chance.
const TOLD_SIGMAS: f64 = 4.0;

/// A shorter smear is none, px: walls and lighting leave as much.
const SHORTEST_PX: f64 = 2.5;

/// The smear that the rims of a photo tell, each by its centre and radius in mm; `None` where there is none, or where no
/// four directions show an edge.
pub fn smear(picture: &Picture<'_>, map: &PlateMap, rims: &[(PlatePoint, f64)]) -> Option<Smear> {
    let mut sectors: [Vec<Station>; SECTORS] = std::array::from_fn(|_| Vec::new());
    for number in 0..AROUND {
        let share = (number as f64 + 0.5) / AROUND as f64;
        for (centre, radius_mm) in rims {
            let circle = Circle { centre: *centre, radius_mm: *radius_mm };
            let Some(station) = Station::new(map, &circle, share) else { continue };
            let turns = station.across.angle_rad() / std::f64::consts::PI * SECTORS as f64;
            let sector = &mut sectors[(turns.round().rem_euclid(SECTORS as f64)) as usize % SECTORS];
            sector.push(station);
        }
    }
    let mut variances = [0.0; SECTORS];
    let mut square_sum = 0.0;
    for (variance, stations) in variances.iter_mut().zip(&sectors) {
        let some: Vec<Station> = stations.iter().step_by(stations.len() / MOST_IN_SECTOR + 1).copied().collect();
        let blur = Reader::new(picture, &some, HALF_WIDTH_PX, None)?.blur();
        *variance = blur.px * blur.px;
        square_sum += (2.0 * *variance * blur.sigma_share).powi(2);
    }
    let [level, rising, plumb, falling] = variances;
    let (along, aside) = (0.5 * (level - plumb) / SECTOR_SHARE, 0.5 * (rising - falling) / SECTOR_SHARE);
    let height = along.hypot(aside);
    // Each of the two is half a difference of two, so that either has a quarter of the sum of two variances.
    let is_told = height > TOLD_SIGMAS * 0.5 * (0.5 * square_sum).sqrt() / SECTOR_SHARE;
    let length_px = (24.0 * height).sqrt();
    let angle_rad = (0.5 * aside.atan2(along)).rem_euclid(std::f64::consts::PI);
    (is_told && length_px >= SHORTEST_PX).then_some(Smear { length_px, angle_rad })
}
