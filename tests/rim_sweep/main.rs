//! Prints bias and scatter of measured rims over radius, tilt, blur, contrast, noise and JPEG quality, against the least
//! scatter that is possible, and draws them:
//! `cargo run --release -p platewright-tests --bin rim_sweep -- --plot assets/figures/rim-accuracy.svg`.

mod figure;
mod outcome;
mod sweeps;

use clap::Parser;
use outcome::Outcome;
use std::path::PathBuf;
use std::process::ExitCode;
use sweeps::{Taken, sweeps};

/// Measures rendered rims and prints their errors.
#[derive(Debug, Parser)]
struct Arguments {
    /// Draw the figure into this SVG file as well.
    #[arg(long, value_name = "FILE")]
    plot: Option<PathBuf>,
}

#[expect(clippy::print_stderr, reason = "there is no window to say it in")]
fn main() -> ExitCode {
    let arguments = Arguments::parse();
    print_head();
    let mut measured = Vec::new();
    for sweep in sweeps() {
        let outcomes: Vec<Outcome> = sweep.taken.iter().map(Outcome::of).collect();
        sweep.taken.iter().zip(&outcomes).for_each(|(taken, outcome)| print_row(sweep.name, taken, outcome));
        measured.push((sweep, outcomes));
    }
    let Some(file) = arguments.plot else { return ExitCode::SUCCESS };
    match std::fs::write(&file, figure::svg(&measured)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(err) => {
            eprintln!("The figure could not be written to {}: {err}", file.display());
            ExitCode::FAILURE
        }
    }
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn print_head() {
    println!(
        "Errors of trusted rims on the plate, px. The bias of the centre is along the fall of the plate; scatter is of \
         one coordinate. Bound: Cramér and Rao's, levels and blur unknown, one each for the whole rim; levels of its own \
         at each place of the rim, told from w blurs to each side, cost 1 / sqrt(1 - sqrt(pi) / w) of it (1.6 for w of \
         2.9). Held: trusted rims whose error is within the 95 % that their points' standard deviations state.\n"
    );
    println!(
        "| changed | radius | tilt, ° | blur | contrast, % | noise | JPEG | found | trusted | centre: bias | scatter | \
         bound | ratio | held, % | radius: bias | scatter | bound | ratio | held, % |"
    );
    println!("| --- |{}", " ---: |".repeat(18));
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn print_row(name: &str, taken: &Taken, outcome: &Outcome) {
    let Taken { scene, jpeg, photos, .. } = taken;
    let jpeg = jpeg.map_or_else(|| "none".to_owned(), |quality| quality.to_string());
    let figures = [(&outcome.centre, outcome.bound.centre_px), (&outcome.radius, outcome.bound.radius_px)];
    let figures = figures.map(|(errors, bound)| {
        format!(
            "{:.4} | {:.4} | {bound:.4} | {:.2} | {:.0}",
            errors.bias_px,
            errors.scatter_px,
            errors.scatter_px / bound,
            100.0 * errors.held_share
        )
    });
    println!(
        "| {name} | {} | {} | {} | {} | {} | {jpeg} | {} of {photos} | {} | {} |",
        scene.radius_px,
        scene.tilt_deg,
        scene.blur_px,
        100.0 * scene.contrast,
        scene.noise,
        outcome.found,
        outcome.trusted,
        figures.join(" | ")
    );
}
