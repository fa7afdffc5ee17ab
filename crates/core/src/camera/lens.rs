//! The lens: focal length, principal point, distortion.
#![expect(clippy::inline_always, reason = "this runs once or twice per pick and round, and its parts are shared")]

use crate::space::PhotoPoint;

/// A pinhole with Brown-Conrady distortion (Brown, Decentering distortion of lenses, 1966), square pixels.
///
/// With the ray's slopes (x, y) and r² = x² + y², a point is seen at `principal + focal_px * (xd, yd)`:
/// - xd = x (1 + k1 r² + k2 r⁴) + 2 p1 x y + p2 (r² + 2 x²)
/// - yd = y (1 + k1 r² + k2 r⁴) + p1 (r² + 2 y²) + 2 p2 x y
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// Focal length, px.
    pub focal_px: f64,
    /// Where the optical axis meets the photo.
    pub principal: PhotoPoint,
    /// First radial term.
    pub k1: f64,
    /// Second radial term.
    pub k2: f64,
    /// First tangential term.
    pub p1: f64,
    /// Second tangential term.
    pub p2: f64,
}

/// Slopes after distortion with their derivatives by the slopes before it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Distorted {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) dx_dx: f64,
    /// Also the derivative of y by x: the model's Jacobian is symmetric.
    pub(super) dx_dy: f64,
    pub(super) dy_dy: f64,
}

impl Distorted {
    fn determinant(&self) -> f64 {
        self.dx_dx * self.dy_dy - self.dx_dy * self.dx_dy
    }
}

/// Rounds of the scalar and of the plane search; each converges quadratically, so this is never reached in earnest.
const MAX_ROUNDS: usize = 60;

/// Slopes that agree to this are the same: a few units in the last place of a slope near one.
const SAME_SLOPE: f64 = 4e-16;

/// What is left after undistortion must be below this, as a slope: 1e-9 px at the longest focal length in use.
const UNDISTORTED: f64 = 1e-13;

impl Lens {
    /// A lens without distortion.
    pub const fn pinhole(focal_px: f64, principal: PhotoPoint) -> Self {
        Self { focal_px, principal, k1: 0.0, k2: 0.0, p1: 0.0, p2: 0.0 }
    }

    /// r² at which the radial model turns back on itself: the smallest positive root of 1 + 3 k1 s + 5 k2 s², the
    /// derivative of r (1 + k1 r² + k2 r⁴) with s = r². Infinite where there is none.
    pub(super) fn fold_r2(&self) -> f64 {
        let (half_b, a) = (1.5 * self.k1, 5.0 * self.k2);
        let discriminant = half_b * half_b - a;
        if discriminant < 0.0 {
            return f64::INFINITY;
        }
        // With the constant term 1 the roots are 1/q1 and 1/q2, which holds for a = 0 as well.
        let root = discriminant.sqrt();
        let largest_inverse = (-half_b + root).max(-half_b - root);
        if largest_inverse > 0.0 { 1.0 / largest_inverse } else { f64::INFINITY }
    }

    /// Distorts the slopes (x, y); `None` where the model folds over. `fold_r2` is [`Lens::fold_r2`], which the
    /// caller keeps.
    #[inline(always)]
    pub(super) fn distort(&self, x: f64, y: f64, fold_r2: f64) -> Option<Distorted> {
        let (d, folded) = self.distort_anywhere(x, y, fold_r2);
        (!folded).then_some(d)
    }

    /// The same without a branch, and whether the model folds over there.
    #[inline(always)]
    pub(super) fn distort_anywhere(&self, x: f64, y: f64, fold_r2: f64) -> (Distorted, bool) {
        let r2 = x * x + y * y;
        let d = self.distorted(x, y, r2);
        // NaN counts as folded.
        (d, !(r2 < fold_r2 && d.determinant() > 0.0))
    }

    #[inline(always)]
    fn distorted(&self, x: f64, y: f64, r2: f64) -> Distorted {
        let Self { k1, k2, p1, p2, .. } = *self;
        let radial = 1.0 + r2 * (k1 + r2 * k2);
        let radial_by_r2 = k1 + 2.0 * k2 * r2;
        Distorted {
            x: x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
            y: y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y,
            dx_dx: radial + 2.0 * x * x * radial_by_r2 + 2.0 * p1 * y + 6.0 * p2 * x,
            dx_dy: 2.0 * x * y * radial_by_r2 + 2.0 * p1 * x + 2.0 * p2 * y,
            dy_dy: radial + 2.0 * y * y * radial_by_r2 + 6.0 * p1 * y + 2.0 * p2 * x,
        }
    }

    /// The slopes of the ray that is seen at `photo`, to machine precision; `None` beyond the fold.
    pub(super) fn slopes(&self, photo: PhotoPoint, fold_r2: f64) -> Option<(f64, f64)> {
        let xd = (photo.x - self.principal.x) / self.focal_px;
        let yd = (photo.y - self.principal.y) / self.focal_px;
        if self.k1 == 0.0 && self.k2 == 0.0 && self.p1 == 0.0 && self.p2 == 0.0 {
            return Some((xd, yd));
        }
        let scale = self.undo_radial(xd.hypot(yd), fold_r2);
        let (mut x, mut y) = (xd * scale, yd * scale);
        for _ in 0..MAX_ROUNDS {
            let d = self.distorted(x, y, x * x + y * y);
            let (ex, ey) = (xd - d.x, yd - d.y);
            let det = d.determinant();
            let step_x = (d.dy_dy * ex - d.dx_dy * ey) / det;
            let step_y = (d.dx_dx * ey - d.dx_dy * ex) / det;
            if !(step_x.is_finite() && step_y.is_finite()) {
                return None;
            }
            x += step_x;
            y += step_y;
            if step_x.abs() + step_y.abs() <= SAME_SLOPE * (1.0 + x.abs() + y.abs()) {
                break;
            }
        }
        let d = self.distort(x, y, fold_r2)?;
        let left = (xd - d.x).abs() + (yd - d.y).abs();
        (left <= UNDISTORTED * (1.0 + xd.abs() + yd.abs())).then_some((x, y))
    }

    /// The factor r / rd of the radial model alone, by Newton's method kept inside a bracket. Beyond the fold it is a
    /// place just inside: the tangential terms may still bring the point back.
    fn undo_radial(&self, rd: f64, fold_r2: f64) -> f64 {
        if rd == 0.0 || !rd.is_finite() {
            return 1.0;
        }
        let miss = |r: f64| r * (1.0 + r * r * (self.k1 + r * r * self.k2)) - rd;
        let (mut low, mut high) = (0.0, fold_r2.sqrt());
        if high.is_infinite() {
            high = rd;
            while miss(high) < 0.0 && high < 1e6 * rd {
                high *= 2.0;
            }
        } else if miss(high) <= 0.0 {
            return 0.99 * high / rd;
        }
        let mut r = rd.min(0.5 * (low + high));
        for _ in 0..MAX_ROUNDS {
            let value = miss(r);
            if value > 0.0 {
                high = r;
            } else {
                low = r;
            }
            let r2 = r * r;
            let newton = r - value / (1.0 + r2 * (3.0 * self.k1 + 5.0 * r2 * self.k2));
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let step = (next - r).abs();
            r = next;
            // The plane search that follows finishes the work.
            if step <= 1e-9 * r {
                break;
            }
        }
        r / rd
    }
}
