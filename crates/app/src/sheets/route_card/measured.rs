//! What was measured of a rim or an edge in the photo, in words.

use platewright_core::seen::{RimSeen, SideSeen};
use platewright_core::units::format_figure;

/// `At 106 places all round, 0.12 px off the circle.`, or why its picks count instead.
pub(super) fn of_rim(seen: &RimSeen) -> String {
    match (&seen.found, seen.serves(), seen.doubt()) {
        (Ok(rim), Some(_), doubt) => {
            let found = format!(
                "At {} places over {}°, {} px off the circle",
                rim.points.len(),
                format_figure(rim.arc_deg, 0),
                format_figure(rim.rms_px, 2)
            );
            ended(&found, doubt)
        }
        (_, _, doubt) => by_picks(doubt),
    }
}

/// The same of a straight edge.
pub(super) fn of_side(seen: &SideSeen) -> String {
    match (&seen.found, seen.serves(), seen.doubt()) {
        (Ok(side), Some(_), doubt) => {
            let found = format!("At {} places, {} px off the line", side.points.len(), format_figure(side.rms_px, 2));
            ended(&found, doubt)
        }
        (_, _, doubt) => by_picks(doubt),
    }
}

fn ended(found: &str, doubt: Option<String>) -> String {
    doubt.map_or_else(|| format!("{found}."), |doubt| format!("{found}; {doubt}."))
}

fn by_picks(doubt: Option<String>) -> String {
    doubt.map_or_else(|| "By its picks alone.".to_owned(), |doubt| format!("By its picks alone: {doubt}."))
}
