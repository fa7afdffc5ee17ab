//! The odds that the plate goes over its fasteners.

use super::finish::{fastener, is_tapped, play_mm, said_fastener};
use super::results::Results;
use super::{BoltUp, BoltUpHole};
use crate::adjust::Feature;
use crate::bolt_up::{Pattern, bolt_up_odds};
use crate::space::PlatePoint;
use crate::tolerance::SCALE_NOT_KNOWN;

/// How far off a cutter is where the job does not say, ± 95 %, mm: laser or water jet in thin sheet. Common practice, no
/// source.
const USUAL_CUTTING_MM: f64 = 0.1;

/// Draws: at 95 in 100 the standard error is half of one in 100.
const DRAWS: u32 = 2000;

/// Where the draws begin: the same for every job, so that the same job has the same odds.
const SEED: u64 = 20_261_125;

/// The odds over all kept holes with a fastener; `None` where there is none, where nothing is known yet, or where one of
/// them is not found or its fastener is no standard's: odds that leave one out would promise too much.
pub(super) fn bolt_up(results: &Results<'_>) -> Option<BoltUp> {
    let Results { job, assembled, adjusted, .. } = results;
    let mut said = job
        .holes
        .iter()
        .zip(&assembled.holes)
        .filter(|(hole, _)| hole.keep && !is_tapped(job, hole) && said_fastener(job, hole).is_some());
    if said.any(|(hole, rim)| rim.is_err() || fastener(job, hole).is_none()) {
        return None;
    }
    // Of a part whose size nobody knows there is nothing to be said.
    if results.scale_sigma() >= SCALE_NOT_KNOWN {
        return None;
    }
    let with_play = |rim: usize| {
        let hole = &job.holes[assembled.hole_of_rim[rim]];
        let play = play_mm(job, hole, 2.0 * adjusted.bore_radius(rim))?;
        hole.keep.then_some((rim, play))
    };
    let fastened: Vec<(usize, f64)> = (0..assembled.problem.rims.len()).filter_map(with_play).collect();
    let features: Vec<Feature> = fastened.iter().map(|(rim, _)| Feature::Rim(*rim)).collect();
    let covariance = adjusted.joint_covariance(&features);
    let places: Vec<PlatePoint> = fastened.iter().map(|(rim, _)| adjusted.centre(*rim)).collect();
    let plays: Vec<Option<f64>> = fastened.iter().map(|(_, play)| Some(*play)).collect();
    let cutting_mm = job.stock.and_then(|stock| stock.cut_tolerance_mm).unwrap_or(USUAL_CUTTING_MM);
    let pattern = Pattern { places: &places, plays: &plays, covariance: &covariance, cutting_mm };
    // What cannot be judged has no odds: there is no fastener, or a place is not known at all.
    let odds = bolt_up_odds(&pattern, SEED, DRAWS).ok()?;
    let holes = fastened.iter().zip(&odds.in_the_way).map(|((rim, play_mm), in_the_way)| BoltUpHole {
        id: results.hole_id(*rim),
        play_mm: *play_mm,
        in_the_way: *in_the_way,
    });
    Some(BoltUp {
        odds: odds.share,
        standard_error: odds.standard_error,
        worst: fastened.get(odds.worst).map(|(rim, _)| results.hole_id(*rim)),
        holes: holes.collect(),
        cutting_mm,
    })
}
