//! Prints how well the report finds what the simulator knows.
//!
//! `cargo run --release -p underbrush-tests --bin truth_table [-- FIRST..LAST]`

use std::ops::Range;
use std::process::ExitCode;
use std::time::Instant;
use underbrush_tests::truth::run_seeds;

const SEEDS: Range<u64> = 0..500;
/// Lines of what differs that are printed.
const SHOWN: usize = 40;

fn main() -> ExitCode {
    let Some(seeds) = std::env::args().nth(1).map_or(Some(SEEDS), |text| range(&text)) else {
        eprintln!("truth_table: give the seeds as FIRST..LAST, LAST not included: 0..500");
        return ExitCode::from(1);
    };
    let began = Instant::now();
    let table = run_seeds(seeds.clone());
    print!("{table}");
    println!("seeds {} to {}, {:.0} s", seeds.start, seeds.end - 1, began.elapsed().as_secs_f64());
    for failure in table.failures().iter().take(SHOWN) {
        let seed = failure.seed;
        println!("seed {seed} ({}): {}", failure.plan, failure.what);
    }
    if let Some(first) = table.failures().first() {
        println!("{} lines differ. One seed alone:", table.failures().len());
        println!(
            "  cargo run --release -p underbrush-tests --bin truth_table -- {}..{}",
            first.seed,
            first.seed + 1
        );
    }
    if table.held() { ExitCode::SUCCESS } else { ExitCode::from(2) }
}

fn range(text: &str) -> Option<Range<u64>> {
    let (first, last) = text.split_once("..")?;
    let range = first.parse().ok()?..last.parse().ok()?;
    (!range.is_empty()).then_some(range)
}
