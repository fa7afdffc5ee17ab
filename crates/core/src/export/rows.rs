//! Several copies in rows on one sheet.
//!
//! Rows run along x. Within a row a copy stands as near to the last as the gap allows: its width along any one level line
//! of the part with the gap round it, so that what slants stands closer than its box. Rows are apart by the box. The part
//! is laid as it is drawn or turned by a quarter, whichever gets more on to the sheet.

use super::{CutContour, CutDrawing, CutHole};
use crate::geom::{Bounds, Contour, Segment, contours_beside};
use crate::job::Stock;
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::SHOWN_MM;

/// Why copies were not laid on a sheet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RowsRefused {
    /// There is nothing to lay.
    #[error("there is nothing to cut: draw an outline, or pick a hole, first")]
    NothingToCut,
    /// Not even one goes on.
    #[error(
        "the part, {wide_mm:.1} x {high_mm:.1} mm, does not go on a sheet of {sheet_wide_mm:.1} x {sheet_high_mm:.1} mm with {gap_mm:.1} mm along its sides"
    )]
    TooLarge {
        /// Width of the part.
        wide_mm: f64,
        /// Its height.
        high_mm: f64,
        /// Width of the sheet.
        sheet_wide_mm: f64,
        /// Its height.
        sheet_high_mm: f64,
        /// What is left along its sides.
        gap_mm: f64,
    },
    /// Some go on, not all.
    #[error("{fit} of the {copies} copies go on the sheet; ask for fewer, or for a larger sheet")]
    TooMany {
        /// How many were asked for.
        copies: u32,
        /// How many go on.
        fit: u32,
    },
}

/// How copies lie on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rows {
    /// How many there are in all.
    pub copies: u32,
    /// How many stand in a full row.
    pub in_a_row: u32,
    /// Every copy is turned by a quarter.
    pub turned: bool,
    /// Width and height that they take with the gap round them, mm.
    pub taken_mm: PlateVec,
    /// From the origin of one copy to that of the next in its row, and from one row to the next.
    step_mm: PlateVec,
    /// The lower left corner of one copy's box.
    corner: PlatePoint,
    gap_mm: f64,
}

impl Rows {
    /// Where the copies that `stock` asks for go: on its sheet where it names one, else in rows that make about a square.
    ///
    /// # Errors
    /// An empty drawing, or a sheet on which they do not all go.
    pub fn of(drawing: &CutDrawing, stock: &Stock) -> Result<Self, RowsRefused> {
        let laid = |turned| Self::laid(drawing, stock, turned);
        let [as_drawn, turned] = [laid(false), laid(true)];
        match (as_drawn, turned) {
            (Ok(one), Ok(other)) => Ok(if other.area_mm2() < one.area_mm2() { other } else { one }),
            (Ok(one), Err(_)) | (Err(_), Ok(one)) => Ok(one),
            (Err(one), Err(other)) => Err(if other.fits() > one.fits() { other } else { one }),
        }
    }

    fn laid(drawing: &CutDrawing, stock: &Stock, turned: bool) -> Result<Self, RowsRefused> {
        let drawing = if turned { drawing.turned_by_a_quarter() } else { drawing.clone() };
        let bounds = drawing.bounds().ok_or(RowsRefused::NothingToCut)?;
        let (copies, gap_mm, size) = (stock.copy_count(), stock.gap_or_usual_mm(), bounds.size());
        let step_mm = PlateVec::new(step_along_row(&drawing, size.x, gap_mm), size.y + gap_mm);
        let that_fit = |sheet_mm: f64, size_mm: f64, step_mm: f64| {
            let room = sheet_mm - 2.0 * gap_mm - size_mm + SHOWN_MM;
            if room < 0.0 { 0 } else { (room / step_mm).floor().min(f64::from(copies)) as u32 + 1 }
        };
        let in_a_row = match stock.sheet_mm {
            None => ((f64::from(copies) * step_mm.y / step_mm.x).sqrt().round().max(1.0) as u32).min(copies),
            Some([wide, high]) => {
                let [in_a_row, rows] = [that_fit(wide, size.x, step_mm.x), that_fit(high, size.y, step_mm.y)];
                if in_a_row == 0 || rows == 0 {
                    let part = if turned { PlateVec::new(size.y, size.x) } else { size };
                    return Err(RowsRefused::TooLarge {
                        wide_mm: part.x,
                        high_mm: part.y,
                        sheet_wide_mm: wide,
                        sheet_high_mm: high,
                        gap_mm,
                    });
                }
                if in_a_row * rows < copies {
                    return Err(RowsRefused::TooMany { copies, fit: in_a_row * rows });
                }
                in_a_row.min(copies)
            }
        };
        let rows = copies.div_ceil(in_a_row);
        let last = PlateVec::new(f64::from(in_a_row - 1) * step_mm.x, f64::from(rows - 1) * step_mm.y);
        let taken_mm = last + size + PlateVec::new(2.0 * gap_mm, 2.0 * gap_mm);
        Ok(Self { copies, in_a_row, turned, taken_mm, step_mm, corner: bounds.min, gap_mm })
    }

    fn area_mm2(&self) -> f64 {
        self.taken_mm.x * self.taken_mm.y
    }

    /// What each copy is moved by, after it was turned: the first stands at the sheet's lower left corner, the origin.
    pub fn moves(&self) -> impl Iterator<Item = PlateVec> {
        let first = PlateVec::new(self.gap_mm, self.gap_mm) - (self.corner - PlatePoint::new(0.0, 0.0));
        let (step, in_a_row) = (self.step_mm, self.in_a_row);
        (0..self.copies).map(move |k| {
            let (column, row) = (f64::from(k % in_a_row), f64::from(k / in_a_row));
            first + PlateVec::new(column * step.x, row * step.y)
        })
    }
}

/// What sticks out by less does so by rounding alone, mm.
const ROUNDING_MM: f64 = 1e-9;

impl RowsRefused {
    fn fits(&self) -> u32 {
        if let Self::TooMany { fit, .. } = self { *fit } else { 0 }
    }
}

impl CutDrawing {
    /// All the copies that `stock` asks for, in rows from the sheet's lower left corner; a single one stays where it is.
    ///
    /// # Errors
    /// Where they do not go on the sheet.
    pub fn in_rows(self, stock: &Stock) -> Result<Self, RowsRefused> {
        if stock.copy_count() == 1 {
            return Ok(self);
        }
        let rows = Rows::of(&self, stock)?;
        let one = if rows.turned { self.turned_by_a_quarter() } else { self };
        let mut all = Self { outer: Vec::new(), openings: Vec::new(), holes: Vec::new(), ..one.clone() };
        for by in rows.moves() {
            let moved = |cut: &CutContour| CutContour { contour: moved(&cut.contour, |p| p + by), ..cut.clone() };
            all.outer.extend(one.outer.iter().map(moved));
            all.openings.extend(one.openings.iter().map(moved));
            all.holes.extend(one.holes.iter().map(|hole| CutHole { centre: hole.centre + by, ..hole.clone() }));
        }
        all.notes.push(format!("{} copies, {} in a row", rows.copies, rows.in_a_row));
        Ok(all)
    }

    fn turned_by_a_quarter(&self) -> Self {
        let turn = |p: PlatePoint| PlatePoint::new(-p.y, p.x);
        let mut out = self.clone();
        for cut in out.outer.iter_mut().chain(&mut out.openings) {
            cut.contour = moved(&cut.contour, turn);
        }
        for hole in &mut out.holes {
            hole.centre = turn(hole.centre);
        }
        out
    }
}

/// The contour with every place moved; what ended where the next starts does so still.
fn moved(contour: &Contour, to: impl Fn(PlatePoint) -> PlatePoint) -> Contour {
    let segments = contour.segments.iter().map(|s| Segment { from: to(s.from), to: to(s.to), bulge: s.bulge });
    Contour { segments: segments.collect(), closed: contour.closed }
}

/// Level lines at which the width of a part is looked at.
const LEVELS: usize = 400;

/// How far a copy has to stand from the last in its row, mm: the greatest width along any level line of the outline with
/// half the gap round it. What is no single closed outline takes its box.
fn step_along_row(drawing: &CutDrawing, box_mm: f64, gap_mm: f64) -> f64 {
    let by_box = box_mm + gap_mm;
    let beside = drawing.outline().and_then(|outline| contours_beside(&outline.contour, gap_mm / 2.0).ok());
    let Some(wide) = beside else { return by_box };
    // What sticks out beyond the outline (a hole that is outside it) is held by its box alone.
    let Some(bounds) = wide.iter().filter_map(Contour::bounds).reduce(Bounds::union) else { return by_box };
    let all = drawing.bounds().map_or(bounds, |all| all.grown(gap_mm / 2.0));
    let sticks_out = all.min.x < bounds.min.x - ROUNDING_MM || all.max.x > bounds.max.x + ROUNDING_MM;
    if sticks_out {
        return by_box;
    }
    let points: Vec<Vec<PlatePoint>> = wide.iter().map(|contour| contour.sampled(CHORD_MM)).collect();
    let height = bounds.size().y / LEVELS as f64;
    let level = |y: f64| (((y - bounds.min.y) / height).max(0.0) as usize).min(LEVELS - 1);
    let mut spans = vec![(f64::INFINITY, f64::NEG_INFINITY); LEVELS];
    for pair in points.iter().flat_map(|points| points.windows(2)) {
        let [low, high] = [level(pair[0].y.min(pair[1].y)), level(pair[0].y.max(pair[1].y))];
        for (k, span) in spans.iter_mut().enumerate().take(high + 1).skip(low) {
            let floor = bounds.min.y + k as f64 * height;
            for x in within(pair[0], pair[1], floor, floor + height) {
                *span = (span.0.min(x), span.1.max(x));
            }
        }
    }
    let widest = spans.iter().map(|(from, to)| to - from).filter(|width| width.is_finite()).fold(0.0, f64::max);
    (widest + 2.0 * CHORD_MM).min(by_box)
}

/// Where the line from `a` to `b` enters the slice between two levels and where it leaves it.
fn within(a: PlatePoint, b: PlatePoint, floor: f64, ceiling: f64) -> [f64; 2] {
    let rise = b.y - a.y;
    if rise == 0.0 {
        return [a.x, b.x];
    }
    [floor, ceiling].map(|y| a.lerp(b, ((y - a.y) / rise).clamp(0.0, 1.0)).x)
}

/// How closely the outline is followed where its width is looked at, mm.
const CHORD_MM: f64 = 0.01;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    fn drawing(corners: &[(f64, f64)]) -> CutDrawing {
        let contour = Contour::polygon(&corners.iter().map(|(x, y)| PlatePoint::new(*x, *y)).collect::<Vec<_>>());
        let outer = vec![CutContour { id: "c1".into(), name: "the outline".into(), contour }];
        let hole = CutHole { id: "h1".into(), name: "H1".into(), centre: PlatePoint::new(1.0, 1.0), diameter_mm: 1.0 };
        CutDrawing { outer, holes: vec![hole], ..CutDrawing::default() }
    }

    fn plate() -> CutDrawing {
        drawing(&[(-5.0, -5.0), (45.0, -5.0), (45.0, 15.0), (-5.0, 15.0)])
    }

    fn stock(copies: u32, sheet_mm: Option<[f64; 2]>) -> Stock {
        Stock { copies: Some(copies), sheet_mm, gap_mm: Some(5.0), ..Stock::default() }
    }

    #[test]
    fn a_row_is_filled_before_the_next() {
        // 50 x 20 mm with 5 mm round it: three in a row of 170 mm, exactly.
        let rows = Rows::of(&plate(), &stock(5, Some([170.0, 58.0]))).unwrap();
        assert_eq!((rows.in_a_row, rows.turned), (3, false));
        let all = plate().in_rows(&stock(5, Some([170.0, 58.0]))).unwrap();
        let bounds = all.bounds().unwrap();
        assert_eq!(
            (bounds.min, bounds.max),
            (PlatePoint::new(5.0, 5.0), PlatePoint::new(165.0, 50.0)),
            "from the corner"
        );
        assert_eq!((all.outer.len(), all.holes.len()), (5, 5), "with its hole");
        assert_eq!(all.holes[4].centre - all.holes[1].centre, PlateVec::new(0.0, 25.0), "the second of the second row");
        assert_eq!(all.notes, ["5 copies, 3 in a row"]);
        let turned = Rows::of(&plate(), &stock(2, Some([55.0, 60.0]))).unwrap();
        assert!(turned.turned, "upright two stand side by side");
        for sheet in [[100.0, 100.0], [10.0, 10.0]] {
            assert_eq!(plate().in_rows(&stock(1, Some(sheet))).unwrap(), plate(), "one stays where it is");
        }
    }

    #[test]
    fn what_does_not_go_on_is_said() {
        let said = |copies, sheet| plate().in_rows(&stock(copies, Some(sheet))).unwrap_err().to_string();
        assert_eq!(said(9, [170.0, 58.0]), "6 of the 9 copies go on the sheet; ask for fewer, or for a larger sheet");
        assert_eq!(
            said(2, [40.0, 25.0]),
            "the part, 50.0 x 20.0 mm, does not go on a sheet of 40.0 x 25.0 mm with 5.0 mm along its sides"
        );
        let empty = CutDrawing::default().in_rows(&stock(2, None)).unwrap_err();
        assert_eq!(empty, RowsRefused::NothingToCut);
    }

    #[test]
    fn what_slants_stands_closer_than_its_box() {
        let slanted = drawing(&[(0.0, 0.0), (20.0, 0.0), (50.0, 30.0), (30.0, 30.0)]);
        let rows = Rows::of(&slanted, &stock(4, Some([400.0, 45.0]))).unwrap();
        // 20 mm along any level line; a slant of 45 degrees has the gap measured along it longer by the root of 2.
        assert!((rows.step_mm.x - (20.0 + 5.0 * 2f64.sqrt())).abs() < 0.3, "{rows:?}");
    }

    proptest! {
        #[test]
        fn copies_keep_their_distance_and_their_sheet(
            spokes in prop::collection::vec(8.0..40.0f64, 3..9), copies in 2..9u32, gap_mm in 0.5..8.0f64,
        ) {
            let n = spokes.len() as f64;
            let corners: Vec<_> = spokes.iter().enumerate().map(|(k, r)| {
                let (sin, cos) = (TAU * k as f64 / n).sin_cos();
                (r * cos, r * sin)
            }).collect();
            let stock = Stock { gap_mm: Some(gap_mm), ..stock(copies, Some([320.0, 320.0])) };
            let Ok(all) = drawing(&corners).in_rows(&stock) else { return Ok(()) };
            prop_assert_eq!(all.outer.len(), copies as usize);
            let bounds = all.bounds().unwrap();
            prop_assert!(bounds.min.x > gap_mm - 1e-6 && bounds.min.y > gap_mm - 1e-6, "off the sides");
            prop_assert!(bounds.max.x < 320.0 - gap_mm + 2.0 * SHOWN_MM && bounds.max.y < 320.0 - gap_mm + 2.0 * SHOWN_MM, "on the sheet");
            for (i, one) in all.outer.iter().enumerate() {
                for other in &all.outer[i + 1..] {
                    let apart = one.contour.segments.iter().flat_map(|s| s.sampled(1.0).into_iter().chain([s.from.lerp(s.to, 0.5)]))
                        .map(|p| other.contour.distance_mm(p)).fold(f64::INFINITY, f64::min);
                    let back = other.contour.segments.iter().map(|s| one.contour.distance_mm(s.from)).fold(apart, f64::min);
                    prop_assert!(back > gap_mm - 1e-6, "{} apart, {} asked", back, gap_mm);
                }
            }
        }
    }
}
