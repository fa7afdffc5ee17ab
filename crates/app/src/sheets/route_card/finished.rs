//! The size that was measured beside the size that is cut, and the fastener that a measured hole tells of.

use crate::command::Command;
use crate::controls::{Button, say_in};
use crate::session::Session;
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Group, Hole, Job};
use platewright_core::solution::{HoleFit, finished_mm, said_fastener};
use platewright_core::standards::the_one_hole;
use platewright_core::tolerance::K95_FIGURE;

/// What was measured of the chosen hole, and whether what is cut is another size.
pub(super) fn beside_measured(ui: &mut Ui, session: &Session, job: &Job, hole: &Hole) {
    let Some(fit) = fit(session, hole) else { return };
    let (colours, lengths) = (theme::colours(ui), Lengths::of(session));
    let (measured, difference) = sentences(job, hole, fit, lengths);
    say_in(ui, Lettering::Small, colours.soft, &measured);
    if let Some(difference) = difference {
        say_in(ui, Lettering::Small, colours.caution, &difference);
    }
}

/// The hole as it was found; `None` while its size is not known.
fn fit<'a>(session: &'a Session, hole: &Hole) -> Option<&'a HoleFit> {
    let solution = &session.results.solution;
    solution.holes.iter().find(|fit| fit.id == hole.id && solution.fit.scale_known())
}

/// `Measured 6.71 ±0.04 mm.`, and where the size that is cut lies outside of that by how much.
fn sentences(job: &Job, hole: &Hole, fit: &HoleFit, lengths: Lengths) -> (String, Option<String>) {
    let measured_mm = fit.bore_diameter_mm;
    let plus_minus_mm = fit.diameter_sigma_mm * K95_FIGURE;
    let measured = format!("Measured {} {}.", lengths.figure(measured_mm), lengths.plus_minus_with_unit(plus_minus_mm));
    let finished_mm = finished_mm(job, hole, measured_mm);
    let more_mm = finished_mm - measured_mm;
    let is_other = more_mm.abs() > plus_minus_mm && !lengths.is_nothing(more_mm);
    let way = if more_mm > 0.0 { "wider" } else { "narrower" };
    let by = lengths.with_unit(more_mm.abs());
    let difference = || format!("It is cut to {}, {by} {way} than measured.", lengths.with_unit(finished_mm));
    (measured, is_other.then(difference))
}

/// The fastener whose hole alone the measured one can be, offered where none is said. It is never taken unasked.
pub(super) fn offer_fastener(
    ui: &mut Ui,
    session: &Session,
    job: &Job,
    hole: &Hole,
    commands: &mut Vec<Command>,
    with_group: impl Fn(&dyn Fn(Group) -> Group) -> Vec<Edit>,
) {
    let is_sized = hole.group.as_ref().and_then(|id| job.group(id)).is_some_and(|group| group.finished_mm.is_some());
    let Some(fit) = fit(session, hole).filter(|_| said_fastener(job, hole).is_none() && !is_sized) else { return };
    let Some((fastener, class, mm)) = the_one_hole(fit.bore_diameter_mm, fit.diameter_sigma_mm * K95_FIGURE) else {
        return;
    };
    let words = format!("{fastener} {}, {}?", class.name(), Lengths::of(session).with_unit(mm));
    let name = format!("It is the hole of {fastener} {}", class.name());
    if Button::quiet(&words).name(name).width(ui.available_width()).show(ui).clicked() {
        let change = |group: Group| Group {
            fastener: Some(fastener.name().to_owned()),
            clearance: Some(class.name().to_owned()),
            ..group
        };
        commands.push(Command::Edit(format!("say what goes through {}", hole.name), with_group(&change)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::solution::Ellipse;
    use platewright_core::space::PlatePoint;

    #[test]
    fn another_size_than_the_measured_one_is_said() {
        let mut job = samples::with_fastener(samples::plate(), "M6");
        let lengths = Lengths::of(&samples::session(job.clone()));
        let fit = HoleFit {
            id: job.holes[0].id.clone(),
            centre: PlatePoint::default(),
            rim_diameter_mm: 6.71,
            bore_diameter_mm: 6.71,
            diameter_sigma_mm: 0.02,
            ellipse: Ellipse::default(),
            rim_points: 3,
            is_measured: false,
            rim_rms_px: 0.1,
            picks_off_px: Vec::new(),
        };
        let said = |job: &Job| sentences(job, &job.holes[0], &fit, lengths);
        assert_eq!(said(&job), ("Measured 6.71 ±0.04 mm.".to_owned(), None), "cut as measured");
        job.groups[0].clearance = Some("medium".to_owned());
        assert_eq!(said(&job).1.as_deref(), Some("It is cut to 6.60 mm, 0.11 mm narrower than measured."));
        (job.groups[0].clearance, job.groups[0].finished_mm) = (None, Some(6.74));
        assert_eq!(said(&job).1, None, "within its ±");
        job.groups[0].finished_mm = Some(7.0);
        assert_eq!(said(&job).1.as_deref(), Some("It is cut to 7.00 mm, 0.29 mm wider than measured."));
    }
}
