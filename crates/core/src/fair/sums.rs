//! Sums over points from which a line and a circle follow in a fixed number of steps, however many points there are.

use super::curve::Curve;
use crate::space::{PlatePoint, PlateVec};

/// Weighted sums of coordinates from `origin`, with z = x² + y².
#[derive(Debug, Clone, Copy)]
pub(super) struct Sums {
    origin: PlatePoint,
    w: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
    xz: f64,
    yz: f64,
    zz: f64,
}

/// A curve with the weighted sum of squared distances from it, mm².
#[derive(Debug, Clone, Copy)]
pub(super) struct Fitted {
    pub(super) curve: Curve,
    pub(super) square_sum: f64,
}

/// Rounds of Newton's method for the circle: from zero it doubles its digits.
const NEWTON_ROUNDS: usize = 6;

impl Sums {
    pub(super) fn new(origin: PlatePoint) -> Self {
        Self { origin, w: 0.0, x: 0.0, y: 0.0, xx: 0.0, xy: 0.0, yy: 0.0, xz: 0.0, yz: 0.0, zz: 0.0 }
    }

    pub(super) fn add(&mut self, place: PlatePoint, weight: f64) {
        let PlateVec { x, y } = place - self.origin;
        let z = x * x + y * y;
        let (wx, wy) = (weight * x, weight * y);
        self.w += weight;
        self.x += wx;
        self.y += wy;
        self.xx += wx * x;
        self.xy += wx * y;
        self.yy += wy * y;
        self.xz += wx * z;
        self.yz += wy * z;
        self.zz += weight * z * z;
    }

    /// Sum of the weights.
    pub(super) fn weight(&self) -> f64 {
        self.w
    }

    /// The line of smallest squared distances, gone along as `forward` points; `None` for one place.
    pub(super) fn line(&self, forward: PlateVec) -> Option<Fitted> {
        let (mx, my) = (self.x / self.w, self.y / self.w);
        let (xx, xy, yy) = (self.xx - self.x * mx, self.xy - self.x * my, self.yy - self.y * my);
        let half = 0.5 * (xx - yy);
        let root = half.hypot(xy);
        let whole = 0.5 * (xx + yy);
        // The larger axis, by whichever column keeps its digits.
        let axis = if half >= 0.0 { PlateVec::new(half + root, xy) } else { PlateVec::new(xy, root - half) };
        let axis = axis.unit()?;
        let along = if axis.dot(forward) < 0.0 { -axis } else { axis };
        let at = self.origin + PlateVec::new(mx, my);
        Some(Fitted { curve: Curve { at, along, bend: 0.0 }, square_sum: (whole - root).max(0.0) })
    }

    /// Taubin's circle (1991; Chernov 2010, section 5.10) from the sums, with the sum of squared distances to first
    /// order; gone along as `forward` points where it is nearest to the middle of the points.
    pub(super) fn circle(&self, forward: PlateVec) -> Option<Fitted> {
        let w = self.w;
        let (mx, my) = (self.x / w, self.y / w);
        let (xx, xy, yy) = (self.xx / w - mx * mx, self.xy / w - mx * my, self.yy / w - my * my);
        let m = mx * mx + my * my;
        let z = xx + yy;
        // z about the middle is z - 2 m·p + m.
        let (zx, zy) = (self.xz / w - mx * (z + m), self.yz / w - my * (z + m));
        let xz = zx - 2.0 * (mx * xx + my * xy);
        let yz = zy - 2.0 * (mx * xy + my * yy);
        let raw_zz = self.zz / w - (z + m) * (z + m);
        let var_z = raw_zz - 4.0 * (mx * zx + my * zy) + 4.0 * (mx * mx * xx + 2.0 * mx * my * xy + my * my * yy);
        let cov = xx * yy - xy * xy;
        let a3 = 4.0 * z;
        let a2 = -3.0 * z * z - (var_z + z * z);
        let a1 = var_z * z + 4.0 * cov * z - xz * xz - yz * yz;
        let a0 = xz * (xz * yy - yz * xy) + yz * (yz * xx - xz * xy) - var_z * cov;
        let mut eta = 0.0;
        let mut value = a0;
        for _ in 0..NEWTON_ROUNDS {
            let next = eta - value / (a1 + eta * (2.0 * a2 + 3.0 * eta * a3));
            let next_value = a0 + next * (a1 + next * (a2 + next * a3));
            if next_value.abs().partial_cmp(&value.abs()) != Some(std::cmp::Ordering::Less) {
                break;
            }
            (eta, value) = (next, next_value);
        }
        let det = eta * eta - eta * z + cov;
        let (cx, cy) = ((xz * (yy - eta) - yz * xy) / det * 0.5, (yz * (xx - eta) - xz * xy) / det * 0.5);
        let square = cx * cx + cy * cy + z;
        let radius = square.sqrt();
        let from_centre = PlateVec::new(-cx, -cy);
        let outward = from_centre.unit()?;
        if !(radius.is_finite() && radius > 0.0) {
            return None;
        }
        // Of z' - 2 a x - 2 b y - (mean z'): its variance over the square of the diameter.
        let spread = var_z - 4.0 * (cx * xz + cy * yz) + 4.0 * (cx * cx * xx + 2.0 * cx * cy * xy + cy * cy * yy);
        let left = outward.perp();
        let turns_left = left.dot(forward) >= 0.0;
        let at = self.origin + PlateVec::new(mx + cx, my + cy) + outward * radius;
        let (along, bend) = if turns_left { (left, 1.0 / radius) } else { (-left, -1.0 / radius) };
        Some(Fitted { curve: Curve { at, along, bend }, square_sum: (spread / (4.0 * square)).max(0.0) * w })
    }
}
