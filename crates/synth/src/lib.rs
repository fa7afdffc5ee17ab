//! Synth.
