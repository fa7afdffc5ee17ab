//! The size that a hole is cut to, and the play that its fastener has in it.

use crate::job::{Added, Group, Hole, Job};
use crate::standards::{Fastener, HoleClass, clearance_hole_mm, tapping_drill_mm};

fn group<'a>(job: &'a Job, hole: &Hole) -> Option<&'a Group> {
    job.group(hole.group.as_ref()?)
}

/// A hole's group says that it is tapped: its fastener is screwed in, and has no room to lie off the middle.
pub fn is_tapped(job: &Job, hole: &Hole) -> bool {
    group(job, hole).is_some_and(|group| group.tapped)
}

/// The fastener that goes through a hole or is screwed into it, as it was typed.
pub fn said_fastener<'a>(job: &'a Job, hole: &Hole) -> Option<&'a str> {
    group(job, hole)?.fastener.as_deref()
}

/// The fastener that goes through a hole or is screwed into it, where it is one of the standards'.
pub fn fastener(job: &Job, hole: &Hole) -> Option<Fastener> {
    Fastener::parse(said_fastener(job, hole)?)
}

/// The diameter that a hole is cut to, mm: what its group says, else the drill for its thread or the standard's hole for its
/// fastener and class, else what was measured.
pub fn finished_mm(job: &Job, hole: &Hole, measured_mm: f64) -> f64 {
    group(job, hole).and_then(group_mm).unwrap_or(measured_mm)
}

/// The diameter that the holes of a group are cut to, mm, where it says one.
fn group_mm(group: &Group) -> Option<f64> {
    let standard = || {
        let fastener = Fastener::parse(group.fastener.as_deref()?)?;
        if group.tapped {
            return tapping_drill_mm(fastener);
        }
        clearance_hole_mm(fastener, HoleClass::parse(group.clearance.as_deref()?)?)
    };
    group.finished_mm.or_else(standard)
}

/// The diameter that an added hole (the width that a slot) is cut to, mm: what was typed, the drill for its thread, or what
/// its group says; `None` where no size is said.
pub fn added_diameter_mm(job: &Job, added: &Added) -> Option<f64> {
    let drill = || tapping_drill_mm(Fastener::parse(added.tapped.as_deref()?)?);
    added.diameter_mm.or_else(drill).or_else(|| group_mm(job.group(added.group.as_ref()?)?))
}

/// How far the fastener may lie off the middle of the finished hole, (H - F) / 2, mm; `None` where no fastener that is
/// known is said, or it is tapped for it. Less than 0 where the hole is smaller than the fastener.
pub fn play_mm(job: &Job, hole: &Hole, measured_mm: f64) -> Option<f64> {
    (!is_tapped(job, hole)).then_some(())?;
    Some(0.5 * (finished_mm(job, hole, measured_mm) - fastener(job, hole)?.diameter_mm()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Id;

    fn check(fastener: Option<&str>, clearance: Option<&str>, finished: Option<f64>, wanted: (f64, Option<f64>)) {
        let mut job = crate::job::example();
        let text = |text: &str| text.to_owned();
        job.groups[0].fastener = fastener.map(text);
        job.groups[0].clearance = clearance.map(text);
        job.groups[0].finished_mm = finished;
        assert_eq!(job.holes[0].group, Some(Id::from("studs")), "the first hole is in the group");
        let found = (finished_mm(&job, &job.holes[0], 6.71), play_mm(&job, &job.holes[0], 6.71));
        let near = (found.0 - wanted.0).abs() < 1e-9;
        let same = match (found.1, wanted.1) {
            (Some(a), Some(b)) => (a - b).abs() < 1e-9,
            (a, b) => a == b,
        };
        assert!(near && same, "{fastener:?} {clearance:?} {finished:?}: {found:?} and not {wanted:?}");
    }

    #[test]
    fn the_finished_size_is_what_was_said_then_the_standard_then_what_was_measured() {
        // ISO 273: M6 medium 6.6 mm.
        check(Some("M6"), Some("medium"), Some(6.8), (6.8, Some(0.4)));
        check(Some("M6"), Some("medium"), None, (6.6, Some(0.3)));
        check(Some("M6"), None, None, (6.71, Some(0.355)));
        check(None, None, Some(6.8), (6.8, None));
        check(Some("stud"), Some("medium"), None, (6.71, None));
        check(Some("M8"), None, Some(7.0), (7.0, Some(-0.5)));
    }

    #[test]
    fn a_tapped_hole_is_cut_to_the_drill_and_its_fastener_has_no_room() {
        let mut job = crate::job::example();
        let group = &mut job.groups[0];
        (group.tapped, group.fastener, group.clearance) = (true, Some("M6".to_owned()), Some("medium".to_owned()));
        group.finished_mm = None;
        let found = |job: &Job| (finished_mm(job, &job.holes[0], 6.71), play_mm(job, &job.holes[0], 6.71));
        // ISO 2306: M6 is tapped into 5.0 mm.
        assert_eq!(found(&job), (5.0, None), "the drill goes before the class");
        job.groups[0].finished_mm = Some(5.1);
        assert_eq!(found(&job), (5.1, None), "and what was typed before the drill");
        (job.groups[0].finished_mm, job.groups[0].fastener) = (None, Some("1/4".to_owned()));
        assert_eq!(found(&job), (6.71, None), "a thread without a drill in the table is cut as measured");
    }
}
