//! The odds that the plate goes over its fasteners, in words: the same in the window and on the command line.

use platewright_core::solution::BoltUp;
use platewright_core::tolerance::K95_FIGURE;

/// Below these odds something is to be done first: one plate in twenty would not go on.
pub(crate) const POOR: f64 = 0.95;

/// `It bolts up 97 times in 100.`
pub(crate) fn sentence(bolt_up: &BoltUp) -> String {
    format!("It bolts up {}.", times(bolt_up.odds))
}

/// `97 times in 100`. Never 100 in 100: odds are not certainty.
fn times(odds: f64) -> String {
    match ((odds * 100.0).round(), (odds * 1000.0).floor()) {
        (_, thousand) if thousand >= 999.0 => "999 times in 1000 or better".to_owned(),
        (hundred, thousand) if hundred >= 100.0 => format!("{thousand:.0} times in 1000"),
        (1.0, _) => "once in 100".to_owned(),
        (hundred, _) if hundred >= 1.0 => format!("{hundred:.0} times in 100"),
        _ => "less than once in 100".to_owned(),
    }
}

/// `97 in 100`, for a table or a stamp.
pub(crate) fn share(odds: f64) -> String {
    let times = times(odds);
    times.replace(" times", "").replace("once", "1").replace("less than 1", "under 1")
}

/// How well the odds themselves are known (95 %), in words: `Give or take 1 in 100.`.
pub(crate) fn give_or_take(bolt_up: &BoltUp) -> String {
    let hundredths = bolt_up.standard_error * K95_FIGURE * 100.0;
    if hundredths < 0.95 {
        "Give or take less than 1 in 100.".to_owned()
    } else {
        format!("Give or take {hundredths:.0} in 100.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bolt_up(odds: f64, standard_error: f64) -> BoltUp {
        BoltUp { odds, standard_error, worst: None, holes: Vec::new(), cutting_mm: 0.1 }
    }

    #[test]
    fn odds_are_said_in_hundreds_and_never_as_certain() {
        for (odds, words) in [
            (0.97, "It bolts up 97 times in 100."),
            (0.012, "It bolts up once in 100."),
            (0.0, "It bolts up less than once in 100."),
            (0.9964, "It bolts up 996 times in 1000."),
            (1.0, "It bolts up 999 times in 1000 or better."),
        ] {
            assert_eq!(sentence(&bolt_up(odds, 0.0)), words);
        }
        assert_eq!(share(0.41), "41 in 100");
        assert_eq!(share(0.0), "under 1 in 100");
    }

    #[test]
    fn what_the_odds_are_good_to_is_said_at_95_per_cent() {
        // 1.96 times 0.0086 is 0.0169.
        assert_eq!(give_or_take(&bolt_up(0.5, 0.0086)), "Give or take 2 in 100.");
        assert_eq!(give_or_take(&bolt_up(1.0, 0.0)), "Give or take less than 1 in 100.");
    }
}
