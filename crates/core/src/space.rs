//! The two frames that the person works in, as types that do not mix.
//!
//! | frame | axes, unit | origin |
//! | --- | --- | --- |
//! | photo | x right, y down, px | centre of the top-left pixel, after the EXIF orientation is applied |
//! | plate | x right, y up, z out of the face towards the camera, mm | on the face; set by the datum |
//!
//! ```compile_fail
//! use platewright_core::space::{PhotoPoint, PlatePoint};
//! let mixed = PhotoPoint::new(1.0, 2.0) - PlatePoint::new(1.0, 2.0);
//! ```

use serde::{Deserialize, Serialize};
use std::ops::{Add, Mul, Neg, Sub};

macro_rules! frame {
    ($point:ident, $vec:ident, $unit:literal) => {
        #[doc = concat!("A place in the frame, in ", $unit, ".")]
        #[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
        #[serde(from = "[f64; 2]", into = "[f64; 2]")]
        pub struct $point {
            #[doc = concat!("Along x, ", $unit, ".")]
            pub x: f64,
            #[doc = concat!("Along y, ", $unit, ".")]
            pub y: f64,
        }

        #[doc = concat!("A step in the frame, in ", $unit, ".")]
        #[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
        #[serde(from = "[f64; 2]", into = "[f64; 2]")]
        pub struct $vec {
            #[doc = concat!("Along x, ", $unit, ".")]
            pub x: f64,
            #[doc = concat!("Along y, ", $unit, ".")]
            pub y: f64,
        }

        impl $point {
            #[doc = concat!("The place (`x`, `y`), in ", $unit, ".")]
            pub const fn new(x: f64, y: f64) -> Self {
                Self { x, y }
            }

            #[doc = concat!("How far it is to `other`, in ", $unit, ".")]
            pub fn distance(self, other: Self) -> f64 {
                (self - other).length()
            }

            /// The place a share `t` of the way to `other`.
            #[must_use]
            pub fn lerp(self, other: Self, t: f64) -> Self {
                self + (other - self) * t
            }

            /// Neither coordinate is infinite or not a number.
            pub fn is_finite(self) -> bool {
                self.x.is_finite() && self.y.is_finite()
            }
        }

        impl $vec {
            #[doc = concat!("The step (`x`, `y`), in ", $unit, ".")]
            pub const fn new(x: f64, y: f64) -> Self {
                Self { x, y }
            }

            /// The step of length one at `angle_rad` from x towards y.
            pub fn from_angle(angle_rad: f64) -> Self {
                Self::new(angle_rad.cos(), angle_rad.sin())
            }

            #[doc = concat!("Its length, in ", $unit, ".")]
            pub fn length(self) -> f64 {
                self.x.hypot(self.y)
            }

            /// Scalar product.
            pub fn dot(self, other: Self) -> f64 {
                self.x * other.x + self.y * other.y
            }

            /// z of the vector product: positive where `other` lies from x towards y of `self`.
            pub fn cross(self, other: Self) -> f64 {
                self.x * other.y - self.y * other.x
            }

            /// A quarter turn from x towards y.
            #[must_use]
            pub fn perp(self) -> Self {
                Self::new(-self.y, self.x)
            }

            /// The same direction with length one; `None` for a step of no length.
            pub fn unit(self) -> Option<Self> {
                let length = self.length();
                (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
            }

            /// Angle from x towards y, radians in (-pi, pi].
            pub fn angle_rad(self) -> f64 {
                self.y.atan2(self.x)
            }
        }

        impl From<[f64; 2]> for $point {
            fn from([x, y]: [f64; 2]) -> Self {
                Self { x, y }
            }
        }
        impl From<$point> for [f64; 2] {
            fn from(p: $point) -> Self {
                [p.x, p.y]
            }
        }
        impl From<[f64; 2]> for $vec {
            fn from([x, y]: [f64; 2]) -> Self {
                Self { x, y }
            }
        }
        impl From<$vec> for [f64; 2] {
            fn from(v: $vec) -> Self {
                [v.x, v.y]
            }
        }
        impl Sub for $point {
            type Output = $vec;
            fn sub(self, other: Self) -> $vec {
                $vec::new(self.x - other.x, self.y - other.y)
            }
        }
        impl Add<$vec> for $point {
            type Output = Self;
            fn add(self, step: $vec) -> Self {
                Self::new(self.x + step.x, self.y + step.y)
            }
        }
        impl Sub<$vec> for $point {
            type Output = Self;
            fn sub(self, step: $vec) -> Self {
                Self::new(self.x - step.x, self.y - step.y)
            }
        }
        impl Add for $vec {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::new(self.x + other.x, self.y + other.y)
            }
        }
        impl Sub for $vec {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self::new(self.x - other.x, self.y - other.y)
            }
        }
        impl Mul<f64> for $vec {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::new(self.x * factor, self.y * factor)
            }
        }
        impl Neg for $vec {
            type Output = Self;
            fn neg(self) -> Self {
                Self::new(-self.x, -self.y)
            }
        }
    };
}

frame!(PhotoPoint, PhotoVec, "px");
frame!(PlatePoint, PlateVec, "mm");

impl PlateVec {
    /// The same step seen from the other side: y turned round.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        Self { x: self.x, y: 0.0 - self.y }
    }
}

impl PlatePoint {
    /// The same place seen from the other side: y turned round.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        // Subtracted, so that 0 stays 0 and does not become -0 in a file.
        Self { x: self.x, y: 0.0 - self.y }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_goes_from_x_towards_y() {
        assert_eq!(PlateVec::new(1.0, 0.0).perp(), PlateVec::new(0.0, 1.0), "x turns into y");
        assert!(PlateVec::new(1.0, 0.0).cross(PlateVec::new(0.0, 1.0)) > 0.0, "y lies towards y of x");
    }

    #[test]
    fn a_step_of_no_length_has_no_direction() {
        assert_eq!(PhotoVec::default().unit(), None, "zero has no direction");
        assert_eq!(PhotoVec::new(f64::INFINITY, 0.0).unit(), None, "nor has infinity");
    }

    #[test]
    fn points_are_written_as_pairs() {
        let text = serde_json::to_string(&PhotoPoint::new(812.5, 640.0)).unwrap();
        assert_eq!(text, "[812.5,640.0]", "a pair of px");
    }
}
