//! Whether a planted misreading is named, and how often a good reading is accused.

use crate::coverage::Share;
use crate::random_job::random_job;
use platewright_core::adjust::adjust;
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, problem};
use platewright_core::tolerance::W_DISAGREES;
use platewright_synth::Random;

/// By how much the planted reading is wrong, mm.
pub const PLANTED_MM: f64 = 1.0;
/// Readings that the others check by more than this share are held to be named.
pub const CHECKED: f64 = 0.3;
/// Below this share nothing that matters checks a reading (the core says so of it), and it is not looked at.
const UNCHECKED: f64 = 0.1;

/// What came of jobs with one wrong reading, and of the same jobs without.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Misreadings {
    /// The planted reading was named first, where the others check it by more than [`CHECKED`].
    pub named: Share,
    /// The same where they check it by less.
    pub named_though_little_checked: Share,
    /// Readings that are not accused, of all that were tested, in jobs where none is wrong.
    pub not_accused: Share,
    /// Jobs where none is wrong and nothing is accused.
    pub clean_jobs: Share,
}

/// Jobs of six to fourteen measures; in each, one of the caliper readings that the others check is made wrong by
/// [`PLANTED_MM`], long or short, then put right and one of those that they check little. A job without such a reading
/// has no misreading planted.
///
/// # Panics
/// Where a job is not solved.
pub fn misreadings(jobs: u64) -> Misreadings {
    let mut found = Misreadings::default();
    for seed in 0..jobs {
        let random_job = random_job(1_000_000 + seed, [6, 14]);
        let problem =
            problem(&Inputs { job: &random_job.job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
        let clean = adjust(&problem).expect("a random job is solved").reliability();
        for w in clean.tested.iter().filter_map(|tested| tested.w) {
            found.not_accused.count(w.abs() <= W_DISAGREES);
        }
        found.clean_jobs.count(clean.suspects.is_empty());
        let checked_by = |range: std::ops::Range<f64>| -> Vec<usize> {
            let by_caliper = |i: &usize| problem.lengths[*i].sigma_mm <= Instrument::CALIPER.sigma_mm;
            (0..problem.lengths.len())
                .filter(by_caliper)
                .filter(|i| range.contains(&clean.tested[*i].redundancy))
                .collect()
        };
        let mut random = Random::new(seed);
        for (range, share) in
            [(CHECKED..1.0, &mut found.named), (UNCHECKED..CHECKED, &mut found.named_though_little_checked)]
        {
            let candidates = checked_by(range);
            if candidates.is_empty() {
                continue;
            }
            let wrong = candidates[random.between(0.0, candidates.len() as f64) as usize];
            let mut misread = problem.clone();
            misread.lengths[wrong].mm += if random.unit() < 0.5 { PLANTED_MM } else { -PLANTED_MM };
            let suspects = adjust(&misread).expect("a random job is solved").reliability().suspects;
            share.count(suspects.first().is_some_and(|suspect| suspect.reading == wrong));
        }
    }
    found
}
