//! Rims and edges of the photo that are not to be trusted, in sentences.

use super::findings::about;
use super::results::Results;
use super::{Finding, FindingKind, MeasureVerdict, Solution, Weight};
use crate::job::{Id, listed};

/// So many are told of one by one; more than that in one sentence.
const MOST_ALONE: usize = 4;

/// So many are named where there are too many to name all.
const NAMED: usize = 3;

/// A rim or edge that was looked for and is doubtful.
struct Doubted<'a> {
    id: &'a Id,
    name: &'a str,
    /// Why, as the end of a sentence.
    doubt: String,
    /// It serves all the same, with a ± that allows for it.
    serves: bool,
}

/// Says of every rim and edge in the fit that was looked for whether it stands on its picks alone, and why, or how good it is where
/// it is faint.
pub(super) fn doubted_rims(results: &Results<'_>, list: &mut Vec<Finding>) {
    let (job, Some(seen)) = (results.job, results.inputs.seen) else { return };
    let rims = job.holes.iter().zip(&results.assembled.holes).filter(|(_, rim)| rim.is_ok());
    let rims = rims.filter_map(|(hole, _)| {
        let rim = seen.rim(hole)?;
        Some(Doubted { id: &hole.id, name: &hole.name, doubt: rim.doubt()?, serves: rim.serves().is_some() })
    });
    let sides = job.edges.iter().zip(&results.assembled.edges).filter(|(_, side)| side.is_some());
    let sides = sides.filter_map(|(edge, _)| {
        let side = seen.side(edge)?;
        Some(Doubted { id: &edge.id, name: &edge.name, doubt: side.doubt()?, serves: side.serves().is_some() })
    });
    let (serving, by_picks): (Vec<Doubted<'_>>, Vec<Doubted<'_>>) = rims.chain(sides).partition(|each| each.serves);
    list.extend(told(&by_picks).into_iter().chain(told(&serving)));
}

/// One finding for each, or one for all where there are many.
fn told(doubted: &[Doubted<'_>]) -> Vec<Finding> {
    let of_kind = |finding: Finding| finding.of_kind(FindingKind::DoubtedEdges);
    if doubted.len() <= MOST_ALONE {
        return doubted.iter().map(|each| of_kind(about(Weight::Caution, each.id, sentence(each)))).collect();
    }
    let mut names: Vec<String> = doubted[..NAMED].iter().map(|each| each.name.to_owned()).collect();
    names.push(format!("{} more", doubted.len() - NAMED));
    let names = listed(&names);
    let text = if doubted[0].serves {
        format!("The edges of {names} are not sharp. Their ± allow for that.")
    } else {
        format!(
            "{names} stand on their picks alone: their edges cannot be measured in the photo. Place the picks with care, or \
             measure them by hand."
        )
    };
    let others = doubted[1..].iter().map(|each| each.id.clone()).collect();
    vec![of_kind(Finding { others, ..about(Weight::Caution, doubted[0].id, text) })]
}

fn sentence(Doubted { name, doubt, serves, .. }: &Doubted<'_>) -> String {
    if *serves {
        format!("The edge of {name} is not sharp: {doubt}. Its ± allows for that.")
    } else {
        format!("{name} stands on its picks alone: {doubt}. Place them with care, or measure it by hand.")
    }
}

/// Says that nothing of what was measured serves, since no camera sees all of it.
pub(super) fn no_camera(results: &Results<'_>, list: &mut Vec<Finding>) {
    if results.inputs.seen.is_some_and(|seen| seen.no_camera) {
        let text = "No camera sees all the edges that were measured in the photo, so everything stands on its picks. Look \
                    for picks that lie by another edge than their own.";
        list.push(Finding::new(Weight::Caution, None, text.to_owned()).of_kind(FindingKind::DoubtedEdges));
    }
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
    let others = solution.unsaid_breaks[1..].to_vec();
    list.push(Finding { others, ..about(weight, first, text).of_kind(FindingKind::BrokenEdges) });
}
