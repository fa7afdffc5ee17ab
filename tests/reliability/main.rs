//! Prints how often the program's statements hold on random jobs: the ± of 95 %, the naming of misreadings, and what
//! is gained by measuring what is suggested: `cargo run --release -p platewright-tests --bin reliability`.

use platewright_tests::coverage::{Share, coverage};
use platewright_tests::measure_order::{Bench, WANTED_MM, counts};
use platewright_tests::misreading::{CHECKED, PLANTED_MM, misreadings};

fn main() {
    print_coverage();
    print_misreadings();
    print_orders();
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn print_coverage() {
    println!("Share of the 95 % statements that hold, of 1,000 random jobs");
    println!();
    println!("| jobs | number | places of holes in their ellipses | diameters | lengths by the other measures |");
    println!("| --- | ---: | ---: | ---: | ---: |");
    let cell = |share: Share| format!("{:.1} % of {}", share.percent(), share.of);
    for class in coverage(1000) {
        let c = class.coverage;
        println!("| {} | {} | {} | {} | {} |", class.name, c.jobs, cell(c.places), cell(c.diameters), cell(c.lengths));
    }
    println!();
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn print_misreadings() {
    let found = misreadings(1000);
    let count = |share: Share| format!("{} of {}", share.hold, share.of);
    let accused = Share { hold: found.not_accused.of - found.not_accused.hold, of: found.not_accused.of };
    println!("One caliper reading wrong by {PLANTED_MM} mm in 1,000 random jobs of 6 to 14 measures");
    println!();
    println!("| | |");
    println!("| --- | ---: |");
    println!("| named first, where the others check it by over {:.0} % | {} |", 100.0 * CHECKED, count(found.named));
    println!("| the same where they check it by 10 % to 30 % | {} |", count(found.named_though_little_checked));
    println!("| good readings accused, none being wrong (1 in 1,000 is promised) | {} |", count(accused));
    println!("| jobs without a wrong reading in which nothing is accused | {} |", count(found.clean_jobs));
    println!();
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn print_orders() {
    println!("Caliper measures until the worst of eight holes on a plate of 250 mm is good to ±{WANTED_MM} mm (95 %)");
    println!();
    println!(
        "± after each suggested measure on the regular plate, mm: {:.2?}",
        Bench::of_eight_holes().by_suggestion()
    );
    println!();
    let [suggested, random] = counts(20, 50);
    println!("| order | median | mean |");
    println!("| --- | ---: | ---: |");
    println!("| as suggested, 20 random plates | {:.1} | {:.1} |", suggested.median(), suggested.mean());
    println!("| random, 50 orders of each | {:.1} | {:.1} |", random.median(), random.mean());
}
