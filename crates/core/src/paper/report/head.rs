//! The title block, and how things stand in a sentence.

use super::ReportSource;
use super::flow::{BODY, Flow, Style};
use super::sign::Sign;
use crate::check::Verdict;
use crate::geom::Bounds;
use crate::paper::{Align, Ink, Item, Pen, Weight};
use crate::solution::MeasureVerdict;
use crate::space::PlatePoint;
use crate::units::format_mm;

const FRAME: Pen = Pen::new(0.35, Ink::Cut);
const DIVIDER: Pen = Pen::new(0.13, Ink::Soft);
const BLOCK_MM: f64 = 13.0;
const INSET_MM: f64 = 2.5;
/// Shares of the width of the three cells.
const SHARES: [f64; 3] = [0.46, 0.34, 0.2];

const LABEL: Style = Style { size_mm: 2.4, line_mm: 4.6, weight: Weight::Regular, ink: Ink::Soft };
const VALUE: Style = Style { size_mm: 4.0, line_mm: 6.0, weight: Weight::SemiBold, ink: Ink::Cut };
const VERDICT: Style = Style { size_mm: 4.4, line_mm: 6.2, weight: Weight::SemiBold, ink: Ink::Cut };

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    title_block(source, flow);
    flow.down(5.0);
    flow.paragraph(source.headline, 0.0, VERDICT);
    flow.down(1.0);
    if let Some(odds) = source.odds {
        flow.paragraph(odds, 0.0, BODY);
        let settled = source.solution.suspects.is_empty() && source.solution.fits_together();
        if let Some(bolt_up) = source.solution.bolt_up.as_ref().filter(|_| settled) {
            let assumed = format!(
                "That takes the cutter to be off by at most ±{} (95\u{a0}%) along either axis, every measure to be as good as is \
                 said below, and each fastener to stand where its hole was in the part of the photo.",
                format_mm(bolt_up.cutting_mm, 2)
            );
            flow.paragraph(&assumed, 0.0, BODY.ink(Ink::Soft));
        }
    }
    summary(source, flow);
    flow.down(1.0);
    for finding in &source.solution.findings {
        flow.signed_paragraph(finding.weight.into(), &finding.text, BODY);
    }
}

fn title_block(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let Bounds { min, max } = flow.block(BLOCK_MM);
    let cells = [
        ("Inspection report", source.title()),
        ("Photo", source.job.photo.file.as_str()),
        ("Made with", source.program),
    ];
    let mut left = min.x;
    let mut items = vec![Item::frame(Bounds { min, max }, FRAME)];
    for (k, ((label, value), share)) in cells.into_iter().zip(SHARES).enumerate() {
        let width = share * flow.width();
        if k > 0 {
            items.push(Item::line(PlatePoint::new(left, min.y), PlatePoint::new(left, max.y), DIVIDER));
        }
        flow.down(1.2);
        flow.line_at(label, left + INSET_MM, Align::Start, LABEL);
        flow.down(LABEL.line_mm);
        let style = if k == 0 { VALUE } else { Style { size_mm: 3.2, ..VALUE } };
        let value = flow.short(value, width - 2.0 * INSET_MM, style);
        flow.line_at(&value, left + INSET_MM, Align::Start, style);
        flow.down(-LABEL.line_mm - 1.2);
        left += width;
    }
    flow.put(items);
    flow.down(BLOCK_MM);
}

/// Checks and measures, counted.
fn summary(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let checks = |verdict| source.checks.iter().filter(|check| check.verdict == verdict).count();
    let (fail, warn, unknown) = (checks(Verdict::Fail), checks(Verdict::Warn), checks(Verdict::CannotTell));
    let sign = match (fail, warn, unknown) {
        (1.., ..) => Sign::Fails,
        (0, _, 1..) => Sign::NotKnown,
        (0, 1.., 0) => Sign::Caution,
        (0, 0, 0) => Sign::Agrees,
    };
    let said = match (fail, warn + unknown) {
        (0, 0) => "Every check passes.".to_owned(),
        (0, 1) => "No check fails; one says something to bear in mind.".to_owned(),
        (0, more) => format!("No check fails; {more} say something to bear in mind."),
        (1, _) => "One check fails: it is not to be cut like this.".to_owned(),
        (more, _) => format!("{more} checks fail: it is not to be cut like this."),
    };
    flow.signed_paragraph(sign, &said, BODY);
    let unchecked = source.solution.measures.iter().filter(|fit| fit.verdict == MeasureVerdict::Unchecked);
    let names = source.job.reading_names(unchecked.map(|fit| &fit.id));
    if !names.is_empty() {
        flow.signed_paragraph(
            Sign::NotKnown,
            &format!("Nothing checks {names}: a misreading there would not be noticed."),
            BODY,
        );
    }
}
