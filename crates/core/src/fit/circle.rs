//! Circles through points: two closed forms to start from, and the one of smallest square distances.

use nalgebra::{Matrix3, Vector3};

/// A circle in the unit of the points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: [f64; 2],
    /// Its radius.
    pub radius: f64,
}

/// A geometric fit with what is known of its goodness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircleFit {
    /// The circle of smallest square distances.
    pub circle: Circle,
    /// Sum of the squared distances.
    pub square_sum: f64,
    /// Inverse normal matrix of (centre x, centre y, radius): times the variance of one point it is their covariance.
    pub cofactor: [[f64; 3]; 3],
}

/// Central moments of points, with z = x² + y² taken from their middle.
struct Moments {
    middle: [f64; 2],
    xx: f64,
    yy: f64,
    xy: f64,
    xz: f64,
    yz: f64,
    zz: f64,
}

impl Moments {
    fn of<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Option<Self> {
        if points.len() < 3 {
            return None;
        }
        let n = points.len() as f64;
        let mut m = Self { middle: [0.0; 2], xx: 0.0, yy: 0.0, xy: 0.0, xz: 0.0, yz: 0.0, zz: 0.0 };
        for p in points {
            let [x, y] = (*p).into();
            m.middle[0] += x / n;
            m.middle[1] += y / n;
        }
        for p in points {
            let [x, y] = (*p).into();
            let (x, y) = (x - m.middle[0], y - m.middle[1]);
            let z = x * x + y * y;
            m.xx += x * x / n;
            m.yy += y * y / n;
            m.xy += x * y / n;
            m.xz += x * z / n;
            m.yz += y * z / n;
            m.zz += z * z / n;
        }
        Some(m)
    }

    /// The circle that belongs to a root `eta` of Taubin's characteristic polynomial; `eta` = 0 is Kåsa's circle.
    fn circle(&self, eta: f64) -> Option<Circle> {
        let z = self.xx + self.yy;
        let det = eta * eta - eta * z + self.xx * self.yy - self.xy * self.xy;
        let x = (self.xz * (self.yy - eta) - self.yz * self.xy) / det * 0.5;
        let y = (self.yz * (self.xx - eta) - self.xz * self.xy) / det * 0.5;
        let radius = (x * x + y * y + z).sqrt();
        let circle = Circle { centre: [x + self.middle[0], y + self.middle[1]], radius };
        (x.is_finite() && y.is_finite() && radius.is_finite() && radius > 0.0).then_some(circle)
    }
}

/// The circle that minimises the sum of (distance² - radius²)² (Kåsa 1976). It comes out too small on short arcs.
/// `None` for fewer than three points or points in a line.
pub fn kasa<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Option<Circle> {
    Moments::of(points)?.circle(0.0)
}

/// Taubin's circle (1991), by Newton's method on the characteristic polynomial as Chernov gives it (Circular and
/// linear regression, 2010, section 5.10). `None` for fewer than three points or points in a line.
pub fn taubin<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Option<Circle> {
    let m = Moments::of(points)?;
    let z = m.xx + m.yy;
    let cov_xy = m.xx * m.yy - m.xy * m.xy;
    let var_z = m.zz - z * z;
    let a3 = 4.0 * z;
    let a2 = -3.0 * z * z - m.zz;
    let a1 = var_z * z + 4.0 * cov_xy * z - m.xz * m.xz - m.yz * m.yz;
    let a0 = m.xz * (m.xz * m.yy - m.yz * m.xy) + m.yz * (m.yz * m.xx - m.xz * m.xy) - var_z * cov_xy;
    let polynomial = |x: f64| a0 + x * (a1 + x * (a2 + x * a3));
    let (mut eta, mut value) = (0.0, a0);
    // From zero the steps rise monotonically to the smallest root; rounding ends them.
    for _ in 0..MAX_ROUNDS {
        let next = eta - value / (a1 + eta * (2.0 * a2 + 3.0 * eta * a3));
        let next_value = polynomial(next);
        // NaN ends the search as well.
        if next_value.abs().partial_cmp(&value.abs()) != Some(std::cmp::Ordering::Less) {
            break;
        }
        (eta, value) = (next, next_value);
    }
    m.circle(eta)
}

/// Rounds of a search that converges quadratically, or nearly so; more are needed only where points barely bend.
const MAX_ROUNDS: usize = 200;

/// A step below this share of the radius changes nothing that can be seen.
const SAME_SHARE: f64 = 1e-14;

/// Near the minimum the square sum is flat to rounding, and a step must not be refused for that.
const ROUNDING: f64 = 1e-14;

/// Distances of the points from a circle as normal equations of (centre x, centre y, radius).
fn normal_equations<P: Copy + Into<[f64; 2]>>(points: &[P], c: &Circle) -> (Matrix3<f64>, Vector3<f64>, f64) {
    let (mut normal, mut gradient, mut square_sum) = (Matrix3::zeros(), Vector3::zeros(), 0.0);
    for p in points {
        let [x, y] = (*p).into();
        let (dx, dy) = (x - c.centre[0], y - c.centre[1]);
        let distance = dx.hypot(dy);
        let off = distance - c.radius;
        // A point at the centre has no direction; it pulls at the radius alone.
        let row = if distance > 0.0 {
            Vector3::new(-dx / distance, -dy / distance, -1.0)
        } else {
            Vector3::new(0.0, 0.0, -1.0)
        };
        normal += row * row.transpose();
        gradient += row * off;
        square_sum += off * off;
    }
    (normal, gradient, square_sum)
}

/// The circle of smallest square distances (Gander, Golub and Strebel 1994), by Levenberg-Marquardt from Taubin's
/// circle. `None` for fewer than three points or points that bend too little for a circle.
pub fn geometric<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Option<CircleFit> {
    let mut circle = taubin(points)?;
    let (mut normal, mut gradient, mut square_sum) = normal_equations(points, &circle);
    let mut damping = 1e-6;
    for _ in 0..MAX_ROUNDS {
        let mut damped = normal;
        for i in 0..3 {
            damped[(i, i)] *= 1.0 + damping;
        }
        let step = damped.cholesky()?.solve(&-gradient);
        let next = Circle {
            centre: [circle.centre[0] + step[0], circle.centre[1] + step[1]],
            radius: circle.radius + step[2],
        };
        let (next_normal, next_gradient, next_sum) = normal_equations(points, &next);
        if next_sum <= square_sum * (1.0 + ROUNDING) && next.radius > 0.0 {
            (circle, normal, gradient, square_sum) = (next, next_normal, next_gradient, next_sum);
            damping *= 0.1;
        } else {
            damping *= 10.0;
        }
        if step.norm() <= SAME_SHARE * circle.radius {
            break;
        }
    }
    let inverse = normal.try_inverse()?;
    let cofactor = std::array::from_fn(|i| std::array::from_fn(|j| inverse[(i, j)]));
    (0..3).all(|i| inverse[(i, i)] > 0.0).then_some(CircleFit { circle, square_sum, cofactor })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gander, Golub and Strebel, BIT 34 (1994), circle example.
    const GANDER: [[f64; 2]; 6] = [[1.0, 7.0], [2.0, 6.0], [5.0, 8.0], [7.0, 7.0], [9.0, 5.0], [3.0, 7.0]];

    fn near(circle: &Circle, x: f64, y: f64, radius: f64, within: f64) {
        let off = (circle.centre[0] - x).abs().max((circle.centre[1] - y).abs()).max((circle.radius - radius).abs());
        assert!(off < within, "{circle:?} against ({x}, {y}), {radius}");
    }

    #[test]
    fn gander_golub_strebel_1994() {
        let fit = geometric(&GANDER).unwrap();
        // The minimum is flat: the values were recomputed to 5e-8 by an independent Gauss-Newton.
        near(&fit.circle, 4.739_782_41, 2.983_532_70, 4.714_226_04, 1e-8);
        assert!((fit.square_sum - 1.227_599_078_2).abs() < 1e-9, "square sum {}", fit.square_sum);
        let s0 = (fit.square_sum / 3.0).sqrt();
        for (i, sd) in [0.47759, 1.54291, 1.22432].into_iter().enumerate() {
            assert!((s0 * fit.cofactor[i][i].sqrt() - sd).abs() < 6e-6, "standard deviation {i}");
        }
        near(&kasa(&GANDER).unwrap(), 4.742_331_288, 3.835_122_699, 4.108_761_522, 1e-8);
        // Second code: circle-fit, a port of Chernov's programs.
        near(&taubin(&GANDER).unwrap(), 4.613_932_694, 2.795_209_347, 4.879_212_846, 1e-8);
    }

    #[test]
    fn scipy_cookbook_full_circle() {
        let points = [[9, 34], [35, 10], [-13, 6], [10, -14], [23, 27], [0, -10]].map(|p| p.map(f64::from));
        let fit = geometric(&points).unwrap();
        near(&fit.circle, 10.50009, 9.65995, 23.33353, 1e-5);
        assert!((fit.square_sum - 7.711_852).abs() < 1e-5, "square sum {}", fit.square_sum);
        near(&kasa(&points).unwrap(), 10.55231, 9.70590, 23.362_411, 1e-5);
    }

    #[test]
    fn scipy_cookbook_arc() {
        let points = [[36, 14], [36, 10], [19, 28], [18, 31], [33, 18], [26, 26]].map(|p| p.map(f64::from));
        let fit = geometric(&points).unwrap();
        near(&fit.circle, 9.88757, 3.68750, 27.35044, 1e-4);
        assert!((fit.square_sum - 4.042_522).abs() < 1e-5, "square sum {}", fit.square_sum);
        near(&kasa(&points).unwrap(), 15.05503, 8.83615, 20.850_723, 1e-5);
    }

    #[test]
    fn points_that_make_no_circle_give_none() {
        assert_eq!(geometric(&[[0.0, 0.0], [1.0, 1.0]]), None, "two points");
        assert_eq!(geometric(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]), None, "a line");
        assert_eq!(geometric(&[[5.0, 5.0]; 4]), None, "one place");
        assert_eq!(geometric(&[[f64::NAN, 5.0], [1.0, 0.0], [3.0, 4.0]]), None, "nonsense");
    }

    #[test]
    fn three_points_are_met_exactly() {
        let fit = geometric(&[[3.0, 0.0], [0.0, 3.0], [-3.0, 0.0]]).unwrap();
        near(&fit.circle, 0.0, 0.0, 3.0, 1e-13);
    }
}
