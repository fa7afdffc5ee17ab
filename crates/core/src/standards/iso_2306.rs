//! ISO 2306, drills for use prior to tapping screw threads: the coarse pitches of ISO 262.
//!
//! Read in a secondary source (<https://mlc.org.uk/guides/metric-thread-pitch-chart>).

/// Fastener and drill diameter, mm.
pub(super) const ROWS: [(&str, f64); 13] = [
    ("M3", 2.5),
    ("M4", 3.3),
    ("M5", 4.2),
    ("M6", 5.0),
    ("M8", 6.8),
    ("M10", 8.5),
    ("M12", 10.2),
    ("M14", 12.0),
    ("M16", 14.0),
    ("M18", 15.5),
    ("M20", 17.5),
    ("M22", 19.5),
    ("M24", 21.0),
];
