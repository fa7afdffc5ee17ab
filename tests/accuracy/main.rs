//! Prints, for each public case, the largest hole error by one length, by the true camera and by the program, the ±
//! that it states, and seconds: `cargo run --release -p platewright-tests --bin accuracy`.

use platewright_tests::{CASES, Case, accuracy, shared_dir, skip};

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn main() {
    let Some(shared) = shared_dir() else {
        skip("the photos with known truth are not beside the project");
        return;
    };
    println!("Largest hole error after the best rigid move, mm, from clicks (2 px of scatter) and caliper values");
    println!();
    println!(
        "| case | holes | measures | one length | true camera | program | stated ± (95 %) | covered | solve, ms |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    let (mut covered, mut holes) = (0, 0);
    for name in CASES {
        let row = accuracy::row(&Case::read(&shared, name));
        covered += row.covered;
        holes += row.holes;
        println!(
            "| {} | {} | {} | {:.2} | {:.2} | {:.2} | {:.2} | {} of {} | {:.2} |",
            row.name,
            row.holes,
            row.measures,
            row.one_length_mm,
            row.true_camera_mm,
            row.program_mm,
            row.stated_mm,
            row.covered,
            row.holes,
            row.solve_time.as_secs_f64() * 1e3
        );
    }
    println!();
    println!("The stated ± covers {covered} of {holes} holes.");
}
