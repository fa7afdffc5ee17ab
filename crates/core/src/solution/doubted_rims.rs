//! Rims and edges of the photo that are not to be trusted, in sentences.

use super::Weight;
use super::findings::about;
use super::results::Results;
use super::types::Finding;
use crate::job::Id;

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

fn sentence(id: &Id, name: &str, doubt: &str, serves: bool) -> Finding {
    let text = if serves {
        format!("The edge of {name} is not sharp: {doubt}. Its ± allows for that.")
    } else {
        format!("{name} stands on its picks alone: {doubt}. Place them with care, or measure it by hand.")
    };
    about(Weight::Caution, id, text)
}
