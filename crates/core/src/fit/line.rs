//! The line of smallest square distances.

/// A line by a point on it and its direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The middle of the points.
    pub through: [f64; 2],
    /// Direction of length one.
    pub direction: [f64; 2],
    /// Root mean square of the points' distances from the line, in their unit.
    pub rms: f64,
}

/// The line with the smallest sum of squared perpendicular distances (Pearson 1901): through the middle of the
/// points, along the larger axis of their scatter. `None` for fewer than two different places.
pub fn orthogonal_line<P: Copy + Into<[f64; 2]>>(points: &[P]) -> Option<Line> {
    let n = points.len() as f64;
    let (mut mx, mut my) = (0.0, 0.0);
    for p in points {
        let [x, y] = (*p).into();
        mx += x / n;
        my += y / n;
    }
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let [x, y] = (*p).into();
        let (dx, dy) = (x - mx, y - my);
        xx += dx * dx / n;
        xy += dx * dy / n;
        yy += dy * dy / n;
    }
    if !(xx + yy > 0.0 && (xx + yy).is_finite()) {
        return None;
    }
    let half_difference = 0.5 * (xx - yy);
    let angle = 0.5 * xy.atan2(half_difference);
    let smaller = 0.5 * (xx + yy) - half_difference.hypot(xy);
    Some(Line { through: [mx, my], direction: [angle.cos(), angle.sin()], rms: smaller.max(0.0).sqrt() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_line_give_that_line() {
        let line = orthogonal_line(&[[0.0, 1.0], [3.0, 5.0], [6.0, 9.0]]).unwrap();
        assert!((line.through[0] - 3.0).abs() + (line.through[1] - 5.0).abs() < 1e-15, "the middle");
        assert!((line.direction[0] - 0.6).abs() + (line.direction[1] - 0.8).abs() < 1e-15, "3 across, 4 up");
        assert!(line.rms < 1e-7, "nothing is off");
    }

    #[test]
    fn a_steep_line_is_no_special_case() {
        let line = orthogonal_line(&[[2.0, 0.0], [2.0, 7.0], [2.1, 3.0], [1.9, 4.0]]).unwrap();
        assert!(line.direction[1].abs() > 0.999, "upright");
    }

    #[test]
    fn one_place_has_no_line() {
        assert_eq!(orthogonal_line(&[[2.0, 3.0], [2.0, 3.0]]), None, "two picks at one place");
        assert_eq!(orthogonal_line::<[f64; 2]>(&[]), None, "no picks");
    }
}
