//! The second-order cone of the plane: `(s, v)` with `|v| <= s`, and its Nesterov-Todd scaling.
//!
//! Formulas after Alizadeh and Goldfarb, Mathematical Programming 95 (2003), and Vandenberghe, The CVXOPT linear and
//! quadratic cone program solvers (2010), section 4.

/// A member of the cone, or a step in its space: length first.
pub(super) type Vec3 = [f64; 3];

/// Scalar product.
pub(super) fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// `a + b factor`.
pub(super) fn add(a: Vec3, b: Vec3, factor: f64) -> Vec3 {
    [a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2]]
}

/// Length of a step in the plane. The root is the same on every machine, which the library's `hypot` is not.
pub(super) fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

/// `s² - |v|²`, positive inside; by its factors, since near the rim the squares cancel.
pub(super) fn determinant(a: Vec3) -> f64 {
    let plane = length(a[1], a[2]);
    (a[0] - plane) * (a[0] + plane)
}

/// Jordan product `(a·b, a0 b1 + b0 a1)`.
pub(super) fn product(a: Vec3, b: Vec3) -> Vec3 {
    [dot(a, b), a[0] * b[1] + b[0] * a[1], a[0] * b[2] + b[0] * a[2]]
}

/// The b whose Jordan product with `a`, of the determinant `determinant`, is `p`.
pub(super) fn quotient(a: Vec3, determinant: f64, p: Vec3) -> Vec3 {
    let first = (a[0] * p[0] - a[1] * p[1] - a[2] * p[2]) / determinant;
    let share = 1.0 / a[0];
    [first, (p[1] - first * a[1]) * share, (p[2] - first * a[2]) * share]
}

/// The inverse of the longest step along `along` that does not leave the cone, zero where all of them stay; from `at`,
/// strictly inside, of the determinant `start`.
pub(super) fn inverse_of_longest_step(at: Vec3, start: f64, along: Vec3) -> f64 {
    let form = |a: Vec3, b: Vec3| a[0] * b[0] - a[1] * b[1] - a[2] * b[2];
    let (square, half) = (form(along, along), form(at, along));
    // The nearer root of start + 2 half t + square t², in the form that does not cancel.
    let root = half * half - square * start;
    if root < 0.0 { 0.0 } else { ((root.sqrt() - half) / start).max(0.0) }
}

/// The symmetric W that takes `z` to the same point as its inverse takes `s`.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Scaling {
    /// Of determinant one.
    w: Vec3,
    /// `1 / (1 + w0)`.
    plane_share: f64,
    size: f64,
    /// `1 / size`.
    by: f64,
}

impl Scaling {
    /// For two members strictly inside, with the roots of their determinants.
    pub(super) fn of(s: Vec3, s_size: f64, z: Vec3, z_size: f64) -> Self {
        let (s_share, z_share) = (1.0 / s_size, 1.0 / z_size);
        let (s, z) = (s.map(|x| x * s_share), z.map(|x| x * z_share));
        let half = 0.5 / (0.5 * (1.0 + dot(s, z))).sqrt();
        let w = [(s[0] + z[0]) * half, (s[1] - z[1]) * half, (s[2] - z[2]) * half];
        let size = (s_size / z_size).sqrt();
        Self { w, plane_share: 1.0 / (1.0 + w[0]), size, by: 1.0 / size }
    }

    /// `W a`.
    pub(super) fn times(&self, a: Vec3) -> Vec3 {
        let [w0, w1, w2] = self.w;
        let plane = w1 * a[1] + w2 * a[2];
        let share = a[0] + plane * self.plane_share;
        [w0 * a[0] + plane, a[1] + share * w1, a[2] + share * w2].map(|x| x * self.size)
    }

    /// `W⁻¹ a`.
    pub(super) fn divide(&self, a: Vec3) -> Vec3 {
        let [w0, w1, w2] = self.w;
        let plane = w1 * a[1] + w2 * a[2];
        let share = plane * self.plane_share - a[0];
        [w0 * a[0] - plane, a[1] + share * w1, a[2] + share * w2].map(|x| x * self.by)
    }

    /// `W⁻²`, by rows: `(2 J w w' J - J) / size²` with `J = diag(1, -1, -1)`.
    pub(super) fn inverse_square(&self) -> [Vec3; 3] {
        let [w0, w1, w2] = self.w;
        let by = self.by * self.by;
        let (d, e) = (2.0 * by, -2.0 * by * w0);
        let cross = d * w1 * w2;
        [
            [by * (2.0 * w0 * w0 - 1.0), e * w1, e * w2],
            [e * w1, d * w1 * w1 + by, cross],
            [e * w2, cross, d * w2 * w2 + by],
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(a: Vec3, b: Vec3) -> bool {
        let size = dot(a, a).max(dot(b, b)).sqrt();
        (0..3).all(|i| (a[i] - b[i]).abs() <= 1e-9 * size)
    }

    prop_compose! {
        fn inside()(x in -2.0..2.0_f64, y in -2.0..2.0_f64, more in 0.01..2.0_f64) -> Vec3 {
            [length(x, y) + more, x, y]
        }
    }

    proptest! {
        #[test]
        fn the_scaling_does_what_it_is_for(s in inside(), z in inside(), a in inside()) {
            let scaling = Scaling::of(s, determinant(s).sqrt(), z, determinant(z).sqrt());
            prop_assert!(near(scaling.times(z), scaling.divide(s)), "both go to one point");
            prop_assert!(near(scaling.divide(scaling.times(a)), a), "there and back");
            let twice = scaling.divide(scaling.divide(a));
            prop_assert!(near(scaling.inverse_square().map(|row| dot(row, a)), twice), "the square of the inverse");
            prop_assert!(near(product(s, quotient(s, determinant(s), a)), a), "quotient and product");
        }

        #[test]
        fn the_longest_step_ends_on_the_rim(at in inside(), x in -3.0..3.0_f64, y in -3.0..3.0_f64, z in -3.0..3.0_f64) {
            let along = [x, y, z];
            let step = 1.0 / inverse_of_longest_step(at, determinant(at), along);
            let is_inside = |a: Vec3| a[0] > 0.0 && determinant(a) > 0.0;
            prop_assert!(is_inside(add(at, along, 0.999 * step.min(1e6))), "just before {} it is inside", step);
            if step.is_finite() {
                prop_assert!(!is_inside(add(at, along, 1.001 * step)), "just after {} it is not", step);
            }
        }
    }
}
