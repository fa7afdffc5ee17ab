//! The one way to change a job.

use super::contours::{Contour, Meant, Node, NodeKind, Piece, Role};
use super::model::{
    Belief, Datum, Group, Held, Hole, Id, LensBeliefs, Measure, MeasureKind, NamedPoint, Photo, Statement, StraightEdge,
};
use super::{Added, Design, Duty, Stock, Trial, Tried};
use crate::space::{PhotoPoint, PhotoVec};

/// One change to a job, as a person would name it.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Names the part.
    Title(String),
    /// Puts another photo under the job, or the same one at another place.
    Photo(Box<Photo>),
    /// Says how square the camera was held.
    HeldAs(Held),
    /// Says what is believed about the focal length; `None` goes back to what the photo says of itself.
    Focal(Option<Belief>),
    /// Says what is believed about the lens.
    Lens(LensBeliefs),
    /// Adds a hole.
    AddHole(Hole),
    /// Adds a pick to a hole's rim.
    AddRimPick {
        /// The hole.
        hole: Id,
        /// Where.
        at: PhotoPoint,
    },
    /// Moves a pick of a hole's rim.
    MoveRimPick {
        /// The hole.
        hole: Id,
        /// Which of its picks, from 0.
        index: usize,
        /// Where to.
        to: PhotoPoint,
    },
    /// Takes a pick off a hole's rim.
    RemoveRimPick {
        /// The hole.
        hole: Id,
        /// Which of its picks, from 0.
        index: usize,
    },
    /// Says how well a hole's or point's picks were placed, px; `None` for the usual.
    PickSigma {
        /// The hole or point.
        feature: Id,
        /// Standard deviation, px.
        sigma_px: Option<f64>,
    },
    /// Says whether a hole's edge is broken.
    EdgeBroken {
        /// The hole.
        hole: Id,
        /// It is.
        broken: bool,
    },
    /// Says whether a hole's rim is to be measured in the picture.
    MeasureRim {
        /// The hole.
        hole: Id,
        /// It is.
        measure: bool,
    },
    /// Says whether the finished part has the hole.
    KeepHole {
        /// The hole.
        hole: Id,
        /// It has.
        keep: bool,
    },
    /// Puts a hole into a group, or into none.
    HoleGroup {
        /// The hole.
        hole: Id,
        /// The group.
        group: Option<Id>,
    },
    /// Adds a named point.
    AddPoint(NamedPoint),
    /// Moves a named point.
    MovePoint {
        /// The point.
        point: Id,
        /// Where to.
        to: PhotoPoint,
    },
    /// Adds a straight edge.
    AddEdge(StraightEdge),
    /// Adds a pick to a straight edge.
    AddEdgePick {
        /// The edge.
        edge: Id,
        /// Where.
        at: PhotoPoint,
    },
    /// Moves a pick of a straight edge.
    MoveEdgePick {
        /// The edge.
        edge: Id,
        /// Which of its picks, from 0.
        index: usize,
        /// Where to.
        to: PhotoPoint,
    },
    /// Says whether a straight edge is to be measured in the picture.
    MeasureEdge {
        /// The edge.
        edge: Id,
        /// It is.
        measure: bool,
    },
    /// Takes a pick off a straight edge.
    RemoveEdgePick {
        /// The edge.
        edge: Id,
        /// Which of its picks, from 0.
        index: usize,
    },
    /// Names a hole, point or edge.
    Rename {
        /// The feature.
        feature: Id,
        /// Its new name.
        name: String,
    },
    /// Adds a measure.
    AddMeasure(Measure),
    /// Says what a measure read, and how well that instrument reads.
    MeasureValue {
        /// The measure.
        measure: Id,
        /// The reading, mm.
        mm: f64,
        /// Its standard deviation, mm.
        sigma_mm: f64,
    },
    /// Says what was held where in a measure.
    MeasureAs {
        /// The measure.
        measure: Id,
        /// The kind.
        kind: MeasureKind,
        /// Between which features.
        between: Vec<Id>,
    },
    /// Leaves a measure out, or counts it again.
    UseMeasure {
        /// The measure.
        measure: Id,
        /// It counts.
        in_use: bool,
    },
    /// Adds a statement about the shape, or replaces the one with its id.
    PutStatement(Statement),
    /// Adds a group, or replaces the one with its id.
    PutGroup(Group),
    /// Adds what a trial fit showed at a hole, or replaces the one with its id.
    PutTrial(Trial),
    /// Says what the trials were made with; `None` where nobody says.
    TriedAs(Option<Tried>),
    /// Adds a contour.
    AddContour(Contour),
    /// Says what a contour goes round.
    ContourRole {
        /// The contour.
        contour: Id,
        /// The role.
        role: Role,
    },
    /// Joins a contour's last node to its first, or opens it there.
    CloseContour {
        /// The contour.
        contour: Id,
        /// It is closed.
        closed: bool,
    },
    /// Puts a node into a contour before the node that now stands at `index`.
    InsertNode {
        /// The contour.
        contour: Id,
        /// Where in the order, from 0; the number of nodes appends.
        index: usize,
        /// The node.
        node: Node,
    },
    /// Moves a node; its levers and the arc that starts at it go along.
    MoveNode {
        /// The contour.
        contour: Id,
        /// Which node, from 0.
        index: usize,
        /// Where to.
        to: PhotoPoint,
    },
    /// Takes a node out.
    RemoveNode {
        /// The contour.
        contour: Id,
        /// Which node, from 0.
        index: usize,
    },
    /// Makes a node a corner or smooth.
    NodeAs {
        /// The contour.
        contour: Id,
        /// Which node, from 0.
        index: usize,
        /// The kind.
        kind: NodeKind,
    },
    /// Says what leads from a node to the next.
    PieceAs {
        /// The contour.
        contour: Id,
        /// The node that it starts at, from 0.
        index: usize,
        /// The piece.
        piece: Piece,
    },
    /// Says where the arc that starts at a node passes through.
    ArcThrough {
        /// The contour.
        contour: Id,
        /// The node that it starts at, from 0.
        index: usize,
        /// The place; `None` leaves it to the neighbours.
        through: Option<PhotoPoint>,
    },
    /// Sets a lever of a node. At a smooth node the other lever turns with it and keeps its length.
    Lever {
        /// The contour.
        contour: Id,
        /// Which node, from 0.
        index: usize,
        /// Which of its levers.
        side: LeverSide,
        /// The step from the node to the lever's end; `None` leaves it to the neighbours.
        to: Option<PhotoVec>,
    },
    /// Says whether a contour's pieces follow the edge in the picture.
    FollowEdge {
        /// The contour.
        contour: Id,
        /// They do.
        follow: bool,
    },
    /// Holds the place of a node, or lets the edge decide.
    PinNode {
        /// The contour.
        contour: Id,
        /// Which node, from 0.
        index: usize,
        /// It is held.
        pinned: bool,
    },
    /// Says whether a piece of a contour that follows the edge is cut as it is drawn.
    PieceAsDrawn {
        /// The contour.
        contour: Id,
        /// The node that it starts at, from 0.
        index: usize,
        /// It is.
        as_drawn: bool,
    },
    /// Holds a contour to a figure or a relation.
    Agree {
        /// The contour.
        contour: Id,
        /// What it was meant to have.
        meant: Meant,
    },
    /// Says that a contour was not meant to have a figure or a relation.
    Refuse {
        /// The contour.
        contour: Id,
        /// What it was not meant to have.
        meant: Meant,
    },
    /// Takes back that something was agreed or refused.
    TakeBackMeant {
        /// The contour.
        contour: Id,
        /// What.
        meant: Meant,
    },
    /// Says whether the finished part has an opening.
    KeepContour {
        /// The opening.
        contour: Id,
        /// It has.
        keep: bool,
    },
    /// Adds something that is not on the photo, or replaces what has its id.
    PutAdded(Box<Added>),
    /// Says what is done to the whole part before it is cut.
    DesignAs(Design),
    /// Sets where plate coordinates start; unsaid it may not be while something added lies by them.
    DatumAt(Option<Datum>),
    /// Says what sheet and cutter it is for.
    StockAs(Stock),
    /// Says what the part is to hold back.
    DutiesAs(Vec<Duty>),
    /// Removes whatever has this id. Measures between removed features go too, as do what was added by its place and a datum
    /// that rests on one, unless something else that is added lies by that datum's coordinates: then it is refused.
    Remove(Id),
}

/// Which lever of a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeverSide {
    /// Towards the previous node.
    In,
    /// Towards the next node.
    Out,
}

/// Why an edit was not carried out. The job is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditRefused {
    /// Nothing has this id.
    #[error("there is no {what} “{id}”")]
    NoSuch {
        /// What was looked for.
        what: &'static str,
        /// The id.
        id: Id,
    },
    /// The thing has no such part.
    #[error("{id} has no {what} number {index}")]
    NoSuchPart {
        /// The thing.
        id: Id,
        /// What was looked for.
        what: &'static str,
        /// Counted from 0.
        index: usize,
    },
    /// Something else has this name.
    #[error("the name “{0}” is taken")]
    NameTaken(String),
    /// What was added lies by coordinates, and would move unsaid with where they start.
    #[error(
        "{0} lies by coordinates, and this takes away where they start: choose another place for that first, or remove {0}"
    )]
    LiesByCoordinates(String),
    /// The edit would leave a job that does not hold together.
    #[error("{0}")]
    Invalid(#[from] super::JobError),
}
