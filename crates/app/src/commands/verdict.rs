//! What is known, for reading: a sentence, then tables.

use crate::odds;
use crate::sheets::OFF;
use platewright_core::check::{Check, Verdict};
use platewright_core::job::{Id, Job};
use platewright_core::solution::{MeasureVerdict, Solution};
use platewright_core::units::{format_figure, format_plus_minus_mm};

/// The whole text, ended by a line break.
pub(super) fn text(job: &Job, solution: &Solution, checks: &[Check]) -> String {
    let mut lines = vec![headline(job, solution)];
    lines.extend(odds_lines(job, solution));
    lines.extend(solution.findings.iter().map(|finding| finding.text.clone()));
    if solution.fit.scale_known() && !solution.holes.is_empty() {
        lines.push(String::new());
        lines.extend(hole_table(job, solution));
    }
    if solution.fit.scale_known() && !solution.added.is_empty() {
        lines.push(String::new());
        lines.extend(added_table(solution));
    }
    if job.design.mirrored {
        lines.push(String::new());
        lines.push("Cut from the other side: the cut file has Y turned round.".to_owned());
    }
    if !solution.measures.is_empty() {
        lines.push(String::new());
        lines.extend(measure_table(job, solution));
        lines.push(format!("Off: {}{}", OFF[..1].to_lowercase(), &OFF[1..]));
    }
    if let Some(next) = solution.measure_next.first() {
        lines.push(String::new());
        let what = format!("{} {}", next.kind.words(), names(job, &next.between));
        let after = format_plus_minus_mm(next.worst_sigma_after_mm * platewright_core::tolerance::K95_PLACE);
        lines.push(format!("Measure next: {what}. Worst hole then: {after}."));
    }
    let open = checks.iter().filter(|check| check.verdict != Verdict::Pass);
    let open: Vec<String> =
        open.map(|check| format!("{}: {}. {}", check.verdict.words(), check.name, check.text)).collect();
    if !open.is_empty() {
        lines.push(String::new());
        lines.extend(open);
    }
    lines.join("\n") + "\n"
}

/// The verdict in a sentence.
pub(super) fn headline(job: &Job, solution: &Solution) -> String {
    let title = if job.title.is_empty() { "This part" } else { &job.title };
    let count = |verdict| solution.measures.iter().filter(|fit| fit.verdict == verdict).count();
    let (agree, disagree) = (count(MeasureVerdict::Agrees), count(MeasureVerdict::Disagrees));
    let misfit = !solution.fits_together() || (agree == 0 && disagree > 0);
    let worst = match solution.fit.worst_sigma_mm {
        Some(_) if solution.fit.scale_known() && misfit => {
            "how good its holes are cannot be said, as picks and measures do not fit each other".to_owned()
        }
        Some(sigma) if solution.fit.scale_known() => {
            let half = format_plus_minus_mm(sigma * platewright_core::tolerance::K95_PLACE);
            format!("worst hole is good to {half} (95 %)")
        }
        _ if solution.holes.is_empty() => "no hole has enough picks yet".to_owned(),
        None if solution.fit.scale_known() => "it takes two holes to say how well they lie".to_owned(),
        _ => "sizes are not known yet".to_owned(),
    };
    let measures = match (agree, disagree, solution.measures.len()) {
        (_, _, 0) => "nothing was measured by hand".to_owned(),
        (agree, 0, all) if agree == all => format!("all {all} measures agree"),
        (0, 0, all) => format!("{all} taken, and nothing checks them yet"),
        (agree, 0, all) => format!("{agree} of {all} measures agree, none disagrees"),
        (agree, 1, all) => format!("{agree} of {all} measures agree, one disagrees"),
        (agree, disagree, all) => format!("{agree} of {all} measures agree, {disagree} disagree"),
    };
    format!("{title}: {worst}; {measures}.")
}

/// The odds that the plate goes over its fasteners, with what is most often in the way; nothing where there are none.
pub(super) fn odds_lines(job: &Job, solution: &Solution) -> Option<String> {
    let bolt_up = solution.bolt_up.as_ref().filter(|_| solution.fit.scale_known())?;
    if !solution.suspects.is_empty() || !solution.fits_together() {
        return Some("Settle first what disagrees, and the odds follow.".to_owned());
    }
    let said = std::iter::once(odds::sentence(bolt_up)).chain(odds::give_or_take(bolt_up));
    let odds = said.collect::<Vec<_>>().join(" ");
    let worst = bolt_up.worst.as_ref().filter(|_| bolt_up.odds < 1.0);
    Some(match worst {
        Some(worst) => format!("{odds} What is most often in the way: {}.", job.feature_name(worst)),
        None => odds,
    })
}

fn hole_table(job: &Job, solution: &Solution) -> Vec<String> {
    let mut rows = vec![["Hole", "X mm", "Y mm", "Ø mm", "± mm"].map(str::to_owned).to_vec()];
    rows.extend(solution.holes.iter().map(|hole| {
        let figures = [hole.centre.x, hole.centre.y, hole.bore_diameter_mm, hole.plus_minus_mm()];
        let figures = figures.map(|figure| format_figure(figure, 2));
        [job.feature_name(&hole.id).to_owned()].into_iter().chain(figures).collect()
    }));
    aligned(&rows)
}

fn added_table(solution: &Solution) -> Vec<String> {
    let mut rows = vec![["Added", "X mm", "Y mm", "Ø mm", "± mm"].map(str::to_owned).to_vec()];
    rows.extend(solution.added.iter().map(|added| {
        let off = added.ellipse.major_mm * platewright_core::tolerance::K95_PLACE;
        let size = added.diameter_mm.map_or_else(|| "no size".to_owned(), |mm| format_figure(mm, 2));
        let figure = |figure: f64| format_figure(figure, 2);
        vec![added.name.clone(), figure(added.at.x), figure(added.at.y), size, figure(off)]
    }));
    aligned(&rows)
}

/// The columns that the window has.
fn measure_table(job: &Job, solution: &Solution) -> Vec<String> {
    let mut rows = vec![["Measure", "Value mm", "Off mm", "Verdict"].map(str::to_owned).to_vec()];
    rows.extend(job.measures.iter().filter_map(|measure| {
        let fit = solution.measures.iter().find(|fit| fit.id == measure.id)?;
        let figures = [fit.measured_mm, fit.misread_mm()].map(|figure| format_figure(figure, 2));
        let what = format!("{} {}", measure.kind.words(), names(job, &measure.between));
        Some([what].into_iter().chain(figures).chain([fit.verdict.words().to_owned()]).collect())
    }));
    aligned(&rows)
}

/// The rows with the first column to the left, the last as it is if it holds words, and the others to the right.
fn aligned(rows: &[Vec<String>]) -> Vec<String> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
            let is_words = column == 0 || cell.chars().all(|c| c.is_alphabetic() || c == ' ') && column == columns - 1;
            if is_words { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    rows.iter().map(line).collect()
}

fn names(job: &Job, between: &[Id]) -> String {
    between.iter().map(|id| job.feature_name(id)).collect::<Vec<_>>().join("–")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::solution::{Finding, FindingKind, MeasureFit, Weight};

    #[test]
    fn where_picks_and_measures_do_not_fit_no_figure_and_no_odds_are_said() {
        let job = samples::plate();
        let calm = Solution { bolt_up: Some(samples::odds(0.97)), ..samples::agreeing() };
        // 0.1 mm (1 sigma) times 2.4477 (95 % of a place in the plane).
        assert!(headline(&job, &calm).contains("worst hole is good to ±0.24 mm"), "{}", headline(&job, &calm));
        let none_agrees = |measure: MeasureFit| MeasureFit { verdict: MeasureVerdict::Disagrees, ..measure };
        let bent = Finding::new(Weight::Disagrees, None, "The fit bends the rim of H1.".to_owned());
        let bent = bent.of_kind(FindingKind::BentRims);
        for solution in [
            Solution { findings: vec![bent], ..calm.clone() },
            Solution { measures: calm.measures.iter().cloned().map(none_agrees).collect(), ..calm.clone() },
        ] {
            let said = headline(&job, &solution);
            assert!(said.contains("how good its holes are cannot be said") && !said.contains('±'), "{said}");
        }
        let bent = Finding::new(Weight::Disagrees, None, String::new()).of_kind(FindingKind::DoubtedFit);
        let odds = odds_lines(&job, &Solution { findings: vec![bent], ..calm });
        assert_eq!(odds.as_deref(), Some("Settle first what disagrees, and the odds follow."), "no odds");
    }
}
