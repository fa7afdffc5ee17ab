//! The settings that made it: with the photo and the job they give the same figures again.

use super::ReportSource;
use super::flow::{BODY, Flow, LEFT_MM};
use crate::job::{Held, Job, LensTerm};
use crate::paper::{Align, Ink, Paper, Weight};
use crate::solution::{BeliefSource, Believed, CameraFit};
use crate::tolerance::K95_FIGURE;
use crate::units::{format_figure, format_mm};

/// Width of the column of names, mm.
const NAMES_MM: f64 = 38.0;

pub(super) fn set(source: &ReportSource<'_>, paper: Paper, flow: &mut Flow<'_>) {
    flow.head("The settings that made it", "± is 95\u{a0}%");
    let job = source.job;
    let [width, height] = job.photo.size;
    let mut said = vec![
        ("Job", source.title().to_owned()),
        ("Photo", format!("{}, {width} × {height} px", job.photo.file)),
        ("Its SHA-256", job.photo.sha256.clone()),
        ("Program", source.program.to_owned()),
        ("Paper", paper.name().to_owned()),
        ("Datum", datum(job)),
        ("Readings good to", readings(job)),
    ];
    said.extend(camera(source));
    said.extend(stock(job));
    for (name, text) in said {
        if text.is_empty() {
            continue;
        }
        let lines = flow.lines(&text, flow.width() - NAMES_MM, BODY);
        flow.want(BODY.line_mm * lines.len().min(3) as f64);
        flow.line_at(name, LEFT_MM, Align::Start, BODY.ink(Ink::Soft));
        flow.paragraph(&text, NAMES_MM, BODY.weight(Weight::Regular));
        flow.down(0.4);
    }
}

fn datum(job: &Job) -> String {
    job.datum.as_ref().map_or_else(
        || "none is said: the first hole, along the second".to_owned(),
        |datum| format!("{}, x along {}", job.feature_name(&datum.origin), job.feature_name(&datum.along)),
    )
}

/// How good readings are, with the measures that are: `±0.10 mm M1, M2; ±0.49 mm M3`.
fn readings(job: &Job) -> String {
    let mut kinds: Vec<(f64, Vec<String>)> = Vec::new();
    for measure in &job.measures {
        let name = job.reading_name(&measure.id);
        match kinds.iter_mut().find(|(sigma, _)| sigma.total_cmp(&measure.sigma_mm).is_eq()) {
            Some((_, names)) => names.push(name),
            None => kinds.push((measure.sigma_mm, vec![name])),
        }
    }
    let said = kinds.iter().map(|(sigma, names)| format!("±{} {}", format_mm(K95_FIGURE * sigma, 2), names.join(", ")));
    said.collect::<Vec<_>>().join("; ")
}

/// What was believed of the camera, and what was found.
fn camera(source: &ReportSource<'_>) -> Vec<(&'static str, String)> {
    let held = match source.job.photo.held {
        Held::ByEye => "square by eye",
        Held::Levelled => "with a level",
        Held::Unknown => "nobody knows how",
    };
    let tilt = K95_FIGURE * source.beliefs.tilt_sigma_deg;
    let found = source.solution.camera.as_ref();
    let tilt_found = found.map_or_else(String::new, |camera| {
        let [deg, mm] = [camera.tilt_deg, camera.distance_mm];
        format!("; found {}°, {} away", with_half(deg, 1), format_mm(mm.0, 0))
    });
    let focal = source.beliefs.focal_px;
    let focal_found = found.map_or_else(String::new, |camera| format!("; found {} px", with_half(camera.focal_px, 0)));
    let focal = format!("{} px, {}{focal_found}", believed(focal, 0), whose(focal.source));
    vec![
        ("Camera held", format!("{held}, ±{}°{tilt_found}", format_figure(tilt, 0))),
        ("Focal length", focal),
        ("Lens, believed", lens(|term| believed(source.beliefs.term(term), decimals(term)))),
        (
            "Lens, found",
            found.map_or_else(String::new, |camera: &CameraFit| {
                lens(|term| with_half(camera.term(term), decimals(term)))
            }),
        ),
    ]
}

/// Every term of the lens with what `say` says of it.
fn lens(say: impl Fn(LensTerm) -> String) -> String {
    let name = |term| match term {
        LensTerm::Cx => "middle x",
        LensTerm::Cy => "middle y",
        LensTerm::K1 => "k1",
        LensTerm::K2 => "k2",
        LensTerm::P1 => "p1",
        LensTerm::P2 => "p2",
    };
    // A name stays beside its figures.
    LensTerm::ALL.map(|term| format!("{} {}", name(term), say(term)).replace(' ', "\u{a0}")).join(", ")
}

const fn decimals(term: LensTerm) -> usize {
    match term {
        LensTerm::Cx | LensTerm::Cy => 0,
        LensTerm::K1 | LensTerm::K2 => 3,
        LensTerm::P1 | LensTerm::P2 => 4,
    }
}

fn believed(held: Believed, decimals: usize) -> String {
    with_half((held.belief.value, held.belief.sigma), decimals)
}

/// A figure with how far off it can be (95 %).
fn with_half((value, sigma): (f64, f64), decimals: usize) -> String {
    format!("{} ±{}", format_figure(value, decimals), format_figure(K95_FIGURE * sigma, decimals))
}

const fn whose(source: BeliefSource) -> &'static str {
    match source {
        BeliefSource::Person => "as typed",
        BeliefSource::Photo => "as the photo says",
        BeliefSource::Usual => "as is usual",
    }
}

fn stock(job: &Job) -> Vec<(&'static str, String)> {
    let stock = job.stock.unwrap_or_default();
    let mm = |length: Option<f64>| length.map_or_else(|| "not said".to_owned(), |mm| format_mm(mm, 2));
    let material = stock.material.map_or_else(String::new, |material| format!("{}, ", material.words()));
    let kerf = match (stock.kerf_mm, stock.kerf_in_file) {
        (None, _) => "not said".to_owned(),
        (Some(kerf), true) => format!("{}, the file allows for it", format_mm(kerf, 2)),
        (Some(kerf), false) => format!("{}, left to the shop", format_mm(kerf, 2)),
    };
    let design = &job.design;
    let land = [(design.land_mm, "round the part"), (design.opening_land_mm, "round openings")];
    let land: Vec<String> = land
        .into_iter()
        .filter(|(land, _)| *land != 0.0)
        .map(|(land, place)| format!("{} {place}", format_mm(land, 2)))
        .collect();
    let tolerance = stock.cut_tolerance_mm.map_or_else(|| "not said".to_owned(), |mm| format!("±{}", format_mm(mm, 2)));
    vec![
        ("Sheet", format!("{material}thickness {}", mm(stock.thickness_mm))),
        ("Cutter", format!("{tolerance}, kerf {kerf}")),
        (
            "Cut file",
            format!(
                "{}, {}",
                stock.unit.words(),
                if stock.copy_count() == 1 { "one part".to_owned() } else { format!("{} parts", stock.copy_count()) }
            ),
        ),
        ("Land", land.join(", ")),
        ("Cut from", if design.mirrored { "the other side of the photo".to_owned() } else { String::new() }),
    ]
}
