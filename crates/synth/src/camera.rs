//! A camera written down as the textbooks do, apart from the core's.

/// A pinhole camera with radial and tangential distortion, looking at the plate.
///
/// A plate point p is at R p + t before the camera (x right, y down, z forward, mm). With x = X/Z, y = Y/Z and
/// r² = x² + y²: x' = x (1 + k1 r² + k2 r⁴) + 2 p1 x y + p2 (r² + 2 x²), y' = y (1 + k1 r² + k2 r⁴) + p1 (r² + 2 y²) +
/// 2 p2 x y; u = f x' + cx, v = f y' + cy (Brown 1966, Conrady 1919, in the order of the vision libraries).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Focal length, px.
    pub focal_px: f64,
    /// Principal point, px.
    pub principal_px: [f64; 2],
    /// k1, k2, p1, p2.
    pub distortion: [f64; 4],
    /// Rows of R, camera from plate.
    pub rotation: [[f64; 3]; 3],
    /// t, mm.
    pub translation: [f64; 3],
}

impl Camera {
    /// A camera whose axis meets the face at (0, 0) from `distance_mm` away, tilted by `tilt_rad` about the direction
    /// `azimuth_rad` of the face and turned by `roll_rad` about its axis; no distortion, principal point in the middle
    /// of a picture of `size` px.
    pub fn looking_down(
        size: [u32; 2],
        focal_px: f64,
        distance_mm: f64,
        [tilt_rad, azimuth_rad, roll_rad]: [f64; 3],
    ) -> Self {
        // Seen square-on the plate's x is the camera's x, its y and z point the other way.
        let square = [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]];
        let tilt = product(&turn_z(azimuth_rad), &product(&turn_x(tilt_rad), &turn_z(-azimuth_rad)));
        let rotation = product(&turn_z(roll_rad), &product(&tilt, &square));
        let middle = |side: u32| (f64::from(side) - 1.0) / 2.0;
        Self {
            focal_px,
            principal_px: [middle(size[0]), middle(size[1])],
            distortion: [0.0; 4],
            rotation,
            translation: [0.0, 0.0, distance_mm],
        }
    }

    /// Where a point of the plate (mm) is in the photo (px).
    pub fn photo_from_plate(&self, p: [f64; 3]) -> [f64; 2] {
        let [x, y, z] = std::array::from_fn(|row| dot(self.rotation[row], p) + self.translation[row]);
        let [x, y] = self.distorted([x / z, y / z]);
        [self.focal_px * x + self.principal_px[0], self.focal_px * y + self.principal_px[1]]
    }

    /// Where the ray through a photo point (px) meets the plane `z_mm` of the plate (mm).
    pub fn plate_from_photo(&self, [u, v]: [f64; 2], z_mm: f64) -> [f64; 2] {
        let bent = [(u - self.principal_px[0]) / self.focal_px, (v - self.principal_px[1]) / self.focal_px];
        let mut straight = bent;
        // Each round takes away the bend that the last one left; it shrinks by about |k1| r² a round.
        for _ in 0..200 {
            let again = self.distorted(straight);
            let off = [bent[0] - again[0], bent[1] - again[1]];
            straight = [straight[0] + off[0], straight[1] + off[1]];
            if off[0].abs().max(off[1].abs()) < 1e-15 {
                break;
            }
        }
        let ray = [straight[0], straight[1], 1.0];
        let column = |c: usize| [self.rotation[0][c], self.rotation[1][c], self.rotation[2][c]];
        let along = dot(column(2), ray);
        let start = dot(column(2), self.translation);
        let depth = (z_mm + start) / along;
        let from_t = [0, 1, 2].map(|i| ray[i] * depth - self.translation[i]);
        [dot(column(0), from_t), dot(column(1), from_t)]
    }

    fn distorted(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [k1, k2, p1, p2] = self.distortion;
        let r2 = x * x + y * y;
        let radial = 1.0 + k1 * r2 + k2 * r2 * r2;
        [
            x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
            y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y,
        ]
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn product(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

fn turn_x(angle: f64) -> [[f64; 3]; 3] {
    let (s, c) = angle.sin_cos();
    [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]
}

fn turn_z(angle: f64) -> [[f64; 3]; 3] {
    let (s, c) = angle.sin_cos();
    [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn back_and_forth_meets_itself() {
        let mut camera = Camera::looking_down([4000, 3000], 3000.0, 300.0, [0.2, 1.1, 0.4]);
        camera.distortion = [-0.12, 0.03, 4e-4, -3e-4];
        for p in [[0.0, 0.0], [40.0, -25.0], [-70.0, 55.0]] {
            let back = camera.plate_from_photo(camera.photo_from_plate([p[0], p[1], 0.0]), 0.0);
            assert!((back[0] - p[0]).hypot(back[1] - p[1]) < 1e-9, "{p:?} came back as {back:?}");
        }
    }

    #[test]
    fn square_on_the_plate_is_upright() {
        let camera = Camera::looking_down([1000, 800], 1000.0, 500.0, [0.0; 3]);
        let up = camera.photo_from_plate([0.0, 10.0, 0.0]);
        assert!((up[0] - 499.5).abs() < 1e-12 && (up[1] - 379.5).abs() < 1e-12, "10 mm up is 20 px up: {up:?}");
    }
}
