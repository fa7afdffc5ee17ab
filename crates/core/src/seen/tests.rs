//! Tests of looking for a job's rims and edges.
