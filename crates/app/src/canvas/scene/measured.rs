//! The points that were measured in the photo, and those that do not count, as they are seen.

use crate::canvas::transform::Transform;
use crate::session::{Operation, Session};
use egui::Pos2;
use platewright_core::edge::{EdgePoint, Rejected, Rejection};
use platewright_core::job::Job;
use platewright_core::space::PhotoPoint;
use platewright_core::tolerance::K95_FIGURE;
use platewright_core::units::format_figure;

/// Where points lie nearer to each other than this on the screen they are not drawn, points: a row of dots hides the edge
/// that it should show.
const ROOM_FOR_DOT: f32 = 6.0;

/// A measured place on the photo.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::canvas) struct MeasuredPoint {
    /// Where it is on the photo.
    pub(in crate::canvas) photo: PhotoPoint,
    /// Where it is seen.
    pub(in crate::canvas) at: Pos2,
    /// What it is.
    pub(in crate::canvas) state: PointState,
}

/// Whether a measured place counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::canvas) enum PointState {
    /// It counts: how far it lies off the fitted curve, px, towards the face, and how well it is known.
    Used {
        /// Distance, px.
        off_px: f64,
        /// Standard deviation, px.
        sigma_px: f64,
    },
    /// It does not.
    NotUsed(Rejection),
}

impl MeasuredPoint {
    /// What is to be said of it, beside the place.
    pub(in crate::canvas) fn says(&self) -> String {
        match self.state {
            PointState::Used { off_px, sigma_px } => {
                let side = if off_px < 0.0 { "inside" } else { "outside" };
                let off = format_figure(off_px.abs(), 2);
                format!("used: {off} px {side}, good to ± {} px", format_figure(K95_FIGURE * sigma_px, 2))
            }
            PointState::NotUsed(reason) => format!("not used: {}", why(reason)),
        }
    }
}

fn why(reason: Rejection) -> &'static str {
    match reason {
        Rejection::OffPhoto => "it is too near the photo’s edge",
        Rejection::NoContrast => "there is no edge to see here",
        Rejection::OffCurve => "this edge lies off the rest: wall, dirt or shadow",
        Rejection::Turn => "the edge turns here",
        Rejection::Glare => "glare: white is cut off here",
    }
}

/// The points of all rims while holes are picked, those of edges while measures are taken. What was measured for picks
/// that were moved since is not among them.
pub(super) fn measured(session: &Session, job: &Job, transform: &Transform) -> Vec<MeasuredPoint> {
    let seen = &session.results.seen;
    let mut all = Vec::new();
    match session.screen.operation {
        Operation::Holes => {
            for rim in job.holes.iter().filter_map(|hole| seen.rim(hole)?.found.as_ref().ok()) {
                add(&mut all, &rim.points, &rim.rejected, transform);
            }
        }
        Operation::Measures => {
            for side in job.edges.iter().filter_map(|edge| seen.side(edge)?.found.as_ref().ok()) {
                add(&mut all, &side.points, &side.rejected, transform);
            }
        }
        _ => {}
    }
    all
}

fn add(all: &mut Vec<MeasuredPoint>, used: &[EdgePoint], rejected: &[Rejected], transform: &Transform) {
    let view = transform.rect.expand(8.0);
    let see = |photo: PhotoPoint, state: PointState| {
        let at = transform.screen_from_photo(photo).filter(|at| view.contains(*at))?;
        Some(MeasuredPoint { photo, at, state })
    };
    let state = |point: &EdgePoint| PointState::Used { off_px: point.off_px, sigma_px: point.sigma_px };
    let dots: Vec<MeasuredPoint> = used.iter().filter_map(|point| see(point.at, state(point))).collect();
    let crowded = dots.windows(2).filter(|pair| pair[0].at.distance(pair[1].at) < ROOM_FOR_DOT).count();
    if 2 * crowded >= dots.len() {
        return;
    }
    all.extend(dots);
    all.extend(rejected.iter().filter_map(|point| see(point.at?, PointState::NotUsed(point.reason))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_point_says_what_it_is_in_words() {
        let says = |state| MeasuredPoint { photo: PhotoPoint::default(), at: pos2(0.0, 0.0), state }.says();
        let used = says(PointState::Used { off_px: -0.043, sigma_px: 0.1 });
        assert_eq!(used, "used: 0.04 px inside, good to ± 0.20 px", "± is 95 %");
        let rejections =
            [Rejection::OffPhoto, Rejection::NoContrast, Rejection::OffCurve, Rejection::Turn, Rejection::Glare];
        let mut words: Vec<String> = rejections.into_iter().map(|why| says(PointState::NotUsed(why))).collect();
        words.dedup();
        assert_eq!(words.len(), 5, "each reason has its own words: {words:?}");
    }
}
