//! Lengths as people type and read them.
