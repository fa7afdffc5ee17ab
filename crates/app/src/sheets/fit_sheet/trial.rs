//! After the trial: what happened at each stud, and what explains it.

mod cause;
mod entry;

pub(super) use entry::read_of;

use super::{note, table_head};
use crate::command::Command;
use crate::controls::{Button, DropDown, say_in, switch};
use crate::session::Session;
use crate::sheets::figure_field::Figure;
use crate::sheets::figures::Lengths;
use crate::theme::{self, Colours, Lettering};
use egui::{Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo, vec2};
use platewright_core::job::{Edit, Hole, Job, Outcome, Trial, TriedOn, listed};
use platewright_core::solution::{Solution, said_fastener};
use platewright_core::space::PlateVec;

/// Room for a hole's name and for its dial.
const NAME: f32 = 34.0;
const DIAL: f32 = 26.0;
/// A sheet less wide than this has the switch on a line of its own.
const ONE_LINE_FROM: f32 = 330.0;
/// Radii of the ring of a dial and of its dot.
const RING: f32 = 9.0;
const DOT: f32 = 4.5;

const OUTCOMES: [(Outcome, &str); 4] = [
    (Outcome::WentOn, "went on"),
    (Outcome::Touched, "touched"),
    (Outcome::WouldNotGo, "will not go"),
    (Outcome::NotTried, "not tried"),
];

const ON: [(TriedOn, &str); 3] =
    [(TriedOn::Paper, "paper"), (TriedOn::PrintedPlate, "printed plate"), (TriedOn::CutPlate, "cut plate")];

/// Sides of a hole, each with its angle from x towards y, degrees.
const SIDES: [(f64, &str); 8] = [
    (180.0, "left"),
    (135.0, "upper left"),
    (90.0, "upper"),
    (45.0, "upper right"),
    (0.0, "right"),
    (-45.0, "lower right"),
    (-90.0, "lower"),
    (-135.0, "lower left"),
];

/// The block.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    let lengths = Lengths::of(session);
    table_head(ui, "After the trial", &format!("on the studs, {}", lengths.unit()));
    let studs = entry::studs(&job, &session.results.solution);
    if job.trials.is_empty() && (studs.is_empty() || !session.results.solution.fit.scale_known()) {
        note(ui, &waits(&job, !studs.is_empty()));
        return;
    }
    let printer = session.settings.proof.printer;
    let tried = job.tried.unwrap_or_default();
    if let Some(on) = switch(ui, "Tried on", tried.on, &ON, ui.available_width()) {
        let edit = entry::tried_on(on, &printer);
        commands.push(Command::Edit("say what was tried on".to_owned(), vec![edit]));
    }
    ui.add_space(4.0);
    if job.last_round() > 1 {
        note(ui, &format!("Trial {}. What the earlier ones showed counts as well.", job.last_round()));
    }
    for hole in &studs {
        ui.push_id(("trial", &hole.id.0), |ui| row(ui, session, &job, hole, lengths, commands));
    }
    let touching = job.last_trials().any(|trial| matches!(trial.outcome, Outcome::Touched | Outcome::WouldNotGo));
    if touching {
        note(ui, &which_side(&job, &session.results.solution));
    }
    if let Some(words) = without_stud(&job, &studs) {
        note(ui, &words);
    }
    cause::show(ui, session, &job);
    ways_out(ui, session, &job, commands);
}

/// Another plate, or no trial at all.
fn ways_out(ui: &mut Ui, session: &Session, job: &Job, commands: &mut Vec<Command>) {
    if job.trials.is_empty() {
        return;
    }
    let (solution, printer) = (&session.results.solution, &session.settings.proof.printer);
    let may_begin = job.last_trials().any(|trial| trial.outcome != Outcome::NotTried);
    let is_newer = job.tried.is_some_and(|tried| tried.print.is_some_and(|print| print != printer.number));
    if may_begin && is_newer {
        note(ui, "A proof was written since. What it shows is a trial of its own: try it on again.");
    }
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        if may_begin {
            let again = Button::quiet("Try it on again").show(ui);
            let meant = "With a new proof or plate: it has its holes where they are now. What this trial showed stays.";
            if again.on_hover_text(meant).clicked() {
                let edits = entry::again(job, solution, printer);
                commands.push(Command::Edit("try it on again".to_owned(), edits));
            }
        }
        if Button::quiet("Take the trial out").show(ui).clicked() {
            commands.push(Command::Edit("take the trial out".to_owned(), entry::taken_out(job)));
        }
    });
}

/// Why there is nothing to be tried yet.
fn waits(job: &Job, has_studs: bool) -> String {
    let says_any = job.holes.iter().any(|hole| hole.keep && said_fastener(job, hole).is_some());
    if has_studs {
        "Once the size is known, print the proof, try it on, and say here what happened.".to_owned()
    } else if says_any {
        "Once the holes with a fastener are found, say here what happened at each.".to_owned()
    } else {
        "Say at the holes which fasteners go through: those are tried on.".to_owned()
    }
}

/// What is meant with a side, and with how far.
fn which_side(job: &Job, solution: &Solution) -> String {
    let lies = solution.datum_in_use(job).map_or_else(String::new, |datum| {
        let [origin, along] = [&datum.origin, &datum.along].map(|id| job.feature_name(id));
        format!(", seen with {along} to the right of {origin}")
    });
    let on = if job.design.mirrored { " on the proof, which is mirrored" } else { "" };
    format!("The side of the hole that its stud touches{on}{lies}, and how far the plate has to go that way.")
}

/// `H5, H6 and H7 have no stud.`
fn without_stud(job: &Job, studs: &[&Hole]) -> Option<String> {
    let none = job.holes.iter().filter(|hole| hole.keep && studs.iter().all(|stud| stud.id != hole.id));
    let names: Vec<String> = none.map(|hole| hole.name.clone()).collect();
    let verb = if names.len() == 1 { "has" } else { "have" };
    (!names.is_empty()).then(|| format!("{} {verb} no stud.", listed(&names)))
}

fn row(ui: &mut Ui, session: &Session, job: &Job, hole: &Hole, lengths: Lengths, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let name = &hole.name;
    let trial = job.last_trials().find(|trial| trial.hole == hole.id);
    let now = trial.map_or(Outcome::NotTried, |trial| trial.outcome);
    let whole = ui.available_width();
    let one_line = whole >= ONE_LINE_FROM;
    let mut outcome = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let (rect, _) = ui.allocate_exact_size(vec2(NAME, theme::CONTROL_HEIGHT), Sense::hover());
        let at = rect.left_center();
        ui.painter().text(at, egui::Align2::LEFT_CENTER, name, Lettering::Strong.font(), colours.ink);
        let towards_deg = trial.and_then(|trial| trial.towards_deg).map(|degrees| seen(job, degrees));
        let dial = dial(ui, colours, name, now, towards_deg);
        dial.on_hover_text("The hole with its stud.");
        if one_line {
            outcome = switch(ui, name, now, &OUTCOMES, ui.available_width());
        }
    });
    if !one_line {
        outcome = switch(ui, name, now, &OUTCOMES, whole);
    }
    if let Some(outcome) = outcome {
        let printer = &session.settings.proof.printer;
        let step = entry::step(job, &session.results.solution, printer, &hole.id, outcome);
        commands.push(Command::Edit(format!("say how {name} went on"), step));
    }
    if let Some(trial) = trial.filter(|trial| matches!(trial.outcome, Outcome::Touched | Outcome::WouldNotGo)) {
        offset(ui, job, name, trial, lengths, commands);
    }
}

/// Which side touches, and how far the plate has to go.
fn offset(ui: &mut Ui, job: &Job, name: &str, trial: &Trial, lengths: Lengths, commands: &mut Vec<Command>) {
    let mut problem = None;
    let now = trial.towards_deg.map(|degrees| seen(job, degrees));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().interact_size.y = theme::CONTROL_HEIGHT;
        ui.add_space(NAME + 4.0);
        let room = ui.available_width() - 8.0;
        if let Some(degrees) = side_box(ui, name, now, 0.46 * room) {
            let edit = Edit::PutTrial(Trial { towards_deg: Some(seen(job, degrees)), ..trial.clone() });
            commands.push(Command::Edit(format!("say which side touches at {name}"), vec![edit]));
        }
        let words = format!("Angle of the side that touches at {name}, from x towards y");
        let angle = Figure::number(&words, now, 0, "°").of(&trial.id.0).width(0.24 * room).show(ui);
        if let Some(typed) = angle.value {
            let towards_deg = typed.number().map(|degrees| seen(job, turned_in(degrees)));
            let edit = Edit::PutTrial(Trial { towards_deg, ..trial.clone() });
            commands.push(Command::Edit(format!("say which side touches at {name}"), vec![edit]));
        }
        let words = format!("How far the plate has to go at {name}");
        let far = Figure::length(&words, trial.mm, lengths).or_zero().of(&trial.id.0).width(0.3 * room).show(ui);
        if let Some(typed) = far.value {
            let edit = Edit::PutTrial(Trial { mm: typed.number(), ..trial.clone() });
            commands.push(Command::Edit(format!("say how far off {name} is"), vec![edit]));
        }
        problem = angle.problem.or(far.problem);
    });
    if let Some(problem) = problem {
        say_in(ui, Lettering::Small, theme::colours(ui).disagree_text, &problem);
    }
}

/// An angle of the job as it is seen on what was tried, and back: a mirrored plate has y turned round.
fn seen(job: &Job, degrees: f64) -> f64 {
    if job.design.mirrored { turned_in(-degrees) } else { degrees }
}

/// The same angle in (-180, 180].
fn turned_in(degrees: f64) -> f64 {
    let turned = degrees.rem_euclid(360.0);
    if turned > 180.0 { turned - 360.0 } else { turned }
}

/// The word for the side at this angle, where it is one of the eight.
fn side_word(degrees: f64) -> Option<&'static str> {
    let is_it = |(angle, _): &&(f64, &str)| (turned_in(degrees) - angle).abs() < 0.5;
    SIDES.iter().find(is_it).map(|(_, word)| *word)
}

/// One of eight sides; what was chosen, where it changed, degrees.
fn side_box(ui: &mut Ui, name: &str, towards_deg: Option<f64>, width: f32) -> Option<f64> {
    let now = towards_deg.map(|degrees| side_word(degrees).map_or_else(|| "at an angle".to_owned(), side_words));
    let name = format!("Side that touches at {name}");
    let shown = now.as_deref().unwrap_or("which side");
    let chosen = towards_deg.and_then(|degrees| SIDES.iter().find(|(_, word)| side_word(degrees) == Some(*word)));
    let sides = SIDES.map(|(degrees, word)| (degrees, side_words(word)));
    DropDown { name: &name, shown, width }.show(ui, chosen.map(|(degrees, _)| degrees), sides).1
}

fn side_words(word: &str) -> String {
    format!("{word} side")
}

/// The hole as a ring, its stud as a dot: in the middle, pushed to the side that touched, outside, or not there.
fn dial(ui: &mut Ui, colours: &Colours, name: &str, outcome: Outcome, towards_deg: Option<f64>) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(DIAL, theme::CONTROL_HEIGHT), Sense::hover());
    let middle = rect.center();
    let way = towards_deg.map_or(vec2(0.0, 0.0), |degrees| {
        let PlateVec { x, y } = PlateVec::from_angle(degrees.to_radians());
        vec2(x as f32, -y as f32)
    });
    let (far, colour) = match outcome {
        Outcome::WentOn => (0.0, Some(colours.agree)),
        Outcome::Touched => (RING - DOT, Some(colours.disagree)),
        Outcome::WouldNotGo => (RING, Some(colours.disagree)),
        Outcome::NotTried => (0.0, None),
    };
    let painter = ui.painter();
    let ring = Stroke::new(theme::EDGE, if colour.is_some() { colours.ink } else { colours.line });
    painter.circle(middle, RING, colours.sheet, ring);
    if let Some(colour) = colour {
        // Nobody knows which way: the dot is open.
        if outcome != Outcome::WentOn && towards_deg.is_none() {
            painter.add(Shape::circle_stroke(middle, DOT, Stroke::new(theme::EDGE, colour)));
        } else {
            painter.circle_filled(middle + way * far, DOT, colour);
        }
    }
    let words = dial_words(name, outcome, towards_deg);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    response
}

/// The dial in words.
fn dial_words(name: &str, outcome: Outcome, towards_deg: Option<f64>) -> String {
    let side = towards_deg.map(|degrees| {
        side_word(degrees)
            .map_or_else(|| format!("{degrees:.0}° from x"), |word| format!("the {} of the hole", side_words(word)))
    });
    match (outcome, side) {
        (Outcome::WentOn, _) => format!("Stud of {name}: in the hole"),
        (Outcome::Touched, Some(side)) => format!("Stud of {name}: touches at {side}"),
        (Outcome::Touched, None) => format!("Stud of {name}: touches"),
        (Outcome::WouldNotGo, Some(side)) => format!("Stud of {name}: stands beyond {side}"),
        (Outcome::WouldNotGo, None) => format!("Stud of {name}: in the way"),
        (Outcome::NotTried, _) => format!("Stud of {name}: not tried"),
    }
}
