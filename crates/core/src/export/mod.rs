//! Files for the cutter, bytes out.
