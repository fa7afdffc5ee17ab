//! The photo that the camera would take.

use crate::{Camera, Plate, Random};

/// How the picture looks. Brightness is linear, black 0 and white 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Brightness of the metal.
    pub metal: f64,
    /// Brightness of the bench beside the part.
    pub bench: f64,
    /// Brightness of the wall of a hole.
    pub wall: f64,
    /// Standard deviation of the lens's blur, px.
    pub blur_px: f64,
    /// Standard deviation of the noise.
    pub noise: f64,
}

impl Default for Look {
    fn default() -> Self {
        Self { metal: 0.55, bench: 0.12, wall: 0.05, blur_px: 0.7, noise: 0.004 }
    }
}

/// Samples a pixel side where an edge runs through it.
const FINE: u32 = 8;

/// Renders `plate` as seen by `camera`: rows of RGB bytes, sRGB-coded, width times height times three.
pub fn render(plate: &Plate, camera: &Camera, size: [u32; 2], look: &Look, seed: u64) -> Vec<u8> {
    let [width, height] = size.map(|side| side as usize);
    let mut light = vec![0.0_f64; width * height];
    for (index, value) in light.iter_mut().enumerate() {
        *value = pixel(plate, camera, look, [(index % width) as f64, (index / width) as f64]);
    }
    blur(&mut light, width, look.blur_px);
    let mut random = Random::new(seed);
    let mut bytes = Vec::with_capacity(light.len() * 3);
    for value in light {
        let code = (srgb(value + random.normal(look.noise)) * 255.0).round() as u8;
        bytes.extend([code; 3]);
    }
    bytes
}

/// Mean brightness over one pixel: one sample where no edge is near, `FINE`² otherwise.
fn pixel(plate: &Plate, camera: &Camera, look: &Look, [u, v]: [f64; 2]) -> f64 {
    let face = camera.plate_from_photo([u, v], 0.0);
    let beside = camera.plate_from_photo([u + 1.0, v], 0.0);
    let mm_per_px = (beside[0] - face[0]).hypot(beside[1] - face[1]);
    let below = camera.plate_from_photo([u, v], -plate.thickness);
    // Two pixels' clearance of every edge, of the face and of the hole's far end.
    if plate.distance_to_edge(face).min(plate.distance_to_edge(below)) > 2.0 * mm_per_px {
        return brightness(plate, look, face, below);
    }
    let mut sum = 0.0;
    for sample in 0..FINE * FINE {
        let offset = |n: u32| (f64::from(n) + 0.5) / f64::from(FINE) - 0.5;
        let at = [u + offset(sample % FINE), v + offset(sample / FINE)];
        let face = camera.plate_from_photo(at, 0.0);
        sum += brightness(plate, look, face, camera.plate_from_photo(at, -plate.thickness));
    }
    sum / f64::from(FINE * FINE)
}

/// What a ray meets: the face, else the wall of a hole where the same ray is not in the hole at its far end, else the
/// bench.
fn brightness(plate: &Plate, look: &Look, face: [f64; 2], below: [f64; 2]) -> f64 {
    if plate.is_metal(face) {
        look.metal
    } else if plate.is_metal(below) {
        look.wall
    } else {
        look.bench
    }
}

/// Gaussian blur in both directions; the border repeats.
fn blur(light: &mut [f64], width: usize, sigma: f64) {
    if sigma <= 0.0 || width == 0 {
        return;
    }
    let reach = (4.0 * sigma).ceil() as isize;
    let weights: Vec<f64> = (-reach..=reach).map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp()).collect();
    let total: f64 = weights.iter().sum();
    let height = light.len() / width;
    for (count, stride, lines, line_stride) in [(width, 1, height, width), (height, width, width, 1)] {
        for line in 0..lines {
            let start = line * line_stride;
            let before: Vec<f64> = (0..count).map(|i| light[start + i * stride]).collect();
            for i in 0..count {
                let around = (-reach..=reach).zip(&weights).map(|(k, weight)| {
                    let from = (i.cast_signed() + k).clamp(0, count.cast_signed() - 1) as usize;
                    weight * before[from]
                });
                light[start + i * stride] = around.sum::<f64>() / total;
            }
        }
    }
}

/// IEC 61966-2-1.
fn srgb(linear: f64) -> f64 {
    let linear = linear.clamp(0.0, 1.0);
    if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RoundHole;

    /// The dark area of a hole seen square-on is the hole's area at the photo's scale, times its depth in light.
    #[test]
    fn a_hole_takes_away_its_own_area_of_light() {
        let plate = Plate {
            outline: vec![[-30.0, -30.0], [30.0, -30.0], [30.0, 30.0], [-30.0, 30.0]],
            holes: vec![RoundHole { centre: [0.7, -0.4], diameter: 8.0 }],
            thickness: 0.0,
        };
        let size = [200, 200];
        let camera = Camera::looking_down(size, 2000.0, 200.0, [0.0; 3]);
        let look = Look { metal: 1.0, bench: 0.0, wall: 0.0, blur_px: 0.0, noise: 0.0 };
        let bytes = render(&plate, &camera, size, &look, 1);
        let linear = |code: u8| {
            let c = f64::from(code) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        let missing: f64 = bytes.chunks(3).map(|rgb| 1.0 - linear(rgb[0])).sum();
        let expected = std::f64::consts::PI * 40.0 * 40.0;
        assert!((missing / expected - 1.0).abs() < 2e-3, "{missing} px² against {expected}");
    }
}
