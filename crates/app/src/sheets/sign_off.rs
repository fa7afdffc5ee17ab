//! Whether an operation's own checks hold, and its state in one line.

use super::figures::{Lengths, count};
use super::standing::{self, PICKS_OF_A_HOLE};
use crate::controls::Icon;
use crate::session::{Document, Operation, Session};
use platewright_core::check::Verdict;
use platewright_core::job::{Held, Hole, Id, Outcome, listed};
use platewright_core::solution::said_fastener;
use platewright_core::units::format_figure;

/// The box of an operation on the route card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SignOff {
    /// Not done yet.
    ToSign,
    /// Its own checks hold.
    Signed,
    /// Something contradicts it.
    Unsigned,
}

impl SignOff {
    /// Its icon.
    pub(super) fn icon(self) -> Icon {
        match self {
            Self::ToSign => Icon::ToSign,
            Self::Signed => Icon::Signed,
            Self::Unsigned => Icon::Unsigned,
        }
    }

    /// In words, for the accessible name.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::ToSign => "to sign",
            Self::Signed => "signed off",
            Self::Unsigned => "not signed off, something contradicts it",
        }
    }
}

/// How `operation` stands.
pub(super) fn sign_off(session: &Session, operation: Operation) -> (SignOff, String) {
    let Some(document) = &session.document else {
        return (SignOff::ToSign, before_a_photo(operation).to_owned());
    };
    match operation {
        Operation::Photo => photo(session, document),
        Operation::Holes => holes(session, document),
        Operation::Measures => measures(session, document),
        Operation::Outline => outline(session),
        Operation::Proof => proof(document),
        Operation::Cut => cut(session),
    }
}

fn before_a_photo(operation: Operation) -> &'static str {
    match operation {
        Operation::Photo => "waits for a photo",
        Operation::Holes => "three clicks on each rim",
        Operation::Measures => "caliper values",
        Operation::Outline => "edge followed",
        Operation::Proof => "print, and try it on",
        Operation::Cut => "file for the cutter",
    }
}

/// Signed once the last plate that was tried went on at every kept hole with a fastener.
fn proof(document: &Document) -> (SignOff, String) {
    let job = document.job();
    let tried = |outcome| standing::tried(job, outcome);
    let (touched, blocked, went_on) = (tried(Outcome::Touched), tried(Outcome::WouldNotGo), tried(Outcome::WentOn));
    if !touched.is_empty() {
        return (SignOff::ToSign, format!("tried: {} touched", listed(&touched)));
    }
    if !blocked.is_empty() {
        return (SignOff::ToSign, format!("tried: {} would not go", listed(&blocked)));
    }
    let studs = job.holes.iter().filter(|hole| hole.keep && said_fastener(job, hole).is_some());
    let is_on = |id: &Id| job.last_trials().any(|trial| trial.hole == *id && trial.outcome == Outcome::WentOn);
    let (on, left): (Vec<&Hole>, Vec<&Hole>) = studs.partition(|hole| is_on(&hole.id));
    let left: Vec<String> = left.into_iter().map(|hole| hole.name.clone()).collect();
    match (on.as_slice(), left.as_slice()) {
        _ if went_on.is_empty() => (SignOff::ToSign, "not tried on yet".to_owned()),
        ([], []) => (SignOff::ToSign, "went on, no fastener is said".to_owned()),
        (_, [_, ..]) => (SignOff::ToSign, format!("went on, but {} not tried", is_or_are(&left))),
        ([only], []) => (SignOff::ToSign, format!("went on {} only", only.name)),
        (all, []) => (SignOff::Signed, format!("went on all {}", standing::in_words(all.len()))),
    }
}

/// `H2 is`, `H2 and H3 are`.
fn is_or_are(names: &[String]) -> String {
    format!("{} {}", listed(names), if names.len() == 1 { "is" } else { "are" })
}

fn photo(session: &Session, document: &Document) -> (SignOff, String) {
    let [width, height] = document.job().photo.size;
    let pixels = format_figure(f64::from(width) * f64::from(height) / 1e6, 1);
    let solution = &session.results.solution;
    let rest = match (&solution.camera, solution.fit.scale_known()) {
        (Some(camera), true) => {
            let lengths = Lengths::of(session);
            let away = if session.screen.inches {
                lengths.with_unit(camera.distance_mm.0)
            } else {
                format!("{} mm", format_figure(camera.distance_mm.0, 0))
            };
            format!("tilt {}°, {away} away", format_figure(camera.tilt_deg.0, 1))
        }
        _ => match document.job().photo.held {
            Held::ByEye => "held square by eye".to_owned(),
            Held::Levelled => "held with a level".to_owned(),
            Held::Unknown => "held nobody knows how".to_owned(),
        },
    };
    (SignOff::Signed, format!("{pixels} Mpx, {rest}"))
}

fn holes(session: &Session, document: &Document) -> (SignOff, String) {
    let job = document.job();
    if job.holes.is_empty() {
        return (SignOff::ToSign, "three clicks on each rim".to_owned());
    }
    if let Some(hole) = standing::unfinished_hole(job) {
        let have = standing::in_words(hole.rim.len());
        return (SignOff::ToSign, format!("{} has {have} of {} picks", hole.name, standing::in_words(PICKS_OF_A_HOLE)));
    }
    let worst = session.results.solution.holes.iter().map(|hole| hole.rim_rms_px).fold(0.0_f64, f64::max);
    let number = count(job.holes.len(), "hole", "holes");
    let exact = session.results.solution.holes.iter().all(|hole| hole.rim_points <= PICKS_OF_A_HOLE);
    let state = if exact { number } else { format!("{number}, worst rim {} px", format_figure(worst, 2)) };
    let enough = session.results.solution.holes.len() == job.holes.len();
    (if enough { SignOff::Signed } else { SignOff::ToSign }, state)
}

fn measures(session: &Session, document: &Document) -> (SignOff, String) {
    let job = document.job();
    if job.measures.is_empty() {
        return (SignOff::ToSign, "none taken".to_owned());
    }
    let taken = format!("{} taken", job.measures.len());
    if let Some(disagrees) = standing::who_disagrees(session) {
        return (SignOff::Unsigned, format!("{taken}, {disagrees}"));
    }
    if !session.results.solution.fit.scale_known() {
        return (SignOff::ToSign, format!("{taken}, scale not known yet"));
    }
    if let Some(measure) = standing::waiting(session).next() {
        let name = job.reading_name(&measure.id);
        return (SignOff::ToSign, format!("{taken}, {name} waits for picks"));
    }
    let unchecked = standing::unchecked(session).count();
    match unchecked {
        0 => (SignOff::Signed, format!("{taken}, all agree")),
        1 => {
            let name = standing::unchecked(session).next().map(|m| job.reading_name(&m.id)).unwrap_or_default();
            (SignOff::ToSign, format!("{taken}, nothing checks {name}"))
        }
        many => (SignOff::ToSign, format!("{taken}, nothing checks {} of them", standing::in_words(many))),
    }
}

fn outline(session: &Session) -> (SignOff, String) {
    let Some((contour, fit)) = standing::outline(session) else {
        return (SignOff::ToSign, "not started".to_owned());
    };
    let Some(fit) = fit else {
        return (SignOff::ToSign, format!("{}, not on the plate yet", count(contour.nodes.len(), "node", "nodes")));
    };
    if !fit.crossings.is_empty() {
        return (SignOff::Unsigned, "crosses itself".to_owned());
    }
    if !contour.closed {
        let state = match fit.gaps.first() {
            Some(gap) if session.results.solution.fit.scale_known() => {
                format!("open, gap {}", Lengths::of(session).with_unit(gap.width_mm()))
            }
            _ => format!("open, {}", count(contour.nodes.len(), "node", "nodes")),
        };
        return (SignOff::ToSign, state);
    }
    let arcs = fit.cut.segments.iter().filter(|segment| segment.bulge != 0.0).count();
    let lines = fit.cut.segments.len() - arcs;
    let pieces = match (lines, arcs) {
        (0, arcs) => count(arcs, "arc", "arcs"),
        (lines, 0) => count(lines, "line", "lines"),
        (lines, arcs) => format!("{}, {}", count(lines, "line", "lines"), count(arcs, "arc", "arcs")),
    };
    (SignOff::Signed, format!("closed, {pieces}"))
}

fn cut(session: &Session) -> (SignOff, String) {
    let scale = session.results.solution.fit.scale_known();
    let closed = standing::outline(session).is_some_and(|(contour, _)| contour.closed);
    match (scale, closed) {
        (false, false) => return (SignOff::ToSign, "waits for 30 and 40".to_owned()),
        (false, true) => return (SignOff::ToSign, "waits for 30".to_owned()),
        (true, false) => return (SignOff::ToSign, "waits for 40".to_owned()),
        (true, true) => {}
    }
    let failing = standing::failing(session).count();
    if failing > 0 {
        let verb = if failing == 1 { "check fails" } else { "checks fail" };
        return (SignOff::Unsigned, format!("{} {verb}", standing::in_words(failing)));
    }
    let other = session.results.checks.iter().filter(|check| check.verdict != Verdict::Pass).count();
    let state = match other {
        0 => "every check passes".to_owned(),
        other => format!("no check fails, {} to bear in mind", standing::in_words(other)),
    };
    let mirrored = standing::job(session).is_some_and(|job| job.design.mirrored);
    (SignOff::Signed, if mirrored { format!("{state}; cut from the other side") } else { state })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::job::{Group, Job, Trial};

    #[test]
    fn without_a_photo_nothing_is_signed() {
        for operation in Operation::ALL {
            let (sign, state) = sign_off(&Session::default(), operation);
            assert_eq!(sign, SignOff::ToSign, "{operation:?}");
            assert!(!state.is_empty(), "{operation:?} says what it waits for");
        }
    }

    #[test]
    fn a_hole_with_two_picks_is_named() {
        let session = samples::session(samples::job_with_picks(2));
        let (sign, state) = sign_off(&session, Operation::Holes);
        assert_eq!((sign, state.as_str()), (SignOff::ToSign, "H1 has two of three picks"), "too few picks");
    }

    #[test]
    fn a_measure_that_disagrees_takes_the_signature_away() {
        let mut session = samples::session(samples::plate());
        samples::give_results(&mut session, samples::disagreeing());
        let (sign, state) = sign_off(&session, Operation::Measures);
        assert_eq!((sign, state.as_str()), (SignOff::Unsigned, "2 taken, M2 disagrees"), "named");
        samples::give_results(&mut session, samples::agreeing());
        let (sign, state) = sign_off(&session, Operation::Measures);
        assert_eq!((sign, state.as_str()), (SignOff::Signed, "2 taken, all agree"), "signed");
    }

    #[test]
    fn a_measure_that_nothing_checks_is_not_signed() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::agreeing();
        solution.measures[1].verdict = platewright_core::solution::MeasureVerdict::Unchecked;
        samples::give_results(&mut session, solution);
        let (sign, state) = sign_off(&session, Operation::Measures);
        assert_eq!((sign, state.as_str()), (SignOff::ToSign, "2 taken, nothing checks M2"), "named");
    }

    #[test]
    fn a_measure_that_waits_is_not_said_to_agree() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::agreeing();
        solution.measures[1].verdict = platewright_core::solution::MeasureVerdict::Waits;
        samples::give_results(&mut session, solution);
        let (sign, state) = sign_off(&session, Operation::Measures);
        assert_eq!((sign, state.as_str()), (SignOff::ToSign, "2 taken, M2 waits for picks"), "named");
        assert_eq!(standing::counted(&session), 1, "one counts");
    }

    #[test]
    fn the_proof_is_signed_once_it_went_on_every_stud() {
        let mut job = samples::plate();
        job.groups.push(Group { fastener: Some("M6".to_owned()), ..Group::new(Id::from("studs")) });
        job.holes.iter_mut().take(3).for_each(|hole| hole.group = Some(Id::from("studs")));
        job.holes[2].keep = false;
        let state = |job: &Job| sign_off(&samples::session(job.clone()), Operation::Proof);
        assert_eq!(state(&job), (SignOff::ToSign, "not tried on yet".to_owned()), "nothing was tried");
        let say = |job: &mut Job, round: u32, hole: usize, outcome: Outcome| {
            let (id, hole) = (job.free_id("t"), job.holes[hole].id.clone());
            job.trials.push(Trial { id, hole, round, outcome, towards_deg: None, mm: None, at_mm: None });
        };
        say(&mut job, 1, 0, Outcome::WentOn);
        say(&mut job, 1, 3, Outcome::WentOn);
        assert_eq!(state(&job), (SignOff::ToSign, "went on, but H2 is not tried".to_owned()), "one is left");
        say(&mut job, 1, 1, Outcome::WentOn);
        assert_eq!(state(&job), (SignOff::Signed, "went on all two".to_owned()), "every kept hole with a stud");
        say(&mut job, 2, 0, Outcome::Touched);
        assert_eq!(state(&job), (SignOff::ToSign, "tried: H1 touched".to_owned()), "the next plate counts");
    }

    #[test]
    fn the_cut_waits_for_scale_and_outline_and_then_for_its_checks() {
        let mut session = samples::session(samples::plate());
        assert_eq!(sign_off(&session, Operation::Cut).1, "waits for 30 and 40", "neither");
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(sign_off(&session, Operation::Cut).1, "waits for 40", "no outline");
        let mut session = samples::session(samples::plate_with_outline(true));
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(sign_off(&session, Operation::Cut).0, SignOff::Signed, "no check at fault");
        session.results.checks = vec![samples::check(Verdict::Fail), samples::check(Verdict::Pass)];
        assert_eq!(sign_off(&session, Operation::Cut), (SignOff::Unsigned, "one check fails".to_owned()), "one fails");
    }
}
