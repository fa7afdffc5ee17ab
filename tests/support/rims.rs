//! Measured rims against rims that are known.

use crate::map_of;
use platewright_core::edge::{NoRim, Picture, RimMeasurement, RimStart, measure_rim};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use platewright_synth::{Camera, Look, Plate, Random, RoundHole, render};

/// A photo of one hole and nothing else.
#[derive(Debug, Clone, Copy)]
pub struct Scene {
    /// Radius of the rim in the photo, px.
    pub radius_px: f64,
    /// Between the optical axis and the face's normal, degrees.
    pub tilt_deg: f64,
    /// Standard deviation of the lens's blur, px.
    pub blur_px: f64,
    /// Light of the face less light of the hole.
    pub contrast: f64,
    /// Standard deviation of one pixel's noise, in light.
    pub noise: f64,
}

/// Errors of a measured rim on the plate, in px at the scale of its middle.
#[derive(Debug, Clone, Copy)]
pub struct RimError {
    /// Of the centre: the way in which the plate falls away from the camera, and across that.
    pub centre: [f64; 2],
    /// Of the radius.
    pub radius: f64,
}

/// Scale of the scenes, px per mm.
const PX_PER_MM: f64 = 10.0;

/// Light of the hole.
pub(crate) const DARK: f64 = 0.05;

impl Scene {
    /// The picture's size and bytes, the camera, and the hole, whose centre lies anywhere within a pixel.
    pub fn photo(&self, seed: u64) -> ([u32; 2], Vec<u8>, Camera, RoundHole) {
        let side = (2.0 * self.radius_px).ceil() as u32 + 40;
        let size = [side, side];
        let mut random = Random::new(seed);
        let azimuth = random.between(0.0, std::f64::consts::TAU);
        let camera = Camera::looking_down(size, 3000.0, 300.0, [self.tilt_deg.to_radians(), azimuth, 0.0]);
        let half_pixel = 0.5 / PX_PER_MM;
        let centre = [random.between(-half_pixel, half_pixel), random.between(-half_pixel, half_pixel)];
        let hole = RoundHole { centre, diameter: 2.0 * self.radius_px / PX_PER_MM };
        let far = 10.0 * f64::from(side);
        let outline = vec![[-far, -far], [far, -far], [far, far], [-far, far]];
        let plate = Plate { outline, holes: vec![hole], thickness: 0.0 };
        let look =
            Look { metal: DARK + self.contrast, bench: DARK, wall: DARK, blur_px: self.blur_px, noise: self.noise };
        (size, render(&plate, &camera, size, &look, seed), camera, hole)
    }

    /// Measures the rim of one such photo from a start that is off by two pixels each way.
    ///
    /// # Errors
    /// Where no rim is found.
    ///
    /// # Panics
    /// Where the renderer made no picture.
    pub fn measure(&self, seed: u64) -> Result<(RimMeasurement, RimError), NoRim> {
        self.measure_through(seed, |_, bytes| bytes)
    }

    /// The same with the photo's bytes changed on the way, as by a file format that loses some.
    ///
    /// # Errors
    /// Where no rim is found.
    ///
    /// # Panics
    /// Where the bytes are no longer a picture of that size.
    pub fn measure_through(
        &self,
        seed: u64,
        coder: impl Fn([u32; 2], Vec<u8>) -> Vec<u8>,
    ) -> Result<(RimMeasurement, RimError), NoRim> {
        let (size, bytes, camera, hole) = self.photo(seed);
        let bytes = coder(size, bytes);
        let picture = Picture::from_srgb(size, &bytes).expect("the renderer makes whole pictures");
        let mut random = Random::new(seed ^ 0xC11C);
        let off = PlateVec::new(random.normal(2.0 / PX_PER_MM), random.normal(2.0 / PX_PER_MM));
        let truth = PlatePoint::from(hole.centre);
        let radius_mm = 0.5 * hole.diameter;
        let start = RimStart { centre: truth + off, radius_mm: radius_mm + 0.5 * off.x, reach_px: 9.0 };
        let rim = measure_rim(&picture, &map_of(&camera), &start)?;
        let off = (rim.centre - truth) * PX_PER_MM;
        // The depth of a plate point grows by the rotation's third row.
        let deeper = PlateVec::new(camera.rotation[2][0], camera.rotation[2][1]);
        let falls = deeper.unit().unwrap_or(PlateVec::new(1.0, 0.0));
        let centre = [off.dot(falls), off.cross(falls)];
        let error = RimError { centre, radius: (rim.radius_mm - radius_mm) * PX_PER_MM };
        Ok((rim, error))
    }
}

/// Mean and root mean square distance of the points of a true rim from a measured one, px, outward.
///
/// # Panics
/// Where the camera does not see the points of the true rim.
pub fn off_truth(rim: &RimMeasurement, camera: &Camera, truth: &[PhotoPoint]) -> (f64, f64) {
    let map = map_of(camera);
    let off = |point: &PhotoPoint| {
        let plate = map.plate_from_photo(*point).expect("the camera sees its own rims");
        (rim.radius_mm - rim.centre.distance(plate)) * map.px_per_mm(plate)
    };
    let n = truth.len() as f64;
    let mean = truth.iter().map(off).sum::<f64>() / n;
    let square = truth.iter().map(|point| off(point).powi(2)).sum::<f64>() / n;
    (mean, square.sqrt())
}
