//! How the camera was held, and the projection with its exact derivatives.
#![expect(clippy::inline_always, reason = "this runs once or twice per pick and round, and its parts are shared")]

use super::Lens;
use crate::space::{PhotoPoint, PhotoVec, PlatePoint};

/// How the camera was held over the face, in the solve frame.
///
/// A point (X, Y) of the face is at `P = Rx(tilt_a) Ry(tilt_b) (X, -Y, 0) + (0, 0, distance)` in the camera's frame
/// (x right, y down, z forward).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// From the projection centre to the face along the optical axis, mm.
    pub distance_mm: f64,
    /// Turn about the photo's x, radians.
    pub tilt_a_rad: f64,
    /// Turn about the photo's y, radians.
    pub tilt_b_rad: f64,
}

impl Pose {
    /// Square to the face.
    pub const fn square(distance_mm: f64) -> Self {
        Self { distance_mm, tilt_a_rad: 0.0, tilt_b_rad: 0.0 }
    }

    /// Angle between the optical axis and the face's normal, radians.
    pub fn tilt_rad(&self) -> f64 {
        // The cosine is cos a cos b; this form keeps its digits for small tilts.
        let (sa, ca) = self.tilt_a_rad.sin_cos();
        let sb = self.tilt_b_rad.sin();
        let cb = self.tilt_b_rad.cos();
        sb.hypot(sa * cb).atan2(ca * cb)
    }
}

/// How many unknowns a camera has.
pub const CAMERA_UNKNOWNS: usize = 10;

/// The camera's unknowns, in the order in which they are adjusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CameraUnknown {
    /// Natural logarithm of the distance in mm.
    LnDistance,
    /// Turn about the photo's x, radians.
    TiltA,
    /// Turn about the photo's y, radians.
    TiltB,
    /// Natural logarithm of the focal length in px.
    LnFocal,
    /// Principal point along x, px.
    PrincipalX,
    /// Principal point along y, px.
    PrincipalY,
    /// First radial term.
    K1,
    /// Second radial term.
    K2,
    /// First tangential term.
    P1,
    /// Second tangential term.
    P2,
}

/// A lens and a pose, prepared for many points. Plate coordinates are those of the solve frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    lens: Lens,
    pose: Pose,
    sin_a: f64,
    cos_a: f64,
    sin_b: f64,
    cos_b: f64,
    fold_r2: f64,
}

/// A projected point with the derivatives of its place in the photo.
#[derive(Debug, Clone, Copy)]
pub struct Projection {
    /// Where it is seen.
    pub at: PhotoPoint,
    /// Rows x, y of the photo by columns X, Y of the plate, px per mm.
    pub by_plate: [[f64; 2]; 2],
    /// Rows x, y of the photo by the ten unknowns in the order of [`CameraUnknown`].
    pub by_camera: [[f64; CAMERA_UNKNOWNS]; 2],
}

/// A point of the face on its way into the photo: in the camera's frame, as slopes, after distortion.
#[derive(Debug, Clone, Copy)]
pub struct Ray {
    plate: PlatePoint,
    /// 1 / z.
    nearness: f64,
    x: f64,
    y: f64,
    distorted: super::lens::Distorted,
}

/// A ray nearer to the face's own direction than this cosine meets it nowhere useful.
const GRAZING: f64 = 1e-9;

impl View {
    /// Prepares a lens and a pose.
    pub fn new(lens: Lens, pose: Pose) -> Self {
        let (sin_a, cos_a) = pose.tilt_a_rad.sin_cos();
        let (sin_b, cos_b) = pose.tilt_b_rad.sin_cos();
        Self { lens, pose, sin_a, cos_a, sin_b, cos_b, fold_r2: lens.fold_r2() }
    }

    /// From the camera's unknowns in the order of [`CameraUnknown`].
    pub fn from_unknowns(unknowns: &[f64; CAMERA_UNKNOWNS]) -> Self {
        let [ln_d, tilt_a_rad, tilt_b_rad, ln_f, cx, cy, k1, k2, p1, p2] = *unknowns;
        let lens = Lens { focal_px: ln_f.exp(), principal: PhotoPoint::new(cx, cy), k1, k2, p1, p2 };
        Self::new(lens, Pose { distance_mm: ln_d.exp(), tilt_a_rad, tilt_b_rad })
    }

    /// Its unknowns in the order of [`CameraUnknown`].
    pub fn unknowns(&self) -> [f64; CAMERA_UNKNOWNS] {
        let Self { lens, pose, .. } = self;
        [
            pose.distance_mm.ln(),
            pose.tilt_a_rad,
            pose.tilt_b_rad,
            lens.focal_px.ln(),
            lens.principal.x,
            lens.principal.y,
            lens.k1,
            lens.k2,
            lens.p1,
            lens.p2,
        ]
    }

    /// Its lens.
    pub const fn lens(&self) -> &Lens {
        &self.lens
    }

    /// How it is held.
    pub const fn pose(&self) -> &Pose {
        &self.pose
    }

    /// The way of a point of the face into the photo; `None` behind the camera or where the lens model folds over.
    #[inline(always)]
    pub fn ray(&self, plate: PlatePoint) -> Option<Ray> {
        let (ray, seen) = self.ray_anywhere(plate);
        seen.then_some(ray)
    }

    /// The same for loops over many points, which a branch would slow down: what comes of a point that is not seen is of
    /// no use, and that is told beside it.
    #[inline(always)]
    pub(crate) fn ray_anywhere(&self, plate: PlatePoint) -> (Ray, bool) {
        let Self { sin_a, cos_a, sin_b, cos_b, .. } = *self;
        let (px, py) = (plate.x, plate.y);
        let z = self.pose.distance_mm - sin_a * py - cos_a * sin_b * px;
        let nearness = 1.0 / z;
        let x = cos_b * px * nearness;
        let y = (sin_a * sin_b * px - cos_a * py) * nearness;
        let (distorted, folded) = self.lens.distort_anywhere(x, y, self.fold_r2);
        // NaN is refused with everything behind the camera.
        (Ray { plate, nearness, x, y, distorted }, z > 0.0 && !folded)
    }

    fn seen(&self, d: &super::lens::Distorted) -> PhotoPoint {
        let Lens { focal_px, principal, .. } = self.lens;
        PhotoPoint::new(focal_px * d.x + principal.x, focal_px * d.y + principal.y)
    }

    /// Where a point of the face is seen; `None` behind the camera or where the lens model folds over.
    pub fn project(&self, plate: PlatePoint) -> Option<PhotoPoint> {
        Some(self.seen(&self.ray(plate)?.distorted))
    }

    /// The derivative of the photo by a movement (`x`, `y`, `z`) of the point in the camera's frame, px.
    #[inline(always)]
    fn by_camera_step(&self, ray: &Ray, [x, y, z]: [f64; 3]) -> [f64; 2] {
        let (slope_x, slope_y) = ((x - ray.x * z) * ray.nearness, (y - ray.y * z) * ray.nearness);
        let (d, f) = (&ray.distorted, self.lens.focal_px);
        [f * (d.dx_dx * slope_x + d.dx_dy * slope_y), f * (d.dx_dy * slope_x + d.dy_dy * slope_y)]
    }

    /// The derivative of the photo by the place on the plate: rows x, y of the photo by columns X, Y, px per mm.
    #[inline(always)]
    pub fn by_plate(&self, ray: &Ray) -> [[f64; 2]; 2] {
        let Self { sin_a, cos_a, sin_b, cos_b, .. } = *self;
        let by_x = self.by_camera_step(ray, [cos_b, sin_a * sin_b, -cos_a * sin_b]);
        let by_y = self.by_camera_step(ray, [0.0, -cos_a, -sin_a]);
        [[by_x[0], by_y[0]], [by_x[1], by_y[1]]]
    }

    /// Where a ray arrives.
    #[inline(always)]
    pub fn arrival(&self, ray: &Ray) -> PhotoPoint {
        self.seen(&ray.distorted)
    }

    /// The derivatives of `along . photo` by the ten unknowns in the order of [`CameraUnknown`], with the point of the face
    /// held: [`Projection::by_camera`] in one direction, at a fraction of its cost.
    #[inline(always)]
    pub fn along_by_camera(&self, ray: &Ray, along: PhotoVec) -> [f64; CAMERA_UNKNOWNS] {
        let Self { sin_a, cos_a, sin_b, cos_b, .. } = *self;
        let (PlatePoint { x: px, y: py }, Ray { x, y, distorted: d, .. }) = (ray.plate, *ray);
        let PhotoVec { x: along_x, y: along_y } = along * self.lens.focal_px;
        // By a step in the camera's frame.
        let by_x = (d.dx_dx * along_x + d.dx_dy * along_y) * ray.nearness;
        let by_y = (d.dx_dy * along_x + d.dy_dy * along_y) * ray.nearness;
        let by_z = -(by_x * x + by_y * y);
        let r2 = x * x + y * y;
        let (radial, cross) = ((along_x * x + along_y * y) * r2, 2.0 * x * y);
        [
            by_z * self.pose.distance_mm,
            by_y * (sin_a * py + cos_a * sin_b * px) + by_z * (sin_a * sin_b * px - cos_a * py),
            (by_y * sin_a * cos_b - by_x * sin_b - by_z * cos_a * cos_b) * px,
            along_x * d.x + along_y * d.y,
            along.x,
            along.y,
            radial,
            radial * r2,
            along_x * cross + along_y * (r2 + 2.0 * y * y),
            along_x * (r2 + 2.0 * x * x) + along_y * cross,
        ]
    }

    /// Where a point of the face is seen, with the derivative by its place on the plate.
    #[inline]
    pub fn project_by_plate(&self, plate: PlatePoint) -> Option<(PhotoPoint, [[f64; 2]; 2])> {
        let ray = self.ray(plate)?;
        Some((self.seen(&ray.distorted), self.by_plate(&ray)))
    }

    /// Where a point of the face is seen, with all derivatives.
    #[inline]
    pub fn project_with_derivatives(&self, plate: PlatePoint) -> Option<Projection> {
        let Self { sin_a, cos_a, sin_b, cos_b, .. } = *self;
        let ray = self.ray(plate)?;
        let (px, py) = (plate.x, plate.y);
        let by_ln_d = self.by_camera_step(&ray, [0.0, 0.0, self.pose.distance_mm]);
        let by_a = self.by_camera_step(&ray, [0.0, sin_a * py + cos_a * sin_b * px, sin_a * sin_b * px - cos_a * py]);
        let by_b = self.by_camera_step(&ray, [-sin_b * px, sin_a * cos_b * px, -cos_a * cos_b * px]);
        let (x, y, d, f) = (ray.x, ray.y, &ray.distorted, self.lens.focal_px);
        let r2 = x * x + y * y;
        let (p_cross, p_x, p_y) = (2.0 * x * y, r2 + 2.0 * x * x, r2 + 2.0 * y * y);
        Some(Projection {
            at: self.seen(d),
            by_plate: self.by_plate(&ray),
            by_camera: [
                [by_ln_d[0], by_a[0], by_b[0], f * d.x, 1.0, 0.0, f * x * r2, f * x * r2 * r2, f * p_cross, f * p_x],
                [by_ln_d[1], by_a[1], by_b[1], f * d.y, 0.0, 1.0, f * y * r2, f * y * r2 * r2, f * p_y, f * p_cross],
            ],
        })
    }

    /// Where the ray through a photo point meets the face; `None` where it does not, or the lens model folds over.
    pub fn back_project(&self, photo: PhotoPoint) -> Option<PlatePoint> {
        let Self { sin_a, cos_a, sin_b, cos_b, .. } = *self;
        let (x, y) = self.lens.slopes(photo, self.fold_r2)?;
        // The face's normal away from the camera is (sin b, -sin a cos b, cos a cos b).
        let facing = sin_b * x - sin_a * cos_b * y + cos_a * cos_b;
        if facing < GRAZING * (1.0 + x.abs() + y.abs()) || cos_a * cos_b <= 0.0 {
            return None;
        }
        let z = cos_a * cos_b * self.pose.distance_mm / facing;
        // z - distance = -distance (sin b x - sin a cos b y) / facing, without the cancellation.
        let past = -self.pose.distance_mm * (sin_b * x - sin_a * cos_b * y) / facing;
        let along_x = cos_b * x * z + sin_a * sin_b * y * z - cos_a * sin_b * past;
        let along_y = -(cos_a * y * z + sin_a * past);
        let plate = PlatePoint::new(along_x, along_y);
        plate.is_finite().then_some(plate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bent() -> View {
        View::from_unknowns(&[5.9, 0.21, -0.16, 8.0, 1980.0, 1510.0, -0.28, 0.11, 0.0011, -0.0007])
    }

    #[test]
    fn a_square_camera_sees_y_up() {
        let lens = Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0));
        let view = View::new(lens, Pose::square(300.0));
        let seen = view.project(PlatePoint::new(10.0, 20.0)).unwrap();
        assert_eq!(seen, PhotoPoint::new(2100.0, 1300.0), "10 px per mm, up on the plate is up in the photo");
    }

    #[test]
    fn the_tilt_is_the_angle_between_axis_and_normal() {
        let pose = Pose { distance_mm: 1.0, tilt_a_rad: 0.3, tilt_b_rad: -0.2 };
        let cosine = 0.3_f64.cos() * 0.2_f64.cos();
        assert!((pose.tilt_rad() - cosine.acos()).abs() < 1e-14, "cos of the tilt is cos a cos b");
    }

    #[test]
    fn derivatives_agree_with_central_differences() {
        let at = PlatePoint::new(83.0, -61.0);
        let (view, unknowns) = (bent(), bent().unknowns());
        let exact = view.project_with_derivatives(at).unwrap();
        let check = |name: &str, step: f64, ahead: PhotoPoint, behind: PhotoPoint, by: [f64; 2]| {
            let central = (ahead - behind) * (0.5 / step);
            let size = 1.0 + by[0].hypot(by[1]);
            let off = (central.x - by[0]).hypot(central.y - by[1]);
            assert!(off < 1e-6 * size, "{name}: exact {by:?}, central difference {central:?}");
        };
        for (i, unknown) in unknowns.iter().enumerate() {
            let step = 1e-5 * (1.0 + unknown.abs());
            let moved = |by: f64| {
                let mut there = unknowns;
                there[i] += by;
                View::from_unknowns(&there).project(at).unwrap()
            };
            let by = [exact.by_camera[0][i], exact.by_camera[1][i]];
            check(&format!("unknown {i}"), step, moved(step), moved(-step), by);
        }
        let ray = view.ray(at).unwrap();
        let along = view.along_by_camera(&ray, PhotoVec::new(0.6, -0.8));
        for (i, along) in along.into_iter().enumerate() {
            let whole = 0.6 * exact.by_camera[0][i] - 0.8 * exact.by_camera[1][i];
            assert!(
                (along - whole).abs() < 1e-12 * (1.0 + whole.abs()),
                "unknown {i} in one direction: {along}, {whole}"
            );
        }
        for (axis, step) in [(0, PlatePoint::new(1e-3, 0.0)), (1, PlatePoint::new(0.0, 1e-3))] {
            let step = step - PlatePoint::default();
            let [ahead, behind] = [at + step, at - step].map(|p| view.project(p).unwrap());
            let by = [exact.by_plate[0][axis], exact.by_plate[1][axis]];
            check(&format!("plate axis {axis}"), 1e-3, ahead, behind, by);
        }
    }

    #[test]
    fn places_beyond_the_fold_are_refused_both_ways() {
        // With k1 = -0.3 alone the model turns back at r = sqrt(1 / 0.9) = 1.054, where it has reached 0.703.
        let lens = Lens { k1: -0.3, ..Lens::pinhole(1000.0, PhotoPoint::new(0.0, 0.0)) };
        let view = View::new(lens, Pose::square(100.0));
        assert!(view.project(PlatePoint::new(105.0, 0.0)).is_some(), "just inside the fold");
        assert!(view.project(PlatePoint::new(106.0, 0.0)).is_none(), "just beyond the fold");
        assert!(view.back_project(PhotoPoint::new(702.0, 0.0)).is_some(), "the lens sends light there");
        assert!(view.back_project(PhotoPoint::new(704.0, 0.0)).is_none(), "no light arrives there");
    }

    #[test]
    fn a_ray_above_the_horizon_meets_no_face() {
        let lens = Lens::pinhole(1000.0, PhotoPoint::new(0.0, 0.0));
        let view = View::new(lens, Pose { distance_mm: 300.0, tilt_a_rad: 1.2, tilt_b_rad: 0.0 });
        let rays = [-1000.0, 1000.0].map(|y| view.back_project(PhotoPoint::new(0.0, y)).is_some());
        assert_eq!(rays.iter().filter(|met| **met).count(), 1, "one side looks at the face, the other at the sky");
        assert!(view.back_project(PhotoPoint::new(f64::NAN, 0.0)).is_none(), "nonsense is refused");
    }

    proptest! {
        #[test]
        fn what_is_projected_comes_back(
            a in -0.6..0.6, b in -0.6..0.6, k1 in -0.3..0.3, k2 in -0.1..0.1,
            p1 in -0.003..0.003, p2 in -0.003..0.003, x in -2000.0..2000.0, y in -1500.0..1500.0,
        ) {
            let view = View::from_unknowns(&[5.8, a, b, 7.7, 7.0, -9.0, k1, k2, p1, p2]);
            let photo = PhotoPoint::new(x, y);
            if let Some(plate) = view.back_project(photo) {
                let again = view.project(plate);
                prop_assert!(again.is_some(), "what came through the lens once does so again");
                prop_assert!((again.unwrap() - photo).length() < 1e-9, "{photo:?} came back as {again:?}");
            } else {
                prop_assert!(k1 < 0.0 || k2 < 0.0 || a.abs().max(b.abs()) > 0.3, "refused without a reason");
            }
        }

        #[test]
        fn what_is_seen_is_found_on_the_face(
            a in -0.6..0.6, b in -0.6..0.6, k1 in -0.3..0.3, k2 in -0.1..0.1, x in -150.0..150.0, y in -120.0..120.0,
        ) {
            let view = View::from_unknowns(&[5.8, a, b, 7.7, 7.0, -9.0, k1, k2, 0.001, -0.002]);
            let plate = PlatePoint::new(x, y);
            if let Some(photo) = view.project(plate) {
                let again = view.back_project(photo);
                prop_assert!(again.is_some(), "{plate:?} is seen at {photo:?}");
                prop_assert!((again.unwrap() - plate).length() < 1e-8, "{plate:?} came back as {again:?}");
            }
        }
    }
}
