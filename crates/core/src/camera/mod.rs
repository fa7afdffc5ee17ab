//! From plate to photo and back.
//!
//! A pinhole with Brown-Conrady distortion, in the parameters and the order of the general-purpose vision libraries,
//! looks at the flat face of a part. [`Lens`] is what travels with the camera, [`Pose`] how it was held, [`View`] both
//! prepared for many points, with exact derivatives, and [`PlateMap`] the view with the datum, for everybody else.
//!
//! ## Invariants
//! - The solve frame has its origin where the optical axis meets the face and no turn about the face's normal. Those
//!   are the three freedoms (two shifts, one turn) that neither photo nor lengths can ever determine.
//! - Whatever a view projects, it can project back: places where the lens model folds over are `None` both ways.

mod flat;
mod lens;
mod plate_map;
mod view;

pub use flat::{FLAT_BAND_ROWS, FlatFrame, Pixels, flatten_band};
pub use lens::Lens;
pub use plate_map::{PlateMap, RigidMove};
pub use view::{CAMERA_UNKNOWNS, CameraUnknown, Pose, Projection, Ray, View};
