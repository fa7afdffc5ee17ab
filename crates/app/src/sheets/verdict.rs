//! How things stand, in a sentence: the head of the fit sheet.

use super::figures::{Lengths, between_words, count};
use super::standing::{self, Fasteners, in_words};
use super::tone::Tone;
use crate::controls::Icon;
use crate::odds;
use crate::session::{Operation, Session};
use platewright_core::check::Check;
use platewright_core::job::{Contour, Id, Job, Outcome, capital, listed};
use platewright_core::solution::{ContourFit, Finding, MeasureFit, NextMeasure, Suspects, Weight};
use std::fmt::Write as _;

/// How things stand, with what can be done about it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Verdict {
    /// Its colour.
    pub(super) tone: Tone,
    /// Its icon.
    pub(super) icon: Icon,
    /// One sentence.
    pub(super) sentence: String,
    /// What it means and what to do, one sentence or two.
    pub(super) explanation: String,
    /// What can be done about it, the best first.
    pub(super) offers: Vec<Offer>,
}

/// Something that can be done about how things stand.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Offer {
    /// Types a measure's value anew.
    MeasureAgain(Id, String),
    /// Leaves a measure out.
    LeaveOut(Id, String),
    /// Types this measure; the words say what for.
    Take(NextMeasure, String),
    /// Types the measure that helps most.
    TypeNext,
    /// Says that the edges that look broken are.
    SayBroken,
    /// Joins the open outline.
    Join,
    /// Brings a thing into sight.
    Show(Id),
    /// Brings a hole into sight whose rim would explain a misfit.
    ShowRim(Id, String),
    /// Opens another operation.
    Go(Operation),
}

impl Offer {
    /// Its words.
    pub(super) fn words(&self) -> String {
        match self {
            Self::MeasureAgain(_, name) => format!("Measure {name} again"),
            Self::LeaveOut(_, name) => format!("Leave {name} out"),
            Self::Take(_, words) => words.clone(),
            Self::TypeNext => "Type it".to_owned(),
            Self::SayBroken => "Say that it is so".to_owned(),
            Self::Join => "Join it".to_owned(),
            Self::Show(_) => "Show".to_owned(),
            Self::ShowRim(_, name) => format!("Show the rim of {name}"),
            Self::Go(operation) => format!("Go to {}", operation.name().to_lowercase()),
        }
    }
}

impl Verdict {
    /// What it is about, where that is one thing.
    pub(super) fn subject(&self) -> Option<&Id> {
        self.offers.iter().find_map(|offer| match offer {
            Offer::MeasureAgain(id, _) | Offer::LeaveOut(id, _) | Offer::Show(id) => Some(id),
            _ => None,
        })
    }

    fn new(tone: Tone, sentence: impl Into<String>, explanation: impl Into<String>) -> Self {
        let (sentence, explanation) = (sentence.into(), explanation.into());
        Self { tone, icon: tone.icon(), sentence, explanation, offers: Vec::new() }
    }

    fn offering(mut self, offers: impl IntoIterator<Item = Offer>) -> Self {
        self.offers.extend(offers);
        self
    }
}

/// How things stand for the open operation; `None` while nothing is open.
pub(super) fn verdict(session: &Session) -> Option<Verdict> {
    let job = standing::job(session)?;
    Some(match session.screen.operation {
        Operation::Outline => of_outline(session),
        Operation::Cut => of_cut(session, job),
        Operation::Proof => of_trial(job).unwrap_or_else(|| of_places(session, job)),
        _ => of_places(session, job),
    })
}

fn of_places(session: &Session, job: &Job) -> Verdict {
    if let Some(verdict) = of_beginning(session, job) {
        return verdict;
    }
    let disagreeing = standing::worst_measure(session);
    if disagreeing.is_some() && !session.results.solution.unsaid_breaks.is_empty() {
        return of_breaks(job, &session.results.solution.unsaid_breaks);
    }
    if let Some(suspects) = standing::equally_suspect(session) {
        return of_suspects(session, job, suspects).offering(suspect_rims(session, job));
    }
    if let Some(measure) = disagreeing {
        return of_disagreement(session, job, measure).offering(suspect_rims(session, job));
    }
    let solution = &session.results.solution;
    if let Some(finding) = solution.findings.iter().find(|finding| finding.weight == Weight::Disagrees) {
        return of_finding(finding, Tone::Disagrees);
    }
    if !solution.fit.scale_known() {
        return of_unknown_scale(session, job);
    }
    if let Some(ambiguity) = &solution.fit.ambiguous {
        let moves = Lengths::of(session).with_unit(ambiguity.moves_mm);
        let name = job.feature_name(&ambiguity.hole);
        let settle = ambiguity.settle.as_ref().or(solution.measure_next.first());
        let call = settle.map(|next| next.call(job));
        let will_be = call.as_ref().map_or_else(String::new, |call| format!(" {call} and it will be."));
        let explanation = format!("By the other one {name} lies {moves} elsewhere.{will_be}");
        return Verdict::new(Tone::NotKnown, "The tilt is not settled: two positions of the camera fit.", explanation)
            .offering(settle.cloned().zip(call).map(|(next, call)| Offer::Take(next, call)));
    }
    of_worst_hole(session, job)
}

/// The last plate that was tried did not go on: whatever is computed, that comes first.
fn of_trial(job: &Job) -> Option<Verdict> {
    let blocked = standing::tried(job, Outcome::WouldNotGo);
    let touched = standing::tried(job, Outcome::Touched);
    let explanation =
        "What explains it best is named below. Put that right, and try the next plate before anything is cut.";
    if !blocked.is_empty() {
        let sentence = format!("The plate would not go on at {}.", listed(&blocked));
        return Some(Verdict::new(Tone::Fails, sentence, explanation));
    }
    (!touched.is_empty())
        .then(|| Verdict::new(Tone::Caution, format!("The plate touched at {}.", listed(&touched)), explanation))
}

/// The rims that would explain the misfit as well, to be looked at.
fn suspect_rims(session: &Session, job: &Job) -> Vec<Offer> {
    let rims = session.results.solution.suspect_rims.iter();
    rims.map(|id| Offer::ShowRim(id.clone(), job.feature_name(id).to_owned())).collect()
}

/// Edges that look broken explain measures that disagree.
fn of_breaks(job: &Job, holes: &[Id]) -> Verdict {
    let sentence = match holes {
        [one] => format!("The edge of {} looks broken.", job.feature_name(one)),
        _ => format!("The edges of {} holes look broken.", in_words(holes.len())),
    };
    let explanation =
        "Within the rim a bore is seen, and jaws touch the bore: measures disagree where that is not said.";
    let show = holes.first().cloned().map(Offer::Show);
    Verdict::new(Tone::Disagrees, sentence, explanation).offering([Offer::SayBroken].into_iter().chain(show))
}

fn of_beginning(session: &Session, job: &Job) -> Option<Verdict> {
    if job.holes.is_empty() && job.points.is_empty() {
        let verdict = Verdict::new(
            Tone::NotKnown,
            "No hole is marked yet.",
            "Three clicks on its rim make a hole. Two holes and one measure give the size, four holes or more the tilt.",
        );
        let elsewhere = session.screen.operation != Operation::Holes;
        return Some(verdict.offering(elsewhere.then_some(Offer::Go(Operation::Holes))));
    }
    let hole = standing::unfinished_hole(job)?;
    let in_hand = session.screen.operation == Operation::Holes || session.results.solution.holes.is_empty();
    in_hand.then(|| {
        let have = match hole.rim.len() {
            0 => "no pick yet".to_owned(),
            1 => "one pick".to_owned(),
            more => format!("{} picks", in_words(more)),
        };
        let explanation = format!("It has {have}; three on its rim, well apart, make it a hole.");
        Verdict::new(Tone::NotKnown, format!("{} is not a hole yet.", hole.name), explanation)
            .offering([Offer::Show(hole.id.clone())])
    })
}

/// Several readings explain the misfit equally well: none is at fault alone, and one more measure tells.
fn of_suspects(session: &Session, job: &Job, suspects: &Suspects) -> Verdict {
    let names = job.reading_names(&suspects.ids);
    let sentence = format!("{} explain the misfit equally well.", capital(&names));
    let take = suspects.tell_apart.as_ref().map(|next| {
        let words = format!("{} to tell which", next.call(job));
        Offer::Take(next.clone(), words)
    });
    let mut explanation = match &take {
        Some(_) => "One of them is misread.".to_owned(),
        None => "One of them is misread. Measure them again.".to_owned(),
    };
    let rims: Vec<&str> = session.results.solution.suspect_rims.iter().map(|id| job.feature_name(id)).collect();
    if !rims.is_empty() {
        let _ = write!(explanation, " Or look at the rim of {}: that would explain it as well.", rims.join(" or "));
    }
    let show = suspects.ids.first().cloned().map(Offer::Show);
    Verdict::new(Tone::Disagrees, sentence, explanation).offering(take.into_iter().chain(show))
}

fn of_disagreement(session: &Session, job: &Job, measure: &MeasureFit) -> Verdict {
    let name = job.reading_name(&measure.id);
    let sentence = format!("{name} does not agree with the rest.");
    let findings = &session.results.solution.findings;
    let found = findings.iter().find(|f| f.about.as_ref() == Some(&measure.id) && f.weight == Weight::Disagrees);
    let ways_out = [
        Offer::MeasureAgain(measure.id.clone(), name.clone()),
        Offer::LeaveOut(measure.id.clone(), name.clone()),
        Offer::Show(measure.id.clone()),
    ];
    let explanation = match found {
        // It cannot be meant at all: the finding's own sentence says more.
        Some(finding) if !finding.text.starts_with(sentence.trim_end_matches('.')) => {
            return Verdict { offers: ways_out.to_vec(), ..of_finding(finding, Tone::Disagrees) };
        }
        Some(finding) => after_the_sentence(&finding.text, &sentence),
        None => own_explanation(session, measure),
    };
    Verdict::new(Tone::Disagrees, sentence, explanation).offering(ways_out)
}

/// The text of a finding without what the sentence above it says already: the same words, or the same up to a colon.
fn after_the_sentence(text: &str, sentence: &str) -> String {
    let stem = sentence.trim_end_matches('.');
    let rest = text.strip_prefix(stem).unwrap_or(text).trim_start_matches([':', '.', ',', ';', ' ']);
    capital(rest)
}

fn own_explanation(session: &Session, measure: &MeasureFit) -> String {
    let lengths = Lengths::of(session);
    let off = measure.misread_mm();
    let side = if off > 0.0 { "long" } else { "short" };
    format!("It reads {} {side}. Measure it again, or leave it out.", lengths.with_unit(off.abs()))
}

fn of_finding(finding: &Finding, tone: Tone) -> Verdict {
    let (sentence, rest) = match finding.text.split_once(". ") {
        Some((first, rest)) => (format!("{first}."), rest.to_owned()),
        None => (finding.text.clone(), String::new()),
    };
    Verdict::new(tone, sentence, rest).offering(finding.about.clone().map(Offer::Show))
}

fn of_unknown_scale(session: &Session, job: &Job) -> Verdict {
    let measures = standing::counted(session);
    let explanation = if measures == 0 {
        format!("One measure across the part sets the scale. {}", would_help(session, job))
    } else {
        format!(
            "{} not enough to set it. {}",
            capital(&format!("{} is", count_measures(measures))),
            would_help(session, job)
        )
    };
    let can_type = !session.results.solution.measure_next.is_empty();
    Verdict::new(Tone::NotKnown, "The size is not known yet.", explanation.trim())
        .offering(can_type.then_some(Offer::TypeNext))
}

fn count_measures(number: usize) -> String {
    if number == 1 { "one measure".to_owned() } else { format!("what the {} measures say", in_words(number)) }
}

/// Which measure would help most, as a sentence; nothing where none is known.
fn would_help(session: &Session, job: &Job) -> String {
    match session.results.solution.measure_next.first() {
        Some(next) => format!("Measure {}, {}.", between_words(job, &next.between), next.kind.words()),
        None if job.holes.len() + job.points.len() < 2 => "Mark a second hole first.".to_owned(),
        None => String::new(),
    }
}

fn of_worst_hole(session: &Session, job: &Job) -> Verdict {
    let lengths = Lengths::of(session);
    let fit = &session.results.solution.fit;
    let Some(worst) = standing::worst_hole_mm(session) else {
        let (sentence, explanation) = if session.results.solution.holes.is_empty() {
            ("The size is known, no hole is yet.", "Three clicks on its rim make a hole.")
        } else {
            ("It takes two holes to say how well they lie.", "Three clicks on its rim make the next one.")
        };
        return Verdict::new(Tone::NotKnown, sentence, explanation);
    };
    let findings = &session.results.solution.findings;
    let holes = &session.results.solution.holes;
    let of_place = |f: &&Finding| f.about.as_ref().is_some_and(|id| holes.iter().any(|hole| hole.id == *id));
    if let Some(finding) = findings.iter().filter(|f| f.weight == Weight::NotKnown).find(of_place) {
        let can_type = !session.results.solution.measure_next.is_empty();
        let verdict = of_finding(finding, Tone::NotKnown);
        let next = can_type.then_some(Offer::TypeNext);
        return Verdict { offers: next.into_iter().chain(verdict.offers.clone()).collect(), ..verdict };
    }
    let good = lengths.plus_minus_with_unit(worst);
    let sentence = format!("Worst hole is good to {good}.");
    let unchecked: Vec<&MeasureFit> = standing::unchecked(session).collect();
    let Some(first) = unchecked.first() else {
        let explanation = [all_agree(standing::counted(session)), of_odds(session, job)];
        let poor = standing::odds(session).is_some_and(|bolt_up| bolt_up.odds < odds::POOR);
        let tone = if poor { Tone::Caution } else { Tone::Agrees };
        return Verdict::new(tone, sentence, explanation.join(" ").trim())
            .offering(fit.worst_hole.clone().map(Offer::Show));
    };
    let found = findings.iter().find(|finding| finding.about.as_ref() == Some(&first.id));
    let explanation = found.map_or_else(
        || format!("Nothing checks {} yet: if it is misread, nobody will notice.", job.reading_name(&first.id)),
        // The measure that is named is the one that the button types.
        |finding| match finding.text.split_once(". ") {
            Some((said, _)) => format!("{said}. {}", would_help(session, job)),
            None => finding.text.clone(),
        },
    );
    let can_type = !session.results.solution.measure_next.is_empty();
    Verdict::new(Tone::Caution, sentence, explanation).offering(can_type.then_some(Offer::TypeNext))
}

/// The odds, or what they wait for.
fn of_odds(session: &Session, job: &Job) -> String {
    match (standing::odds(session), standing::fasteners(job)) {
        (_, Fasteners::NoSuch { hole, typed }) => standing::no_such_fastener(&typed, job.feature_name(&hole)),
        (_, Fasteners::Unsaid) => standing::SAY_FASTENERS.to_owned(),
        (Some(bolt_up), Fasteners::Known) => odds::sentence(bolt_up),
        (None, Fasteners::Known) => "The odds are not known yet.".to_owned(),
    }
}

fn all_agree(measures: usize) -> String {
    match measures {
        0 => String::new(),
        1 => "The one measure sets the scale.".to_owned(),
        2 => "Both measures agree.".to_owned(),
        more => format!("All {} measures agree.", in_words(more)),
    }
}

fn of_outline(session: &Session) -> Verdict {
    let Some((contour, fit)) = standing::outline(session) else {
        return Verdict::new(
            Tone::NotKnown,
            "No outline is drawn yet.",
            "Let the photo propose it, with P, or click along the edge of the part, node by node.",
        );
    };
    let lengths = Lengths::of(session);
    let known = session.results.solution.fit.scale_known();
    if let Some(crossing) = fit.and_then(|fit| fit.crossings.first()) {
        let (first, second) = (crossing.pieces.0 + 1, crossing.pieces.1 + 1);
        let explanation = format!("Pieces {first} and {second} meet. Move a node of one of them.");
        return Verdict::new(Tone::Fails, "The outline crosses itself.", explanation);
    }
    if !contour.closed {
        return of_open_outline(contour, fit, known.then_some(lengths));
    }
    let explanation = match fit {
        Some(fit) if known => match fit.area_mm2 {
            Some(area) => {
                let (round, inside) = (lengths.with_unit(fit.length_mm), area_words(area, lengths));
                format!("{round} round the part, {inside} inside.{}", on_edge_words(fit, lengths))
            }
            None => format!("{} round the part.", lengths.with_unit(fit.length_mm)),
        },
        _ => "Its size is not known yet: one measure sets the scale.".to_owned(),
    };
    let leaves_edge =
        |fit: &ContourFit| fit.measured.as_ref().is_some_and(|measured| measured.worst_mm > measured.allowance_mm());
    if known && fit.is_some_and(leaves_edge) {
        return Verdict::new(Tone::Caution, "The cut leaves the measured edge.", explanation);
    }
    Verdict::new(if known { Tone::Agrees } else { Tone::NotKnown }, "The outline is closed.", explanation)
}

/// How the cut lies to the measured edge, as a further sentence; nothing where none was measured.
fn on_edge_words(fit: &ContourFit, lengths: Lengths) -> String {
    let measured = fit.measured.as_ref().filter(|measured| !measured.places.is_empty());
    measured.map_or_else(String::new, |measured| {
        let [worst, allowed] = lengths.beside_limit(measured.worst_mm, measured.allowance_mm());
        if measured.worst_mm > measured.allowance_mm() {
            format!(" It is cut up to {worst} off its measured edge, where {allowed} is allowed.")
        } else {
            format!(" It is cut within {worst} of its measured edge.")
        }
    })
}

fn of_open_outline(contour: &Contour, fit: Option<&ContourFit>, lengths: Option<Lengths>) -> Verdict {
    let nodes = contour.nodes.len();
    if nodes < 3 {
        let explanation = format!("It has {} so far; go on along the edge.", count(nodes, "node", "nodes"));
        return Verdict::new(Tone::NotKnown, "The outline is begun.", explanation);
    }
    let width = fit.and_then(|fit| fit.gaps.first()).zip(lengths);
    let sentence = match width {
        Some((gap, lengths)) => format!("The outline has one gap, {}.", lengths.with_unit(gap.width_mm())),
        None => "The outline has one gap.".to_owned(),
    };
    let explanation = "Join its ends straight, or click on along the edge.";
    Verdict { icon: Icon::Gap, ..Verdict::new(Tone::Caution, sentence, explanation) }.offering([Offer::Join])
}

/// An area with its unit.
pub(super) fn area_words(area_mm2: f64, lengths: Lengths) -> String {
    if lengths.unit() == "in" {
        let square_inch = platewright_core::units::MM_PER_INCH * platewright_core::units::MM_PER_INCH;
        format!("{:.2} in²", area_mm2 / square_inch)
    } else {
        format!("{:.1} cm²", area_mm2 / 100.0)
    }
}

fn of_cut(session: &Session, job: &Job) -> Verdict {
    let failing: Vec<&Check> = standing::failing(session).collect();
    match failing.as_slice() {
        [] => {}
        [one] => {
            return Verdict::new(Tone::Fails, "One check fails.", one.text.clone())
                .offering(one.about.clone().map(Offer::Show));
        }
        several => {
            let sentence = format!("{} checks fail.", capital(&in_words(several.len())));
            return Verdict::new(Tone::Fails, sentence, "Put right what is marked below, or leave it out.");
        }
    }
    if !session.results.solution.fit.scale_known() {
        return of_unknown_scale(session, job);
    }
    if standing::outline(session).is_none_or(|(contour, _)| !contour.closed) {
        return Verdict::new(Tone::NotKnown, "There is no closed outline to cut.", "Draw it, and join it.")
            .offering([Offer::Go(Operation::Outline)]);
    }
    let other = session.results.checks.iter().filter(|c| Tone::of_check(c.verdict) != Tone::Agrees).count();
    let explanation = match other {
        0 => "Every check passes.".to_owned(),
        1 => "No check fails; one says something to bear in mind.".to_owned(),
        more => format!("No check fails; {} say something to bear in mind.", in_words(more)),
    };
    Verdict::new(Tone::Agrees, "The cut file can be written.", explanation)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::check;
    use platewright_core::solution::{Ambiguity, MeasureVerdict};

    fn of(session: &Session) -> Verdict {
        verdict(session).unwrap()
    }

    fn holds_a_length(text: &str) -> bool {
        text.contains(" mm") || text.contains('±')
    }

    #[test]
    fn an_empty_window_has_no_verdict() {
        assert_eq!(verdict(&Session::default()), None, "nothing to judge");
    }

    #[test]
    fn while_the_scale_is_not_known_no_length_is_said() {
        let mut session = samples::session(samples::holes_only());
        let mut solution = samples::agreeing();
        solution.measures.clear();
        solution.fit.scale_sigma = Some(0.3);
        samples::give_results(&mut session, solution);
        let said = of(&session);
        assert_eq!(said.sentence, "The size is not known yet.", "said plainly");
        assert!(!holds_a_length(&said.explanation), "{}", said.explanation);
    }

    #[test]
    fn the_measure_that_disagrees_most_is_named_with_its_ways_out() {
        let mut session = samples::session(samples::plate());
        samples::give_results(&mut session, samples::disagreeing());
        let said = of(&session);
        assert_eq!(said.sentence, "M2 does not agree with the rest.", "by its place in the list");
        assert!(said.explanation.contains("0.98 mm long"), "{}", said.explanation);
        let words: Vec<String> = said.offers.iter().map(Offer::words).collect();
        assert_eq!(words, ["Measure M2 again", "Leave M2 out", "Show"], "ways out");
    }

    #[test]
    fn when_all_agree_the_worst_hole_is_named() {
        let mut session = samples::session(samples::plate());
        samples::give_results(&mut session, samples::agreeing());
        let said = of(&session);
        // 0.1 mm (1 sigma) times 2.4477 (95 % of a place in the plane).
        assert_eq!(said.sentence, "Worst hole is good to ±0.24 mm.", "at 95 %");
        let unsaid = "Both measures agree. Say which fasteners go through, and the odds follow.";
        assert_eq!((said.tone, said.explanation.as_str()), (Tone::Agrees, unsaid), "all agree");
        assert_eq!(said.offers, [Offer::Show(Id::from("h3"))], "and the worst can be shown");
    }

    #[test]
    fn a_measure_that_nothing_checks_is_named() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::agreeing();
        solution.measures[0].verdict = MeasureVerdict::Unchecked;
        samples::give_results(&mut session, solution);
        let said = of(&session);
        assert_eq!(said.tone, Tone::Caution, "not all well");
        assert!(said.explanation.starts_with("Nothing checks M1 yet"), "{}", said.explanation);
    }

    #[test]
    fn two_camera_positions_are_said_before_any_figure() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::agreeing();
        solution.fit.ambiguous = Some(Ambiguity { hole: Id::from("h3"), moves_mm: 0.4, settle: None });
        samples::give_results(&mut session, solution);
        assert!(of(&session).sentence.starts_with("The tilt is not settled"), "{}", of(&session).sentence);
    }

    #[test]
    fn an_open_outline_offers_to_join_it() {
        let mut session = samples::session(samples::plate_with_outline(false));
        samples::give_results(&mut session, samples::agreeing());
        session.screen.operation = Operation::Outline;
        let said = of(&session);
        assert_eq!((said.icon, said.offers), (Icon::Gap, vec![Offer::Join]), "open");
    }

    #[test]
    fn a_check_that_fails_stands_above_everything_in_the_cut() {
        let mut session = samples::session(samples::plate_with_outline(true));
        samples::give_results(&mut session, samples::agreeing());
        session.screen.operation = Operation::Cut;
        assert_eq!(of(&session).sentence, "The cut file can be written.", "nothing fails");
        session.results.checks = vec![samples::check(check::Verdict::Fail)];
        let said = of(&session);
        assert_eq!((said.tone, said.sentence.as_str()), (Tone::Fails, "One check fails."), "said");
        assert!(said.explanation.contains("between H1 and H2"), "{}", said.explanation);
    }

    #[test]
    fn a_finding_is_not_said_twice() {
        let text = "M3 does not agree with the rest: it is 0.98 mm long. Measure again, or leave it out.";
        let rest = after_the_sentence(text, "M3 does not agree with the rest.");
        assert_eq!(rest, "It is 0.98 mm long. Measure again, or leave it out.", "what the sentence left to say");
    }
}
