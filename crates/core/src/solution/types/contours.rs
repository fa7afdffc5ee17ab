//! Contours as found.

use crate::edge::Rejection;
use crate::fair::PrimitiveKind;
use crate::geom::{Contour as CutContour, Crossing, Gap};
use crate::job::{Id, Meant, Role};
use crate::space::PlatePoint;

/// A contour as lines and arcs.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourFit {
    /// Its id in the job.
    pub id: Id,
    /// What it goes round.
    pub role: Role,
    /// Where its nodes lie on the plate, in the job's order; a node that the map does not reach is left out.
    pub nodes: Vec<PlatePoint>,
    /// Lines and arcs, in order and oriented: an outline counter-clockwise, an opening clockwise, once it is closed.
    pub cut: CutContour,
    /// For each node of the job: the place on the plate, sampled, of the piece that starts there, for drawing.
    pub pieces: Vec<Vec<PlatePoint>>,
    /// Where it is open.
    pub gaps: Vec<Gap>,
    /// Where it crosses or touches itself; pieces are named by the nodes of the job at which they start.
    pub crossings: Vec<Crossing>,
    /// Length, mm.
    pub length_mm: f64,
    /// Area inside, mm²; `None` while it is open.
    pub area_mm2: Option<f64>,
    /// The largest distance between the lines and arcs and the curves that they stand for, mm.
    pub chord_mm: f64,
    /// What was measured along it; `None` where it follows no edge, or none was seen.
    pub measured: Option<MeasuredContour>,
}

/// What was measured along a contour, and how the cut lies to it.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredContour {
    /// The measured places, in the order of the nodes.
    pub places: Vec<EdgePlace>,
    /// How far the cut was allowed to lie from the measured edge, its noise apart, mm.
    pub tolerance_mm: f64,
    /// The noise of the measured places across the edge, mm (1 sigma).
    pub noise_mm: f64,
    /// The largest distance of a place from the cut, mm, but for those that are no part of the edge; or how far a corner of
    /// the cut may stand out beyond the last places beside it, where that is more.
    pub worst_mm: f64,
    /// The lines and arcs that the places were found to lie on, in the order of the nodes.
    pub pieces: Vec<FairPiece>,
    /// Stretches where no edge was seen, in the order of the nodes.
    pub unseen: Vec<Unseen>,
    /// Nodes that the cut passes farther off than they can have been placed from the edge, in order.
    pub far_nodes: Vec<FarNode>,
    /// What the job says was agreed, in its order, and whether the cut is held to it.
    pub agreed: Vec<AgreedFit>,
    /// What may have been meant as well.
    pub suggestions: Vec<SuggestionFit>,
}

impl MeasuredContour {
    /// How far a place may lie from the cut, mm: the tolerance and what noise adds but once in a hundred places.
    pub fn allowance_mm(&self) -> f64 {
        self.tolerance_mm + 2.576 * self.noise_mm
    }
}

/// A measured place on the edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePlace {
    /// Where it was measured.
    pub at: PlatePoint,
    /// The place of the cut that is nearest.
    pub on_cut: PlatePoint,
    /// How far it lies off the cut, mm, positive away from the face.
    pub off_mm: f64,
    /// The node of the job whose piece it belongs to.
    pub node: usize,
    /// It took part; false: it lies so far off its neighbours that it is no part of the edge.
    pub took_part: bool,
}

/// A line or an arc that measured places lie on.
#[derive(Debug, Clone, PartialEq)]
pub struct FairPiece {
    /// What it is.
    pub kind: PrimitiveKind,
    /// Places along it on the cut, from its start to its end.
    pub along: Vec<PlatePoint>,
    /// Its middle.
    pub middle: PlatePoint,
    /// Root mean square of its places' distances, mm.
    pub rms_mm: f64,
    /// The largest of them, mm.
    pub worst_mm: f64,
    /// Its length, mm.
    pub length_mm: f64,
}

/// A stretch where no edge was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unseen {
    /// The node of the job whose piece it lies in.
    pub node: usize,
    /// Where it starts.
    pub from: PlatePoint,
    /// Where it ends.
    pub to: PlatePoint,
    /// Why most places in it gave no point; `None` where none was looked for.
    pub reason: Option<Rejection>,
    /// The whole piece is cut as it is drawn for that; false: the lines and arcs on both sides lead across.
    pub as_drawn: bool,
}

impl Unseen {
    /// A stretch longer than this may hide a feature of a part, mm.
    pub const LONG_MM: f64 = 3.0;

    /// How long it is, mm, straight across.
    pub fn length_mm(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// What hides the edge there, as the end of a sentence.
    pub const fn why(&self) -> &'static str {
        match self.reason {
            Some(Rejection::Glare) => "glare hides it",
            Some(Rejection::NoContrast) => "the light does not change there",
            Some(Rejection::OffCurve) => "a shadow or dirt lies over it",
            Some(Rejection::OffPhoto) => "it is not on the photo",
            Some(Rejection::Turn) => "it turns too sharply",
            None => "nothing there looks like an edge",
        }
    }
}

/// A node that the cut does not pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FarNode {
    /// Its number in the job.
    pub node: usize,
    /// How far the cut lies from it, mm.
    pub off_mm: f64,
}

/// Something that was agreed.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreedFit {
    /// What.
    pub meant: Meant,
    /// The lines and arcs that it is about, by their numbers in [`MeasuredContour::pieces`]; empty where they are no longer
    /// there.
    pub pieces: Vec<usize>,
    /// The cut is held to it; false: its pieces are gone, or something agreed before speaks against it.
    pub is_held: bool,
}

/// Something that may have been meant.
#[derive(Debug, Clone, PartialEq)]
pub struct SuggestionFit {
    /// What, as the job would hold it.
    pub meant: Meant,
    /// The lines and arcs that it is about, by their numbers in [`MeasuredContour::pieces`].
    pub pieces: Vec<usize>,
    /// What it changes.
    pub change: Change,
    /// How far it moves the cut at most, mm.
    pub moves_mm: f64,
    /// The largest distance of a place from the cut with it, mm.
    pub worst_mm: f64,
}

/// What a suggestion changes.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Radii become one figure.
    Radius {
        /// What they are now, mm.
        from_mm: Vec<f64>,
        /// What they become, mm.
        to_mm: f64,
    },
    /// A distance becomes a round figure.
    Distance {
        /// What it is now, mm.
        from_mm: f64,
        /// What it becomes, mm.
        to_mm: f64,
    },
    /// A centre moves on to a hole's.
    Centre {
        /// How far it is off, mm.
        off_mm: f64,
    },
    /// Two directions become parallel or square.
    Angle {
        /// How far they are off, degrees.
        off_deg: f64,
    },
}
