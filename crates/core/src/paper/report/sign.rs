//! Signs beside words, so that colour is never the only cue.

use crate::check;
use crate::geom::{Bounds, Contour, Segment};
use crate::paper::{Ink, Item, Pen};
use crate::solution::{MeasureVerdict, Weight};
use crate::space::{PlatePoint, PlateVec};

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    /// A tick.
    Agrees,
    /// Two bars that miss each other.
    Disagrees,
    /// A dashed ring with a dash in it.
    NotKnown,
    /// A square with a cross.
    Fails,
    /// A triangle with a stroke.
    Caution,
    /// A level dash: it does not count.
    LeftOut,
}

impl From<check::Verdict> for Sign {
    fn from(verdict: check::Verdict) -> Self {
        match verdict {
            check::Verdict::Pass => Self::Agrees,
            check::Verdict::Warn => Self::Caution,
            check::Verdict::Fail => Self::Fails,
            check::Verdict::CannotTell => Self::NotKnown,
        }
    }
}

impl From<MeasureVerdict> for Sign {
    fn from(verdict: MeasureVerdict) -> Self {
        match verdict {
            MeasureVerdict::Agrees => Self::Agrees,
            MeasureVerdict::Disagrees => Self::Disagrees,
            MeasureVerdict::Unchecked => Self::NotKnown,
            MeasureVerdict::LeftOut | MeasureVerdict::Waits => Self::LeftOut,
        }
    }
}

impl From<Weight> for Sign {
    fn from(weight: Weight) -> Self {
        match weight {
            Weight::Disagrees => Self::Disagrees,
            Weight::NotKnown => Self::NotKnown,
            Weight::Caution => Self::Caution,
        }
    }
}

impl Sign {
    /// Its colour, and that of words that belong to it.
    pub(super) const fn ink(self) -> Ink {
        match self {
            Self::Agrees => Ink::Agree,
            Self::Disagrees | Self::Fails => Ink::Disagree,
            Self::NotKnown => Ink::Unknown,
            Self::Caution => Ink::Caution,
            Self::LeftOut => Ink::Soft,
        }
    }

    /// Drawn about `centre`, 2.6 mm across.
    pub(super) fn items(self, centre: PlatePoint) -> Vec<Item> {
        let pen = Pen::new(0.3, self.ink());
        let at = |x: f64, y: f64| centre + PlateVec::new(x, y);
        let line = |from: (f64, f64), to: (f64, f64), pen| Item::line(at(from.0, from.1), at(to.0, to.1), pen);
        let box_of = |half: f64| Bounds { min: at(-half, -half), max: at(half, half) };
        match self {
            Self::Agrees => {
                let corners = [at(-1.2, 0.0), at(-0.35, -0.9), at(1.3, 1.0)];
                let segments = corners.windows(2).map(|pair| Segment::line(pair[0], pair[1])).collect();
                vec![Item::Stroke { contour: Contour { segments, closed: false }, pen: Pen::new(0.42, self.ink()) }]
            }
            Self::Disagrees => {
                let bar = Pen::new(0.6, self.ink());
                vec![line((-1.4, 0.5), (0.5, 0.5), bar), line((-0.5, -0.5), (1.4, -0.5), bar)]
            }
            Self::NotKnown => {
                let ring = Item::ring(centre, 1.25, pen.dashed(0.7, 0.5));
                vec![ring, line((-0.5, 0.0), (0.5, 0.0), pen)]
            }
            Self::Fails => {
                let frame = Item::frame(box_of(1.2), pen);
                vec![frame, line((-0.65, -0.65), (0.65, 0.65), pen), line((-0.65, 0.65), (0.65, -0.65), pen)]
            }
            Self::Caution => {
                let triangle = Contour::polygon(&[at(-1.35, -1.1), at(1.35, -1.1), at(0.0, 1.3)]);
                let dot = Item::Circle { centre: at(0.0, -0.72), radius_mm: 0.2, pen: None, fill: Some(self.ink()) };
                vec![Item::Stroke { contour: triangle, pen }, line((0.0, -0.35), (0.0, 0.5), pen), dot]
            }
            Self::LeftOut => vec![line((-0.9, 0.0), (0.9, 0.0), pen)],
        }
    }
}
