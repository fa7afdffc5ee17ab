//! In which order what is added gets its place: everything after what it rests on.

use super::{Added, Id};
use std::collections::BTreeMap;

/// The order, as numbers of the entries, and what has none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PlacingOrder {
    /// Every entry that has an order, after all that it rests on.
    pub(crate) order: Vec<usize>,
    /// The first entry of a circle of entries that rest on each other; `None` where there is no such circle, and every entry
    /// has an order.
    pub(crate) in_circle: Option<usize>,
}

impl PlacingOrder {
    /// Sorts topologically by taking out again and again what rests on nothing that is left (A. B. Kahn 1962): each entry
    /// is looked at once, and nothing recurs however long the chain is.
    pub(crate) fn of(added: &[&Added]) -> Self {
        let numbers: BTreeMap<&Id, usize> = added.iter().enumerate().map(|(k, one)| (&one.id, k)).collect();
        let rests_on = |k: usize| added[k].rests_on().filter_map(|id| numbers.get(id).copied());
        let mut resting: Vec<Vec<usize>> = vec![Vec::new(); added.len()];
        for (k, base) in (0..added.len()).flat_map(|k| rests_on(k).map(move |base| (k, base))) {
            resting[base].push(k);
        }
        let mut waits_for: Vec<usize> = (0..added.len()).map(|k| rests_on(k).count()).collect();
        let mut order: Vec<usize> = (0..added.len()).filter(|k| waits_for[*k] == 0).collect();
        let mut next = 0;
        while let Some(base) = order.get(next).copied() {
            next += 1;
            for &k in &resting[base] {
                waits_for[k] -= 1;
                if waits_for[k] == 0 {
                    order.push(k);
                }
            }
        }
        let left = (0..added.len()).find(|k| waits_for[*k] > 0);
        let in_circle = left.map(|left| {
            let follow = |k: usize| rests_on(k).find(|base| waits_for[*base] > 0).unwrap_or(k);
            first_of_circle(left, added.len(), follow)
        });
        Self { order, in_circle }
    }
}

/// The smallest number of the circle that following leads into from `start` among `count`.
fn first_of_circle(start: usize, count: usize, follow: impl Fn(usize) -> usize) -> usize {
    // After as many steps as there are entries one is going round.
    let inside = (0..count).fold(start, |at, _| follow(at));
    let (mut first, mut at) = (inside, follow(inside));
    while at != inside {
        first = first.min(at);
        at = follow(at);
    }
    first
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{AddedKind, Offset, Placed};
    use crate::space::PlateVec;

    fn order(entries: &[(&str, &str)]) -> PlacingOrder {
        let added: Vec<Added> = entries
            .iter()
            .map(|(id, from)| {
                let offset = Offset { from: (*from).into(), by_mm: PlateVec::default() };
                Added::new((*id).into(), AddedKind::Hole, Placed::Offset(offset))
            })
            .collect();
        PlacingOrder::of(&added.iter().collect::<Vec<_>>())
    }

    #[test]
    fn everything_comes_after_what_it_rests_on() {
        let found = order(&[("a1", "a3"), ("a2", "h1"), ("a3", "a2"), ("a4", "a2")]);
        assert_eq!(found, PlacingOrder { order: vec![1, 2, 3, 0], in_circle: None });
    }

    #[test]
    fn a_circle_is_named_by_its_first_and_not_by_what_leads_into_it() {
        let found = order(&[("a1", "a4"), ("a2", "h1"), ("a3", "a5"), ("a4", "a3"), ("a5", "a4")]);
        assert_eq!(found, PlacingOrder { order: vec![1], in_circle: Some(2) });
        assert_eq!(order(&[("a1", "a1")]).in_circle, Some(0), "by itself");
    }
}
