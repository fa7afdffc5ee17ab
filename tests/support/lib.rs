//! Shared support of the checks.
