//! The measures that would help most, with what each would bring; where none helps, what would.

use super::rows;
use crate::controls::{Head, Icon, link, say};
use crate::session::{Instrument, Session};
use crate::sheets::figures::{Lengths, between_words};
use crate::sheets::terms;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Id, Job};
use platewright_core::solution::{HoleFit, NextMeasure};
use platewright_core::tolerance::K95_PLACE;
use platewright_core::units::format_figure;

/// So many are shown; fewer where the sheet is short.
const SHOWN: usize = 5;
/// So many on a short sheet.
const SHOWN_ON_SHORT: usize = 3;
/// The height of a sheet that has room for all, points.
const ROOM_FOR_ALL: f32 = 620.0;
/// A measure that leaves more than this share of the worst hole's ± does nothing for it.
const NOTHING: f64 = 0.98;

/// `Measure H2 to H7 to tell which`.
pub(super) fn to_tell_which(job: &Job, next: &NextMeasure) -> String {
    format!("{} to tell which", next.call(job))
}

/// The rows; a click starts typing.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    session.screen.pointed_at = None;
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    let colours = theme::colours(ui);
    let lengths = Lengths::of(session);
    let known = session.results.solution.fit.scale_known();
    let solution = std::sync::Arc::clone(&session.results.solution);
    let in_hand = session.screen.draft.as_ref();
    // What changes no figure on screen is not worth a row.
    let shows = |next: &&NextMeasure| {
        let figure = |sigma: f64| lengths.plus_minus(sigma * K95_PLACE);
        !known || figure(next.worst_sigma_before_mm) != figure(next.worst_sigma_after_mm)
    };
    let others = |next: &&NextMeasure| in_hand.is_none_or(|d| d.kind != next.kind || d.between != next.between);
    let shown = if ui.ctx().content_rect().height() < ROOM_FOR_ALL + 120.0 { SHOWN_ON_SHORT } else { SHOWN };
    let rows_to_show: Vec<&NextMeasure> =
        solution.measure_next.iter().filter(shows).filter(others).take(shown).collect();
    let stuck = if in_hand.is_none() { nothing_helps(session, &job) } else { None };
    if rows_to_show.is_empty() && stuck.is_none() {
        return;
    }
    let note = if known { "worst hole now → then" } else { "the longest you reach comes first" };
    let head = Head::new("Measure next").note(note).marked(Icon::NotKnown, colours.unknown_text);
    head.explained(terms::meaning(note)).show(ui);
    let mut picked = None;
    for next in rows_to_show {
        let response = row(ui, &job, next, known.then_some(lengths));
        if response.hovered() || response.has_focus() {
            session.screen.pointed_at = Some(next.clone());
        }
        if response.clicked() {
            picked = Some(next.clone());
        }
    }
    if let Some(stuck) = stuck {
        say(ui, Lettering::Body, &stuck.words);
        if let Some(longer) = stuck.longer
            && link(ui, &format!("Measure with the {}", longer.name().to_lowercase()), None).clicked()
        {
            session.screen.instrument = longer;
        }
    }
    if let Some(next) = picked {
        session.begin_measure(next);
    }
}

/// Nothing in the instrument's reach helps.
struct Stuck {
    words: String,
    longer: Option<Instrument>,
}

/// What to say where no measure in reach helps the worst hole; `None` where one does, or where two holes are not there.
fn nothing_helps(session: &Session, job: &Job) -> Option<Stuck> {
    let solution = &session.results.solution;
    if !solution.fit.scale_known() || solution.holes.len() < 2 {
        return None;
    }
    let lengths = Lengths::of(session);
    let figure = |sigma: f64| lengths.plus_minus(sigma * K95_PLACE);
    let helps = |next: &NextMeasure| {
        next.worst_sigma_after_mm < NOTHING * next.worst_sigma_before_mm
            && figure(next.worst_sigma_after_mm) != figure(next.worst_sigma_before_mm)
    };
    if solution.measure_next.iter().any(helps) {
        return None;
    }
    let tool = session.screen.instrument;
    let reach_mm = tool.facts().reach_mm;
    let longest = longest_reach(&solution.holes);
    let longer = longest.filter(|(mm, _)| *mm > reach_mm).and_then(|(mm, between)| {
        let longer = [Instrument::Rule, Instrument::Tape].into_iter().find(|other| other.facts().reach_mm >= mm)?;
        Some((longer, mm, between))
    });
    let name = match tool {
        Instrument::Own { .. } => "instrument".to_owned(),
        other => other.name().to_lowercase(),
    };
    let worst = solution.fit.worst_hole.as_ref().map_or("the worst hole", |id| job.feature_name(id));
    let stuck = match longer {
        Some((longer, mm, between)) => Stuck {
            words: format!(
                "No measure within reach of the {name}, {}, makes {worst} better known. The {} reaches {}, {}.",
                reach_words(reach_mm, lengths),
                longer.name().to_lowercase(),
                between_words(job, &between),
                lengths.with_unit(mm)
            ),
            longer: Some(longer),
        },
        None => Stuck {
            words: format!("No further measure makes {worst} better known. Zoom in and click more of its rim."),
            longer: None,
        },
    };
    Some(stuck)
}

/// `150 mm`, `5.9 in`.
fn reach_words(mm: f64, lengths: Lengths) -> String {
    if lengths.unit() == "in" {
        format!("{} in", format_figure(mm / platewright_core::units::MM_PER_INCH, 1))
    } else {
        format!("{} mm", format_figure(mm, 0))
    }
}

/// The longest length between far rims, mm, and between which holes.
fn longest_reach(holes: &[HoleFit]) -> Option<(f64, Vec<Id>)> {
    let pairs = holes.iter().enumerate().flat_map(|(index, a)| holes[index + 1..].iter().map(move |b| (a, b)));
    let far =
        |a: &HoleFit, b: &HoleFit| a.centre.distance(b.centre) + f64::midpoint(a.bore_diameter_mm, b.bore_diameter_mm);
    let longest = pairs.map(|(a, b)| (far(a, b), vec![a.id.clone(), b.id.clone()]));
    longest.max_by(|one, other| one.0.total_cmp(&other.0))
}

fn row(ui: &mut Ui, job: &Job, next: &NextMeasure, lengths: Option<Lengths>) -> egui::Response {
    let colours = theme::colours(ui);
    let place = between_words(job, &next.between);
    let kind = next.kind.words();
    let gain = lengths.map(|lengths| {
        let before = lengths.plus_minus(next.worst_sigma_before_mm * K95_PLACE);
        (before, lengths.plus_minus(next.worst_sigma_after_mm * K95_PLACE))
    });
    let spoken = match &gain {
        Some((before, after)) => format!("Measure next: {place}, {kind}, worst hole {before} becomes {after}"),
        None => format!("Measure next: {place}, {kind}"),
    };
    let row = rows::clickable(ui, &spoken, false);
    rows::left(ui, row.rect, 0.0, Lettering::Strong, colours.unknown_text, &place);
    rows::left(ui, row.rect, 92.0, Lettering::Body, colours.soft, kind);
    if let Some((before, after)) = gain {
        let width = row.rect.width();
        rows::right(ui, row.rect, width, Lettering::Strong, colours.ink, &after);
        // Inches have one digit more.
        let room = if after.chars().count() > 5 { 54.0 } else { 46.0 };
        rows::right(ui, row.rect, width - room, Lettering::Body, colours.soft, &format!("{before} →"));
    }
    row.response
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::job::MeasureKind;
    use platewright_core::solution::Ellipse;
    use platewright_core::space::PlatePoint;

    fn hole(id: &str, x: f64) -> HoleFit {
        HoleFit {
            id: Id::from(id),
            centre: PlatePoint::new(x, 0.0),
            rim_diameter_mm: 10.0,
            bore_diameter_mm: 10.0,
            diameter_sigma_mm: 0.01,
            ellipse: Ellipse::default(),
            rim_points: 4,
            is_measured: false,
            rim_rms_px: 0.1,
            picks_off_px: Vec::new(),
        }
    }

    fn said(across_mm: f64, after: Option<f64>) -> Option<Stuck> {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::agreeing();
        solution.holes = vec![hole("h1", 0.0), hole("h2", across_mm)];
        solution.measure_next.extend(after.map(|worst_sigma_after_mm| NextMeasure {
            kind: MeasureKind::FarRims,
            between: vec![Id::from("h1"), Id::from("h2")],
            expected_mm: across_mm + 10.0,
            worst_sigma_before_mm: 0.1,
            worst_sigma_after_mm,
        }));
        samples::give_results(&mut session, solution);
        nothing_helps(&session, &samples::plate())
    }

    #[test]
    fn where_nothing_in_reach_helps_the_longer_instrument_is_named() {
        let stuck = said(190.0, None).unwrap();
        assert_eq!(
            stuck.words,
            "No measure within reach of the caliper, 150 mm, makes H3 better known. The steel rule reaches H1 to H2, \
             200.00 mm."
        );
        assert_eq!(stuck.longer, Some(Instrument::Rule), "the shortest that reaches");
        let stuck = said(400.0, Some(0.099)).unwrap();
        assert_eq!(stuck.longer, Some(Instrument::Tape), "the rule is too short, and a hundredth is no help");
    }

    #[test]
    fn where_all_is_in_reach_the_rim_is_what_helps() {
        let stuck = said(60.0, None).unwrap();
        assert!(stuck.longer.is_none() && stuck.words.contains("click more of its rim"), "{}", stuck.words);
        assert!(said(60.0, Some(0.05)).is_none(), "a measure that helps is asked for");
    }
}
