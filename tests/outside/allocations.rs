//! No memory is allocated per observation: the number of allocations does not grow with that of the picks.

use platewright_core::adjust::{Problem, adjust};
use platewright_tests::crowded;

fn allocations(problem: &Problem) -> u64 {
    let info = allocation_counter::measure(|| {
        let adjusted = adjust(problem).expect("the camera sees every pick");
        assert!(!adjusted.reliability().tested.is_empty(), "with its reliability");
    });
    info.count_total
}

#[test]
fn allocations_do_not_grow_with_the_picks() {
    let (holes, lengths) = (20, 30);
    let [few, many] = [50, 1600].map(|points| crowded(holes, points, lengths));
    let picks = |problem: &Problem| problem.rims.iter().map(|rim| rim.picks.len()).sum::<usize>() as u64;
    let (count_few, count_many) = (allocations(&few), allocations(&many));
    let more_picks = picks(&many) - picks(&few);
    // The two need not take the same number of rounds; one allocation in a hundred picks would show.
    assert!(
        count_many < count_few + more_picks / 100,
        "{count_few} for {}, {count_many} for {}",
        picks(&few),
        picks(&many)
    );
    assert!(count_many < 60 * holes as u64, "{count_many} allocations for {holes} holes");
}
