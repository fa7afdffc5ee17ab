//! Everything that Platewright computes.
//!
//! From what a person said about one photo (rim picks, hand measures, outline nodes) to what is known about the part
//! (hole positions with their uncertainty, the camera, the outline as lines and arcs) and the bytes of a cut file.
//!
//! ## Layers
//! A module imports only from the layers above it in this list:
//! [`space`], [`units`], [`tolerance`], [`instrument`], [`standards`] (words) → [`geom`] → [`camera`], [`fit`],
//! [`fair`], [`edge`], [`adjust`], [`bolt_up`] → [`job`] (what the person said) → [`seen`] (what the photo shows of it) →
//! [`outline`], [`solution`] (what follows from both) → [`check`], [`caution`], [`export`] (what may leave the shop),
//! [`advice`] (what its photo costs) → [`paper`] (what goes on paper).
//!
//! ## Invariants
//! - No window, file, clock, thread or random source: numbers and bytes come in, values and findings go out. What is
//!   drawn ([`bolt_up`]) is drawn from a seed that comes in.
//! - A half-finished job is not an error. Where something cannot be told, the answer says so and why.
//! - Photo and plate coordinates are different types; only a [`camera`] turns one into the other.
//! - [`job::Edit`] is the only thing that changes a [`job::Job`].

pub mod adjust;
pub mod advice;
pub mod bolt_up;
pub mod camera;
pub mod caution;
pub mod check;
pub mod edge;
pub mod export;
pub mod fair;
pub mod fit;
pub mod geom;
pub mod instrument;
pub mod job;
pub mod outline;
pub mod paper;
pub mod seen;
pub mod solution;
pub mod space;
pub mod standards;
pub mod tolerance;
pub mod units;
