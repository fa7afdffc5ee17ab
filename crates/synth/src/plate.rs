//! The part in front of the camera.

/// A round hole through the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundHole {
    /// Its centre, mm.
    pub centre: [f64; 2],
    /// Its diameter, mm.
    pub diameter: f64,
}

/// A flat plate with round holes, lying on a bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// Corners of its outline in order, mm.
    pub outline: Vec<[f64; 2]>,
    /// Its holes.
    pub holes: Vec<RoundHole>,
    /// How thick it is, mm; the bench lies this far below the face.
    pub thickness: f64,
}

impl Plate {
    /// The point of the face lies on metal.
    pub fn is_metal(&self, p: [f64; 2]) -> bool {
        let in_hole = self.holes.iter().any(|h| (p[0] - h.centre[0]).hypot(p[1] - h.centre[1]) < h.diameter / 2.0);
        !in_hole && inside(&self.outline, p)
    }

    /// Smallest distance from a point of the face to an edge of the metal, mm.
    pub fn distance_to_edge(&self, p: [f64; 2]) -> f64 {
        let rims = self.holes.iter().map(|h| ((p[0] - h.centre[0]).hypot(p[1] - h.centre[1]) - h.diameter / 2.0).abs());
        let sides = sides(&self.outline).map(|(a, b)| distance_to_side(a, b, p));
        rims.chain(sides).fold(f64::INFINITY, f64::min)
    }
}

fn sides(corners: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    corners.iter().copied().zip(corners.iter().copied().cycle().skip(1))
}

/// The crossing-number rule (Shimrat 1962).
fn inside(corners: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    let crosses = |(a, b): &([f64; 2], [f64; 2])| {
        (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    };
    sides(corners).filter(crosses).count() % 2 == 1
}

fn distance_to_side(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> f64 {
    let (along, to) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let square = along[0] * along[0] + along[1] * along[1];
    let share = if square > 0.0 { ((to[0] * along[0] + to[1] * along[1]) / square).clamp(0.0, 1.0) } else { 0.0 };
    (to[0] - share * along[0]).hypot(to[1] - share * along[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metal_is_inside_the_outline_and_outside_the_holes() {
        let plate = Plate {
            outline: vec![[-20.0, -10.0], [20.0, -10.0], [20.0, 10.0], [-20.0, 10.0]],
            holes: vec![RoundHole { centre: [5.0, 0.0], diameter: 6.0 }],
            thickness: 5.0,
        };
        assert!(plate.is_metal([-10.0, 0.0]), "in the middle of the metal");
        assert!(!plate.is_metal([6.0, 0.0]), "in the hole");
        assert!(!plate.is_metal([21.0, 0.0]), "off the plate");
        assert!((plate.distance_to_edge([10.0, 0.0]) - 2.0).abs() < 1e-12, "2 mm from the rim");
    }
}
