//! Rims and edges of the photo that are not to be trusted, in sentences.

use super::findings::about;
use super::results::Results;
use super::{Finding, MeasureVerdict, Solution, Weight};
use crate::job::{Id, listed};

/// Says of every rim and edge in the fit that was looked for whether it stands on its picks alone, and why, or how good it is where
/// it is faint.
pub(super) fn doubted_rims(results: &Results<'_>, list: &mut Vec<Finding>) {
    let (job, Some(seen)) = (results.job, results.inputs.seen) else { return };
    let rims = job.holes.iter().zip(&results.assembled.holes).filter(|(_, rim)| rim.is_ok());
    let rims = rims.filter_map(|(hole, _)| {
        let rim = seen.rim(hole)?;
        Some((&hole.id, &hole.name, rim.doubt()?, rim.serves().is_some()))
    });
    let sides = job.edges.iter().zip(&results.assembled.edges).filter(|(_, side)| side.is_some());
    let sides = sides.filter_map(|(edge, _)| {
        let side = seen.side(edge)?;
        Some((&edge.id, &edge.name, side.doubt()?, side.serves().is_some()))
    });
    list.extend(rims.chain(sides).map(|(id, name, doubt, serves)| sentence(id, name, &doubt, serves)));
}

/// Says of which holes the edge looks broken although the job does not say so: jaws then touch a bore that is not the rim,
/// and measures disagree for no other reason.
pub(super) fn unsaid_breaks(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let Some(first) = solution.unsaid_breaks.first() else { return };
    let names: Vec<String> = solution.unsaid_breaks.iter().map(|id| results.job.feature_name(id).to_owned()).collect();
    let disagrees = solution.measures.iter().any(|measure| measure.verdict == MeasureVerdict::Disagrees);
    let weight = if disagrees { Weight::Disagrees } else { Weight::Caution };
    let text = match names.as_slice() {
        [one] => format!("The edge of {one} looks broken: a bore is seen within its rim. Jaws touch the bore."),
        _ => format!(
            "The edges of {} look broken: a bore is seen within each rim. Jaws touch the bores.",
            listed(&names)
        ),
    };
    list.push(about(weight, first, text));
}

fn sentence(id: &Id, name: &str, doubt: &str, serves: bool) -> Finding {
    let text = if serves {
        format!("The edge of {name} is not sharp: {doubt}. Its ± allows for that.")
    } else {
        format!("{name} stands on its picks alone: {doubt}. Place them with care, or measure it by hand.")
    };
    about(Weight::Caution, id, text)
}
