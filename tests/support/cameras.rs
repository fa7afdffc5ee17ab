//! The program's camera for a camera that is known.

use platewright_core::camera::{Lens, PlateMap, Pose, RigidMove};
use platewright_core::space::{PhotoPoint, PlateVec};
use platewright_synth::Camera;

/// The program's camera that sees the plate's frame as `camera` does.
///
/// The face's normal, seen in the camera's frame, gives the tilts; where the optical axis meets the face gives the
/// distance and the solve frame's origin; the direction of its x gives the turn.
pub fn map_of(camera: &Camera) -> PlateMap {
    let (r, t) = (&camera.rotation, &camera.translation);
    let tilt_a_rad = r[1][2].atan2(-r[2][2]);
    let tilt_b_rad = (-r[0][2]).atan2(r[1][2].hypot(r[2][2]));
    let distance_mm = (0..3).map(|i| r[i][2] * t[i]).sum::<f64>() / r[2][2];
    let plate_from_camera =
        |p: [f64; 3]| [0, 1].map(|column: usize| (0..3).map(|row| r[row][column] * (p[row] - t[row])).sum::<f64>());
    let origin = plate_from_camera([0.0, 0.0, distance_mm]);
    let ((sa, ca), (sb, cb)) = (tilt_a_rad.sin_cos(), tilt_b_rad.sin_cos());
    let along = plate_from_camera([cb, sa * sb, distance_mm - ca * sb]);
    let angle = (along[1] - origin[1]).atan2(along[0] - origin[0]);
    let [k1, k2, p1, p2] = camera.distortion;
    let principal = PhotoPoint::from(camera.principal_px);
    let lens = Lens { focal_px: camera.focal_px, principal, k1, k2, p1, p2 };
    PlateMap::new(lens, Pose { distance_mm, tilt_a_rad, tilt_b_rad })
        .with_datum(&RigidMove::new(angle, PlateVec::from(origin)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::space::PlatePoint;

    #[test]
    fn both_cameras_see_the_same() {
        let mut camera = Camera::looking_down([4000, 3000], 3000.0, 300.0, [0.25, 1.1, 0.4]);
        camera.distortion = [-0.12, 0.03, 4e-4, -3e-4];
        camera.translation = [4.0, -7.0, 310.0];
        let map = map_of(&camera);
        for p in [[0.0, 0.0], [40.0, -25.0], [-70.0, 55.0]] {
            let seen = PhotoPoint::from(camera.photo_from_plate([p[0], p[1], 0.0]));
            let told = map.photo_from_plate(PlatePoint::from(p)).expect("the point is seen");
            assert!(told.distance(seen) < 1e-9, "{p:?}: {told:?} against {seen:?}");
        }
    }
}
