//! What was measured of a rim or an edge in the photo, in words.

use platewright_core::seen::{RimSeen, SideSeen};
use platewright_core::units::format_figure;

/// The step by which a rim or an edge comes to be measured, or to stand on its picks; its name follows.
pub(super) const fn verb(is_measured: bool) -> &'static str {
    if is_measured { "measure in the photo" } else { "take from its picks" }
}

/// `At 106 of 118 places, over 324°.`, or why its picks count instead.
pub(super) fn of_rim(seen: &RimSeen) -> String {
    match (&seen.found, seen.serves(), seen.doubt()) {
        (Ok(rim), Some(_), doubt) => {
            let found =
                format!("{}, over {}°", at_places(rim.points.len(), rim.rejected.len()), format_figure(rim.arc_deg, 0));
            ended(&found, doubt)
        }
        (_, _, doubt) => by_picks(doubt),
    }
}

/// The same of a straight edge.
pub(super) fn of_side(seen: &SideSeen) -> String {
    match (&seen.found, seen.serves(), seen.doubt()) {
        (Ok(side), Some(_), doubt) => {
            let places = at_places(side.points.len(), side.rejected.len());
            let found = format!("{places}, {} px off the line", format_figure(side.rms_px, 2));
            ended(&found, doubt)
        }
        (_, _, doubt) => by_picks(doubt),
    }
}

/// Where an edge was seen, of all the places where it was looked for.
fn at_places(seen: usize, not_used: usize) -> String {
    format!("At {seen} of {} places", seen + not_used)
}

fn ended(found: &str, doubt: Option<String>) -> String {
    doubt.map_or_else(|| format!("{found}."), |doubt| format!("{found}; {doubt}."))
}

fn by_picks(doubt: Option<String>) -> String {
    doubt.map_or_else(|| "By its picks alone.".to_owned(), |doubt| format!("By its picks alone: {doubt}."))
}
