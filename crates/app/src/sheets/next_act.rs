//! The one next act, as the status line says it: a verb first, the key last.

use super::figures::between_words;
use super::standing::{self, PICKS_OF_A_HOLE};
use crate::command::Action;
use crate::draft::PICKS_OF_AN_EDGE;
use crate::session::{Instrument, MeasureDraft, Operation, Session, Sort, StatementDraft};
use platewright_core::check::Check;
use platewright_core::job::{Hole, Job, MeasureKind, StatementKind};

/// The one next act.
pub(super) fn next_act(session: &Session) -> String {
    let Some(job) = standing::job(session) else {
        let is_left = !session.left.is_empty();
        let work = "Go on with the unsaved work, or throw it away.";
        return if is_left { work } else { "Open a photo of a flat part, or try the demo job." }.to_owned();
    };
    let screen = &session.screen;
    if let Some(edge) = job.edges.iter().find(|edge| screen.picking_edge.as_ref() == Some(&edge.id)) {
        let name = &edge.name;
        return if edge.along.len() < PICKS_OF_AN_EDGE {
            format!("Click a second place along {name}, well away from the first.")
        } else {
            format!("Click more places along {name} to hold it better, or end it with Enter.")
        };
    }
    if let Some(adding) = &screen.adding {
        let name = adding.shown_name();
        return match crate::adding::bases(adding).as_slice() {
            [] => format!("Click the hole or point that {name} is placed from, or type where it goes."),
            _ => format!("Type where {name} goes and how large it is, then press Enter."),
        };
    }
    if let Some(stating) = &screen.stating {
        return act_of_statement(stating);
    }
    if let Some(draft) = &screen.draft {
        return act_of_draft(job, draft, screen.instrument);
    }
    if let Some(hole) = screen.picking.as_ref().and_then(|id| job.hole(id)) {
        return act_of_picking(hole);
    }
    if screen.proposing {
        return "Click on the face of the part, away from its edge and its holes.".to_owned();
    }
    if screen.proposal.is_some() {
        return "Tick what is outline and opening, then take it with Enter, or leave it with Esc.".to_owned();
    }
    if let Some(contour) = screen.tracing.as_ref().and_then(|id| job.contour(id)) {
        return match contour.nodes.len() {
            0 => "Click the first node, on the edge.".to_owned(),
            1 | 2 => "Click the next node along the edge.".to_owned(),
            _ => "Click along the edge, or join it to its first node with J.".to_owned(),
        };
    }
    act_of_operation(session, job)
}

fn act_of_draft(job: &Job, draft: &MeasureDraft, instrument: Instrument) -> String {
    if let Some(wanted) = draft.wants(job) {
        let which = if draft.between.is_empty() { "first" } else { "second" };
        return match (draft.kind, wanted) {
            (MeasureKind::Diameter, _) => "Click the hole that is measured across.".to_owned(),
            (MeasureKind::RimToEdge, Sort::Hole) if draft.between.is_empty() => {
                "Click the hole, then click along the edge.".to_owned()
            }
            (MeasureKind::RimToEdge, Sort::Hole) => "Click the hole of the measure.".to_owned(),
            (MeasureKind::RimToEdge, _) => along("the edge"),
            (_, Sort::Edge) => along(&format!("the {which} edge")),
            (_, what) => format!("Click the {which} {} of the measure.", what.name()),
        };
    }
    let tool = match instrument {
        Instrument::Caliper => "caliper",
        Instrument::Rule => "rule",
        Instrument::Tape => "tape",
        Instrument::Own { .. } => "instrument",
    };
    let names: Vec<&str> = draft.between.iter().map(|id| job.feature_name(id)).collect();
    let pair = names.join(" and ");
    let place = match draft.kind {
        MeasureKind::FarRims => format!("between the far sides of {pair}"),
        MeasureKind::NearRims => format!("between the near sides of {pair}"),
        MeasureKind::Centres => format!("from centre to centre of {pair}"),
        MeasureKind::Diameter => format!("across {pair}"),
        MeasureKind::Points | MeasureKind::Edges => format!("between {pair}"),
        MeasureKind::RimToEdge => format!("from the rim of {}", names.join(" to ")),
    };
    format!("Type what the {tool} reads {place}, then press Enter.")
}

/// How an edge is clicked.
fn along(edge: &str) -> String {
    format!("Click two places or more along {edge}, or click an edge that is there.")
}

fn act_of_statement(stating: &StatementDraft) -> String {
    match (stating.kind, stating.between.len()) {
        (StatementKind::Square, 0) => along("the first edge of the corner"),
        (StatementKind::Square, 1) => along("the second edge of the corner"),
        (StatementKind::Straight, 0) => along("the edge that the points lie on"),
        (StatementKind::Straight, 1) => "Click a point that lies on the edge.".to_owned(),
        (StatementKind::Straight, _) => "Click more points on the edge, or press Enter.".to_owned(),
        (StatementKind::Square, _) => "Type how far it may be off, or press Enter.".to_owned(),
    }
}

fn act_of_picking(hole: &Hole) -> String {
    let name = &hole.name;
    match hole.rim.len() {
        0 => format!("Click three times on the rim of {name}, well apart."),
        1 => format!("Click a second place on the rim of {name}, a third of the way round."),
        2 => format!("Click a third place on the rim of {name}, well away from the others."),
        _ => format!("Click the rim of {name} once more to hold it better, or leave it with Esc."),
    }
}

fn act_of_outline(session: &Session) -> String {
    let Some((contour, _)) = standing::outline(session) else {
        let has_map = session.results.solution.map.is_some();
        let propose = "Propose the outline with P, or click its first node on the edge.";
        return if has_map { propose } else { "Click the first node of the outline, on the edge." }.to_owned();
    };
    let mut failing = standing::failing(session).filter(|_| contour.closed);
    if let Some(check) = failing.find(|check| check.about.as_ref() == Some(&contour.id)) {
        return put_right(check);
    }
    match (contour.closed, contour.follow_edge) {
        (false, false) => "Click the next node, or join the outline straight with J.",
        (false, true) => "Click the next node, or join the outline with J.",
        (true, true) => "See how the cut lies to the edge with W, or go to the cut with 6.",
        (true, false) => "Drag the nodes on to the edge, or go to the cut with 6.",
    }
    .to_owned()
}

fn act_of_operation(session: &Session, job: &Job) -> String {
    let found = session.results.solution.holes.len();
    match session.screen.operation {
        Operation::Photo => "Say how the camera was held, then go to the holes with 2.".to_owned(),
        Operation::Holes => match (standing::unfinished_hole(job), found) {
            (Some(hole), _) => {
                let missing = PICKS_OF_A_HOLE - hole.rim.len();
                let missing = if missing == 1 {
                    "once more".to_owned()
                } else {
                    format!("{} times more", standing::in_words(missing))
                };
                format!("Choose {} and click {missing} on its rim.", hole.name)
            }
            (None, 0) => "Click three times on the rim of a hole, well apart.".to_owned(),
            (None, _) if session.screen.offers.is_some() => {
                "Tick the rims that are holes, then add them with A.".to_owned()
            }
            (None, 1) => "Find the others with F, or click three times on the rim of the next hole.".to_owned(),
            (None, _) => "Click the rims of the other holes, or go to the measures with 3.".to_owned(),
        },
        Operation::Measures => act_of_measures(session, job),
        Operation::Outline => act_of_outline(session),
        Operation::Proof => act_of_proof(session, job),
        Operation::Cut => standing::failing(session).next().map_or_else(
            || {
                let key = Action::Write.key_text().unwrap_or_default();
                format!("Write {} with {key}.", session.screen.export().called())
            },
            put_right,
        ),
    }
}

fn act_of_proof(session: &Session, job: &Job) -> String {
    if !session.results.solution.fit.scale_known() {
        return "Go to the measures with 3: a proof needs the size of the part.".to_owned();
    }
    let key = Action::Write.key_text().unwrap_or_default();
    let called = session.screen.export().called();
    if job.trials.is_empty() {
        format!("Write {called} with {key}, then try it on and say how it went.")
    } else {
        "Say how it went at every hole, then go to the cut with 6.".to_owned()
    }
}

fn act_of_measures(session: &Session, job: &Job) -> String {
    if let Some(measure) = standing::worst_measure(session) {
        if !session.results.solution.unsaid_breaks.is_empty() {
            return "Look at the rims: where their edges are broken, say so on the sheet.".to_owned();
        }
        if let Some(suspects) = standing::equally_suspect(session) {
            let names = job.reading_names(&suspects.ids);
            return match &suspects.tell_apart {
                Some(next) => {
                    format!(
                        "Measure {} to tell which of {names} is misread: type it with T.",
                        between_words(job, &next.between)
                    )
                }
                None => format!("Measure {names} again: one of them is misread."),
            };
        }
        let name = job.reading_name(&measure.id);
        return format!("Measure {name} again, or leave it out.");
    }
    if session.results.solution.holes.is_empty() && job.points.len() < 2 {
        return "Mark a hole first: go to the holes with 2.".to_owned();
    }
    match session.asked_next() {
        Some(next) => {
            let place = between_words(job, &next.between);
            format!("Measure {place}, {}, and type it with T.", next.kind.words())
        }
        None => "Choose a kind of measure on the card, then click what it lies between.".to_owned(),
    }
}

fn put_right(check: &Check) -> String {
    format!("Put right the check ‘{}’: {}", check.name, way_out(&check.text))
}

/// The way out that a check's text ends with, as the end of a sentence.
fn way_out(text: &str) -> String {
    let text = text.trim();
    let last = text.trim_end_matches('.').rsplit_once(". ").map_or(text, |(_, last)| last);
    lower(last.trim_end_matches('.')) + "."
}

fn lower(name: &str) -> String {
    let mut chars = name.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::job::Id;

    #[test]
    fn an_empty_window_asks_for_a_photo() {
        assert_eq!(next_act(&Session::default()), "Open a photo of a flat part, or try the demo job.", "nothing open");
    }

    #[test]
    fn each_pick_of_a_hole_is_asked_for_in_turn() {
        let mut session = samples::session(samples::job_with_picks(0));
        session.screen.operation = Operation::Holes;
        assert!(next_act(&session).starts_with("Choose H1 and click three times more"), "{}", next_act(&session));
        let beginnings = [
            "Click three times on the rim of H1",
            "Click a second place",
            "Click a third place",
            "Click the rim of H1 once more",
        ];
        for (picks, beginning) in beginnings.iter().enumerate() {
            let mut session = samples::session(samples::job_with_picks(picks));
            session.screen.picking = Some(Id::from("h1"));
            let said = next_act(&session);
            assert!(said.starts_with(beginning), "{picks} picks: {said}");
        }
    }

    #[test]
    fn a_measure_in_hand_asks_for_its_features_and_then_for_its_value() {
        let mut session = samples::session(samples::plate());
        session.screen.operation = Operation::Measures;
        session.screen.draft = Some(MeasureDraft::new(MeasureKind::NearRims));
        assert_eq!(next_act(&session), "Click the first hole of the measure.", "nothing clicked");
        if let Some(draft) = &mut session.screen.draft {
            draft.between = vec![Id::from("h1"), Id::from("h2")];
        }
        let said = next_act(&session);
        assert_eq!(
            said, "Type what the caliper reads between the near sides of H1 and H2, then press Enter.",
            "{said}"
        );
        session.screen.instrument = Instrument::Rule;
        assert!(next_act(&session).starts_with("Type what the rule reads"), "by the instrument");
    }

    #[test]
    fn a_measure_that_disagrees_comes_before_the_next_one() {
        let mut session = samples::session(samples::plate());
        session.screen.operation = Operation::Measures;
        samples::give_results(&mut session, samples::disagreeing());
        assert_eq!(next_act(&session), "Measure M2 again, or leave it out.", "the one at fault");
    }

    #[test]
    fn an_outline_in_hand_says_how_to_close_it() {
        let mut session = samples::session(samples::plate_with_outline(false));
        session.screen.operation = Operation::Outline;
        assert!(next_act(&session).ends_with("with J."), "{}", next_act(&session));
        let mut session = samples::session(samples::plate_with_outline(true));
        session.screen.operation = Operation::Outline;
        assert!(next_act(&session).ends_with("with 6."), "{}", next_act(&session));
    }

    #[test]
    fn a_check_that_fails_is_said_with_its_way_out() {
        assert_eq!(way_out("The outline has a gap of 4.6 mm. Join it."), "join it.", "the last sentence");
        assert_eq!(way_out("No fastener is named"), "no fastener is named.", "the only one");
    }

    #[test]
    fn every_act_begins_with_a_capital_and_ends_with_a_full_stop() {
        for operation in Operation::ALL {
            for job in [samples::job_with_picks(0), samples::plate(), samples::plate_with_outline(true)] {
                let mut session = samples::session(job);
                session.screen.operation = operation;
                let said = next_act(&session);
                assert!(said.ends_with('.') && said.starts_with(char::is_uppercase), "{operation:?}: {said}");
            }
        }
    }
}
