//! The stamp of the title block: the verdict in a few words.

use super::figures::Lengths;
use super::standing::{self, in_words};
use super::tone::Tone;
use crate::controls::Icon;
use crate::session::{Session, Standing};
use platewright_core::solution::BoltUp;

/// A hole known no better than this is no plate to cut, mm: more than a clearance hole for M6 leaves (ISO 273).
const FAR_OFF_MM: f64 = 0.5;

/// The stamp of the title block.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stamp {
    /// Its colour.
    pub(super) tone: Tone,
    /// Its icon.
    pub(super) icon: Icon,
    /// Its words.
    pub(super) words: String,
}

/// The verdict in a few words; `None` while nothing is open.
pub(super) fn stamp(session: &Session) -> Option<Stamp> {
    let job = standing::job(session)?;
    let plain = |tone: Tone, words: &str| Some(Stamp { tone, icon: tone.icon(), words: words.to_owned() });
    if job.holes.is_empty() && job.points.is_empty() {
        return plain(Tone::NotKnown, "no hole yet");
    }
    if session.results.standing == Standing::Waiting {
        return plain(Tone::NotKnown, "measuring the rims");
    }
    let disagrees = standing::who_disagrees(session);
    let worst = standing::worst_hole_mm(session);
    if worst.is_none() && disagrees.is_none() {
        return plain(Tone::NotKnown, "scale not known yet");
    }
    if disagrees.is_none() && !session.results.solution.fits_together() {
        return plain(Tone::Disagrees, "picks and measures do not fit");
    }
    let worst_mm = worst;
    let worst = worst.map(|mm| format!("worst hole {}", Lengths::of(session).plus_minus_with_unit(mm)));
    let open = standing::outline(session).is_some_and(|(contour, _)| !contour.closed && contour.nodes.len() > 1);
    let failing = standing::failing(session).count();
    let (tone, icon, lead) = if let Some(disagrees) = disagrees {
        (Tone::Disagrees, Icon::Disagrees, Some(disagrees))
    } else if open {
        (Tone::Caution, Icon::Gap, Some("outline open".to_owned()))
    } else if failing > 0 && standing::outline(session).is_some() {
        let verb = if failing == 1 { "check fails" } else { "checks fail" };
        (Tone::Fails, Icon::Fails, Some(format!("{} {verb}", in_words(failing))))
    } else if standing::unchecked(session).next().is_some()
        || standing::odds(session).is_some_and(are_poor)
        || worst_mm.is_some_and(|mm| mm > FAR_OFF_MM)
    {
        (Tone::Caution, Icon::Caution, None)
    } else {
        (Tone::Agrees, Icon::Agrees, None)
    };
    let odds = standing::odds(session).map(|bolt_up| format!("odds {}", crate::odds::share(bolt_up.odds)));
    let words: Vec<String> = lead.into_iter().chain(worst).chain(odds).collect();
    Some(Stamp { tone, icon, words: words.join(" · ") })
}

fn are_poor(bolt_up: &BoltUp) -> bool {
    bolt_up.odds < crate::odds::POOR
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::check::Verdict;
    use platewright_core::solution::{Finding, FindingKind, Solution, Weight};

    fn words(session: &Session) -> String {
        stamp(session).map(|stamp| stamp.words).unwrap_or_default()
    }

    #[test]
    fn an_empty_window_has_no_stamp() {
        assert_eq!(stamp(&Session::default()), None, "nothing to judge");
    }

    #[test]
    fn while_the_scale_is_not_known_the_stamp_says_so_and_nothing_else() {
        let mut session = samples::session(samples::holes_only());
        assert_eq!(words(&session), "scale not known yet", "nothing computed");
        let mut solution = samples::agreeing();
        solution.fit.scale_sigma = Some(0.3);
        samples::give_results(&mut session, solution);
        assert_eq!(words(&session), "scale not known yet", "a scale good to a third");
    }

    #[test]
    fn what_disagrees_comes_before_an_open_outline_and_that_before_a_check() {
        let plate = samples::with_fastener(samples::plate_with_outline(false), "M6");
        let mut session = samples::session(plate);
        session.results.checks = vec![samples::check(Verdict::Fail)];
        // 0.1 mm (1 sigma) times 2.4477 (95 % of a place in the plane).
        samples::give_results(&mut session, samples::disagreeing());
        assert_eq!(words(&session), "M2 disagrees · worst hole ±0.24 mm", "the measure");
        let bolt_up = Some(samples::odds(0.41));
        samples::give_results(&mut session, Solution { bolt_up: bolt_up.clone(), ..samples::disagreeing() });
        assert_eq!(words(&session), "M2 disagrees · worst hole ±0.24 mm", "no odds while something disagrees");
        samples::give_results(&mut session, Solution { bolt_up, ..samples::agreeing() });
        assert_eq!(words(&session), "outline open · worst hole ±0.24 mm · odds 41 %", "and the odds");
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(words(&session), "outline open · worst hole ±0.24 mm", "the outline");
        let misfit = "Picks and measures fit each other worse than their ± allow.".to_owned();
        let misfit = Finding::new(Weight::Disagrees, None, misfit).of_kind(FindingKind::DoubtedFit);
        samples::give_results(&mut session, Solution { findings: vec![misfit], ..samples::agreeing() });
        assert_eq!(words(&session), "picks and measures do not fit", "no ± while the whole does not fit");
        let mut session = samples::session(samples::plate_with_outline(true));
        session.results.checks = vec![samples::check(Verdict::Fail)];
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(words(&session), "one check fails · worst hole ±0.24 mm", "the check");
        session.results.checks.clear();
        assert_eq!(stamp(&session).map(|stamp| stamp.tone), Some(Tone::Agrees), "and nothing else");
    }
}
