//! ISO 273:1979 (EN 20273), Fasteners - Clearance holes for bolts and screws.
//!
//! M6 to M36 were read in a secondary source, M2 to M24 but for M3.5, M7, M18 and M22 in another, and where both have a
//! size they agree; M1.6 and M3.5 are from memory. M7 coarse is left out: copies differ (7.8 and 8.0 mm).

/// One size, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub(super) name: &'static str,
    pub(super) diameter: f64,
    pub(super) fine: f64,
    pub(super) medium: f64,
    pub(super) coarse: Option<f64>,
}

const fn row(name: &'static str, diameter: f64, fine: f64, medium: f64, coarse: Option<f64>) -> Row {
    Row { name, diameter, fine, medium, coarse }
}

/// Name, nominal diameter, fine, medium, coarse, by diameter.
pub(super) const ROWS: [Row; 21] = [
    row("M1.6", 1.6, 1.7, 1.8, Some(2.0)),
    row("M2", 2.0, 2.2, 2.4, Some(2.6)),
    row("M2.5", 2.5, 2.7, 2.9, Some(3.1)),
    row("M3", 3.0, 3.2, 3.4, Some(3.6)),
    row("M3.5", 3.5, 3.7, 3.9, Some(4.2)),
    row("M4", 4.0, 4.3, 4.5, Some(4.8)),
    row("M5", 5.0, 5.3, 5.5, Some(5.8)),
    row("M6", 6.0, 6.4, 6.6, Some(7.0)),
    row("M7", 7.0, 7.4, 7.6, None),
    row("M8", 8.0, 8.4, 9.0, Some(10.0)),
    row("M10", 10.0, 10.5, 11.0, Some(12.0)),
    row("M12", 12.0, 13.0, 13.5, Some(14.5)),
    row("M14", 14.0, 15.0, 15.5, Some(16.5)),
    row("M16", 16.0, 17.0, 17.5, Some(18.5)),
    row("M18", 18.0, 19.0, 20.0, Some(21.0)),
    row("M20", 20.0, 21.0, 22.0, Some(24.0)),
    row("M22", 22.0, 23.0, 24.0, Some(26.0)),
    row("M24", 24.0, 25.0, 26.0, Some(28.0)),
    row("M27", 27.0, 28.0, 30.0, Some(32.0)),
    row("M30", 30.0, 31.0, 33.0, Some(35.0)),
    row("M36", 36.0, 37.0, 39.0, Some(42.0)),
];
