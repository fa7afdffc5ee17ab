//! The odds that the plate goes over its fasteners, in words: the same in the window and on the command line.

use platewright_core::solution::BoltUp;
use platewright_core::tolerance::K95_FIGURE;

/// Below these odds something is to be done first: one plate in twenty would not go on.
pub(crate) const POOR: f64 = 0.95;

/// From these odds on no more is said than that they are as good: one plate in a thousand would not go on.
pub(crate) const AS_GOOD_AS_SURE: f64 = 0.999;

/// `It bolts up 97 times in 100.`
pub(crate) fn sentence(bolt_up: &BoltUp) -> String {
    format!("It bolts up {}.", bolt_up.times())
}

/// `97 %`, for the stamp.
pub(crate) fn share(odds: f64) -> String {
    let (hundred, thousand) = ((odds * 100.0).round(), (odds * 1000.0).floor());
    match (hundred, thousand) {
        _ if thousand >= 999.0 => "over 99.9 %".to_owned(),
        _ if hundred >= 100.0 => format!("{:.1} %", thousand / 10.0),
        _ if hundred >= 1.0 => format!("{hundred:.0} %"),
        _ => "under 1 %".to_owned(),
    }
}

/// How well the odds themselves are known (95 %), in words: `Give or take 1 in 100.`; `None` where the odds are said as
/// a bound.
pub(crate) fn give_or_take(bolt_up: &BoltUp) -> Option<String> {
    if bolt_up.odds >= AS_GOOD_AS_SURE {
        return None;
    }
    let hundredths = bolt_up.standard_error * K95_FIGURE * 100.0;
    Some(if hundredths < 0.95 {
        format!("Give or take {:.0} in 1000.", (10.0 * hundredths).max(1.0))
    } else {
        format!("Give or take {hundredths:.0} in 100.")
    })
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
        for (odds, words) in [(0.41, "41 %"), (0.0, "under 1 %"), (0.9964, "99.6 %"), (1.0, "over 99.9 %")] {
            assert_eq!(share(odds), words);
        }
    }

    #[test]
    fn what_the_odds_are_good_to_is_said_at_95_per_cent() {
        // 1.96 times 0.0086 is 0.0169.
        assert_eq!(give_or_take(&bolt_up(0.5, 0.0086)).as_deref(), Some("Give or take 2 in 100."));
        assert_eq!(give_or_take(&bolt_up(0.99, 0.0022)).as_deref(), Some("Give or take 4 in 1000."));
        assert_eq!(give_or_take(&bolt_up(1.0, 0.0007)), None, "a bound has no more to say");
    }
}
