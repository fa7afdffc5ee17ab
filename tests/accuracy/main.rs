//! Prints, for each public case, the largest hole error by one length, by the true camera and by the program, the ±
//! that it states, and seconds: `cargo run --release -p platewright-tests --bin accuracy`.

use platewright_tests::accuracy::{self, Row};
use platewright_tests::{CASES, Case, shared_dir, skip};

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn main() {
    let Some(shared) = shared_dir() else {
        skip("the photos with known truth are not beside the project");
        return;
    };
    println!("Largest errors, mm, holes after the best rigid move, from clicks (2 px of scatter) and caliper values;");
    println!("'rims' with the rims measured in the photo. Stated is the ± (95 %) of the worst hole.");
    println!();
    println!(
        "| case | holes | measures | one length | true camera | clicks | stated | covered | rims | stated | covered | \
         rim Ø | Ø covered | measured | solve, ms | with rims, ms |"
    );
    println!("|{}", " ---: |".repeat(16));
    let (mut covered, mut diameters, mut holes) = (0, 0, 0);
    for name in CASES {
        let Row { name, holes: all, measures, one_length_mm, true_camera_mm, clicks, rims } =
            accuracy::row(&Case::read(&shared, name));
        covered += rims.covered;
        diameters += rims.diameters_covered;
        holes += all;
        println!(
            "| {name} | {all} | {measures} | {one_length_mm:.2} | {true_camera_mm:.2} | {:.2} | {:.2} | {} | {:.3} | \
             {:.3} | {} | {:.3} | {} | {} | {:.2} | {:.0} |",
            clicks.centre_mm,
            clicks.stated_mm,
            clicks.covered,
            rims.centre_mm,
            rims.stated_mm,
            rims.covered,
            rims.diameter_mm,
            rims.diameters_covered,
            rims.measured,
            clicks.time.as_secs_f64() * 1e3,
            rims.time.as_secs_f64() * 1e3,
        );
    }
    println!();
    println!("With rims the stated ± covers {covered} of {holes} holes and {diameters} of {holes} bores.");
}
