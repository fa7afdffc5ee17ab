//! The adjustment against the crate `levenberg-marquardt`, which knows nothing of plates: dense matrices, QR
//! decomposition, MINPACK's rules.

use platewright_core::adjust::adjust;
use platewright_tests::{crowded, general_solver};

#[test]
fn unknowns_are_those_of_a_general_solver() {
    let problem = crowded(12, 10, 24);
    let ours = adjust(&problem).expect("the camera sees every pick").plain();
    let (theirs, report) = general_solver(&problem).expect("the camera sees every pick");
    assert!(report.termination.was_successful(), "{:?}", report.termination);
    assert_eq!(theirs.len(), ours.unknowns.len(), "the same unknowns");
    for (i, (ours_i, theirs)) in ours.unknowns.iter().zip(&theirs).enumerate() {
        let sigmas = (ours_i - theirs).abs() / ours.covariance[i][i].sqrt();
        assert!(sigmas < 1e-6, "unknown {i}: {ours_i} here, {theirs} there, {sigmas:.1e} of its sigma");
    }
}
