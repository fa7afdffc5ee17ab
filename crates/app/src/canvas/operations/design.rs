//! Operation 40, what is added: clicks say what it is placed from.

use super::{Bench, Click, choose, measures};
use crate::canvas::hit::Hit;

/// Takes a click where something is being added, or where it means something that was; whether it did.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) -> bool {
    let adding = bench.session.screen.adding.is_some();
    match &click.hit {
        Some(Hit::Hole(id) | Hit::Point(id) | Hit::Added(id)) if adding => {
            measures::told(bench, |session| session.take_base(id));
        }
        _ if adding => {
            let map = bench.session.results.solution.map.filter(|_| bench.session.results.solution.fit.scale_known());
            if let Some(at) = map.and_then(|map| map.plate_from_photo(click.photo)) {
                measures::told(bench, |session| session.place_adding(at));
            }
        }
        Some(hit @ Hit::Added(_)) => choose::choose(bench, hit),
        _ => return false,
    }
    true
}

/// What a click would do, for the magnifier; `None` where nothing is being added, or where a feature is meant.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    let added = bench.session.screen.adding.as_ref()?;
    let is_feature = matches!(under, Some(Hit::Hole(_) | Hit::Point(_) | Hit::Added(_)));
    (!is_feature).then(|| added.shown_name())
}
