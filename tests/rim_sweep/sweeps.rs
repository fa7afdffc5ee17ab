//! What is changed, one thing at a time.

use platewright_tests::rims::Scene;

/// The scene from which one thing at a time is changed.
const USUAL: Scene = Scene { radius_px: 40.0, tilt_deg: 5.0, blur_px: 0.8, contrast: 0.4, noise: 0.01 };

/// Photos of one scene.
#[derive(Debug)]
pub(crate) struct Taken {
    /// The value of what is changed, in the sweep's unit.
    pub(crate) at: f64,
    pub(crate) scene: Scene,
    /// Quality at which the photo went through JPEG.
    pub(crate) jpeg: Option<u8>,
    pub(crate) photos: u64,
}

/// One thing changed through its range.
#[derive(Debug)]
pub(crate) struct Sweep {
    pub(crate) name: &'static str,
    /// Name and unit for the figure's axis.
    pub(crate) axis: &'static str,
    pub(crate) is_logarithmic: bool,
    pub(crate) taken: Vec<Taken>,
}

fn taken(at: f64, scene: Scene, jpeg: Option<u8>) -> Taken {
    // Large ones take longer to make and scatter less.
    let photos = if scene.radius_px > 100.0 { 30 } else { 100 };
    Taken { at, scene, jpeg, photos }
}

fn sweep(
    name: &'static str,
    axis: &'static str,
    is_logarithmic: bool,
    values: &[f64],
    scene: fn(f64) -> Scene,
) -> Sweep {
    let taken = values.iter().map(|at| taken(*at, scene(*at), None)).collect();
    Sweep { name, axis, is_logarithmic, taken }
}

/// All of them.
pub(crate) fn sweeps() -> Vec<Sweep> {
    let radii = [6.0, 8.0, 12.0, 20.0, 40.0, 80.0, 150.0, 300.0];
    let tilts = [0.0, 2.5, 5.0, 7.5, 10.0, 12.5, 15.0];
    let blurs = [0.5, 0.65, 0.8, 1.0, 1.25, 1.5, 2.0];
    let contrasts = [5.0, 10.0, 20.0, 40.0, 80.0];
    let noises = [0.002, 0.005, 0.01, 0.02, 0.04];
    let qualities = [95_u8, 90, 80, 70, 60];
    let jpeg = qualities.map(|quality| taken(f64::from(quality), USUAL, Some(quality))).into();
    vec![
        sweep("radius", "radius in the photo, px", true, &radii, |radius_px| Scene { radius_px, ..USUAL }),
        // A large rim, where the centre of the ellipse is off by up to 2 px.
        sweep("tilt", "tilt, degrees (radius 150 px)", false, &tilts, |tilt_deg| Scene {
            tilt_deg,
            radius_px: 150.0,
            ..USUAL
        }),
        sweep("blur", "lens's blur, px (standard deviation)", true, &blurs, |blur_px| Scene { blur_px, ..USUAL }),
        sweep("contrast", "contrast, % of white", true, &contrasts, |percent| Scene {
            contrast: percent / 100.0,
            ..USUAL
        }),
        sweep("noise", "noise of a pixel, of white = 1", true, &noises, |noise| Scene { noise, ..USUAL }),
        Sweep { name: "JPEG", axis: "JPEG quality", is_logarithmic: false, taken: jpeg },
    ]
}
