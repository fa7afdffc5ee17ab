//! ASME B18.2.8-1999 (R2017), Clearance holes for bolts, screws and studs, Table 1: smallest hole diameters.
//!
//! Loose (but for #10) and the drills of normal up to 15/32 were read in Machinery's Handbook, 31st edition, p. 1741;
//! close and normal of #6, #10, 1/4, 3/8 and 1/2 in a second source. The rest is from memory, and close agrees with the
//! metric drills of Table 3a, p. 1743. An older chart (#10 close 0.196) is not this standard.

/// One size, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub(super) name: &'static str,
    pub(super) diameter: f64,
    pub(super) close: f64,
    pub(super) normal: f64,
    pub(super) loose: f64,
}

const fn row(name: &'static str, diameter: f64, close: f64, normal: f64, loose: f64) -> Row {
    Row { name, diameter, close, normal, loose }
}

/// Name, nominal diameter, close, normal, loose, by diameter.
pub(super) const ROWS: [Row; 14] = [
    row("#4", 0.112, 0.12, 0.128, 0.144),
    row("#5", 0.125, 0.141, 0.156, 0.172),
    row("#6", 0.138, 0.154, 0.17, 0.185),
    row("#8", 0.164, 0.18, 0.196, 0.213),
    row("#10", 0.19, 0.206, 0.221, 0.238),
    row("1/4 in", 0.25, 0.266, 0.281, 0.297),
    row("5/16 in", 0.3125, 0.328, 0.344, 0.359),
    row("3/8 in", 0.375, 0.391, 0.406, 0.422),
    row("7/16 in", 0.4375, 0.453, 0.469, 0.484),
    row("1/2 in", 0.5, 0.531, 0.562, 0.609),
    row("5/8 in", 0.625, 0.656, 0.688, 0.734),
    row("3/4 in", 0.75, 0.781, 0.812, 0.906),
    row("7/8 in", 0.875, 0.906, 0.938, 1.031),
    row("1 in", 1.0, 1.031, 1.094, 1.156),
];
