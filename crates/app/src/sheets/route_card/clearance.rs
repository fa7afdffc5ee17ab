//! How much larger than its fastener a hole is to be: the class of its standard, and the hole that it gives.

use super::labelled;
use crate::command::Command;
use crate::controls::{DropDown, say_in};
use crate::sheets::figures::Lengths;
use crate::sheets::standing::no_such_fastener;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Group, Hole, Job};
use platewright_core::standards::{Fastener, HoleClass, clearance_hole_mm, tapping_drill_mm};

/// What stands in the box while no class is chosen.
const NOT_SAID: &str = "as found";

/// The classes that the fastener's own standard has, with their holes, mm.
fn classes(fastener: Fastener) -> Vec<(HoleClass, f64)> {
    let clearance = HoleClass::ALL.into_iter().filter(|class| *class != HoleClass::Tapping);
    clearance.filter_map(|class| Some((class, clearance_hole_mm(fastener, class)?))).collect()
}

/// The standard that a class belongs to.
fn source(class: HoleClass) -> &'static str {
    match class {
        HoleClass::Fine | HoleClass::Medium | HoleClass::Coarse => "ISO 273",
        HoleClass::Close | HoleClass::Normal | HoleClass::Loose => "ASME B18.2.8",
        HoleClass::Tapping => "ISO 2306",
    }
}

/// `M6 medium is 6.60 mm by ISO 273.`, and where another size is said, that it counts.
fn sentence(fastener: Fastener, class: HoleClass, mm: f64, group: &Group, lengths: Lengths) -> String {
    let standard = format!("{fastener} {} is {} by {}.", class.name(), lengths.with_unit(mm), source(class));
    match group.finished_mm {
        Some(_) => format!("{standard} The size typed above counts instead."),
        None => standard,
    }
}

/// `Drill 5.00 mm for M6 by ISO 2306.`, and what counts instead; or that no drill is known.
fn drill_sentence(fastener: Fastener, group: &Group, lengths: Lengths) -> String {
    match (tapping_drill_mm(fastener), group.finished_mm) {
        (Some(mm), None) => format!("Drill {} for {fastener} by ISO 2306.", lengths.with_unit(mm)),
        (Some(mm), Some(_)) => {
            let drill = lengths.with_unit(mm);
            format!("Drill {drill} for {fastener} by ISO 2306. The size typed above counts instead.")
        }
        (None, Some(_)) => format!("The size typed above is the drill for {fastener}."),
        (None, None) => format!("The table of ISO 2306 has no drill for {fastener}. Type its size above."),
    }
}

/// The choice of class for `hole`, once a fastener is said.
pub(super) fn settings(ui: &mut Ui, job: &Job, hole: &Hole, lengths: Lengths, commands: &mut Vec<Command>) {
    let Some(group) = hole.group.as_ref().and_then(|id| job.group(id)) else { return };
    let Some(typed) = &group.fastener else { return };
    let colours = theme::colours(ui);
    let Some(fastener) = Fastener::parse(typed) else {
        say_in(ui, Lettering::Small, colours.disagree_text, &no_such_fastener(typed, &hole.name));
        return;
    };
    if group.tapped {
        say_in(ui, Lettering::Small, colours.soft, &drill_sentence(fastener, group, lengths));
        return;
    }
    let now = group.clearance.as_deref().and_then(HoleClass::parse);
    let known = classes(fastener);
    let (_, picked) = labelled(ui, "Class", |ui, width| {
        let shown = now.map_or(NOT_SAID, HoleClass::name);
        let words = |(class, mm): &(HoleClass, f64)| format!("{}, {}", class.name(), lengths.with_unit(*mm));
        let classes = known.iter().map(|one| (Some(one.0), words(one)));
        let choices = std::iter::once((None, NOT_SAID.to_owned())).chain(classes);
        DropDown { name: "Clearance class", shown, width }.show(ui, Some(&now), choices)
    });
    if let Some((class, mm)) = known.iter().find(|(class, _)| now == Some(*class)) {
        let words = sentence(fastener, *class, *mm, group, lengths);
        say_in(ui, Lettering::Small, colours.soft, &words);
    } else if now.is_some() {
        let words = format!("That class is not one of {fastener}'s standard. Choose another.");
        say_in(ui, Lettering::Small, colours.disagree_text, &words);
    }
    if let Some(class) = picked {
        let clearance = class.map(|class| class.name().to_owned());
        let edit = Edit::PutGroup(Group { clearance, ..group.clone() });
        commands.push(Command::Edit(format!("choose the clearance of {}", hole.name), vec![edit]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_fastener_offers_the_classes_of_its_own_standard() {
        let of = |typed| classes(Fastener::parse(typed).unwrap());
        // ISO 273: M6 6.4, 6.6, 7.0 mm; ASME B18.2.8: 1/4 in close 0.266 in.
        assert_eq!(of("M6"), [(HoleClass::Fine, 6.4), (HoleClass::Medium, 6.6), (HoleClass::Coarse, 7.0)], "metric");
        let inch = of("1/4");
        assert_eq!(inch[0].0, HoleClass::Close, "inch");
        assert!((inch[0].1 - 0.266 * 25.4).abs() < 1e-9, "{} mm", inch[0].1);
    }

    #[test]
    fn the_standard_is_named_with_its_hole_and_a_typed_size_goes_before_it() {
        let job = samples::with_fastener(samples::plate(), "M6");
        let lengths = Lengths::of(&samples::session(job.clone()));
        let fastener = Fastener::parse("M6").unwrap();
        let said = |finished_mm| {
            let group = Group { finished_mm, ..job.groups[0].clone() };
            sentence(fastener, HoleClass::Medium, 6.6, &group, lengths)
        };
        assert_eq!(said(None), "M6 medium is 6.60 mm by ISO 273.");
        assert_eq!(said(Some(6.8)), "M6 medium is 6.60 mm by ISO 273. The size typed above counts instead.");
    }

    #[test]
    fn a_tapped_hole_is_told_its_drill_or_asked_for_it() {
        let job = samples::with_fastener(samples::plate(), "M6");
        let lengths = Lengths::of(&samples::session(job.clone()));
        let said = |fastener: &str, finished_mm| {
            let group = Group { finished_mm, ..job.groups[0].clone() };
            drill_sentence(Fastener::parse(fastener).unwrap(), &group, lengths)
        };
        assert_eq!(said("M6", None), "Drill 5.00 mm for M6 by ISO 2306.");
        assert!(said("M6", Some(5.1)).ends_with("The size typed above counts instead."), "what was typed goes first");
        assert_eq!(said("1/4", None), "The table of ISO 2306 has no drill for 1/4 in. Type its size above.");
        assert_eq!(said("1/4", Some(5.1)), "The size typed above is the drill for 1/4 in.");
    }
}
