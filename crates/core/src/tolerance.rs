//! Every named tolerance of the core, each with its reason. A bare `1e-6` anywhere else is a defect.

/// Two ends of an outline nearer than this are the same place, mm. A thousandth of the finest cutter's step, and far
/// above the rounding of millimetre coordinates held as `f64`.
pub const SAME_PLACE_MM: f64 = 1e-6;

/// How far the lines and arcs of a cut contour may lie from the curve that they stand for, mm. Half of what a good
/// laser holds (common practice, no source).
pub const CUT_CHORD_MM: f64 = 0.05;

/// The 1-sigma to 95 % factor of a single figure: quantile 0.975 of the normal distribution.
pub const K95_FIGURE: f64 = 1.959_963_984_540_054;

/// The 1-sigma to 95 % factor of a place in the plane: square root of the 0.95 quantile of chi-square with two degrees
/// of freedom, `sqrt(-2 ln 0.05)`.
pub const K95_PLACE: f64 = 2.447_746_830_680_816;

/// A measure whose standardised misfit is larger than this disagrees with the others: two-sided normal quantile at
/// 0.001 (Baarda 1968).
pub const W_DISAGREES: f64 = 3.290_526_731_491_9;

/// A measure with a smaller redundancy number than this is checked by nothing that matters.
pub const REDUNDANCY_UNCHECKED: f64 = 0.1;

/// Below this redundancy a standardised misfit is rounding noise divided by rounding noise.
pub const REDUNDANCY_NO_TEST: f64 = 1e-3;

/// The smallest misreading that would be noticed is this many standard deviations over the root of the redundancy:
/// non-centrality at alpha 0.001 and power 0.80 (Baarda 1968).
pub const NOTICED_FACTOR: f64 = 4.132_148;

/// A click's standard deviation where the job does not say it, px.
pub const CLICK_SIGMA_PX: f64 = 1.5;

/// Relative standard deviation of the scale above which sizes in mm are not shown as figures: at 5 % the first digit
/// of a hand span is already open.
pub const SCALE_NOT_KNOWN: f64 = 0.05;

/// An arc that leaves its chord by less than this is a line, mm. Below it the radius is so large that its rounding
/// (`radius * 2^-52`) would come near [`SAME_PLACE_MM`]; no cutter could follow the difference.
pub const FLAT_ARC_MM: f64 = 1e-4;

/// The largest bulge of an arc that may become a line: the turn at its ends, twice the bulge, stays under 0.001 rad.
pub const FLAT_ARC_BULGE: f64 = 5e-4;

/// Two pieces that turn by less than this where they meet are tangent, rad (0.06 degrees: a kink that neither hand nor
/// cutter notices; common practice, no source).
pub const TANGENT_RAD: f64 = 1e-3;

/// An arc of more than half a turn with a larger radius than this is not meant, mm: its third point lies beside the
/// line through its ends. It is drawn straight.
pub const LARGE_ARC_RADIUS_MM: f64 = 10_000.0;

/// How far the points of a drawn outline may leave it, mm: a third of a photo pixel at 15 px per mm.
pub const DRAWN_CHORD_MM: f64 = 0.02;

/// The largest figure that a job may hold, px or mm: a kilometre, or a photo a million pixels wide. Beyond it squares
/// and their differences lose the digits that matter.
pub const LARGEST_FIGURE: f64 = 1e6;

/// The smallest length or standard deviation that a job may hold, px, mm or without unit. A weight, its inverse
/// square, stays far from overflow, and a lens term can still be held fast.
pub const SMALLEST_FIGURE: f64 = 1e-9;

/// No place on a plate is farther from the datum than this, mm (100 m): a photo that shows one is not of a flat part.
pub const PLATE_REACH_MM: f64 = 100_000.0;

/// Half of the last digit that lengths are shown with, mm: what is short of a least figure by less looks as large as it.
pub const SHOWN_MM: f64 = 0.005;

/// How far off the face what is picked may lie, mm: a burr above it, a worn edge below. Common practice, no source.
pub const OFF_FACE_MM: f64 = 0.5;

/// What costs less than this is not worth another photo, mm (95 %): a reading of a digital caliper is not known better
/// (1.96 times 0.05 mm).
pub const WORTH_A_PHOTO_MM: f64 = 0.1;

/// The play of a usual fastener, mm: an M5 bolt in its medium hole of 5.5 mm (ISO 273) may be off by so much, all in all.
pub const USUAL_PLAY_MM: f64 = 0.25;
