//! Circles and lines through points.
