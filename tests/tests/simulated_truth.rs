//! The simulator's truth against the report, over many seeds and both machines.
//!
//! Goals stand with each kind and quantity in `src/truth`; none may be missed.
//! `UNDERBRUSH_SEEDS=FIRST..LAST` runs others, and `tests/long.sh` 500; a failing seed says how to run it alone.
//! `cargo run --release -p underbrush-tests --bin truth_table` prints the table.

use std::ops::Range;
use underbrush_tests::every_seed::seeds;
use underbrush_tests::truth::{Plan, judge_plan, run_seeds};

const SEEDS: Range<u64> = 0..150;
/// So many seeds have something to find of every kind.
const MANY: u64 = 500;

#[test]
fn the_report_finds_what_the_simulator_knows() {
    let seeds = seeds(SEEDS);
    let table = run_seeds(seeds.clone());
    println!("{table}");
    for failure in table.failures() {
        let (seed, plan, what) = (failure.seed, failure.plan, &failure.what);
        println!(
            "seed {seed} ({plan}): {what}\n    UNDERBRUSH_SEEDS={seed}..{} cargo test -p underbrush-tests --test simulated_truth",
            seed + 1
        );
    }
    assert!(table.held(), "a goal is missed: see the table");
    // Truth must hold something to find in every row, or nothing was checked. A few seeds
    // need not have all of it.
    if seeds.end - seeds.start >= MANY {
        assert!(table.empty_rows().is_empty(), "nothing to find: {:?}", table.empty_rows());
    }
}

/// Over a bad line the sums hold (see the table), and the sheet must know of the losses.
#[test]
fn bad_lines_tell_their_losses() {
    for seed in [3, 4] {
        let link = judge_plan(Plan::BadLine, seed).unwrap().found.data.link;
        assert!(link.lost > 0 && link.damaged > 0, "seed {seed}: {link:?}");
    }
}
