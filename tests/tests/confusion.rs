//! The first cause told against the trouble that was simulated, over some seeds; over all 24, as
//! `tests/long.sh` runs it, the table in `report/CAUSES.md` is the one that this test prints.
//!
//! A simulation of our own: see `underbrush_tests::confusion`.

use std::ops::Range;
use underbrush_fixtures::Trouble;
use underbrush_report::findings::LoadKind;
use underbrush_tests::confusion::{Confusion, bars};
use underbrush_tests::every_seed::seeds;
use underbrush_tests::top;

/// Others than those on which the rules were tried, 0 to 23.
const ALL: Range<u64> = 100..124;
const USUAL: Range<u64> = 100..108;

#[test]
fn the_first_cause_is_the_simulated_one() {
    let seeds = seeds(USUAL);
    let table = Confusion::of(seeds.clone());
    let text = table.to_markdown();
    println!("{text}");
    for trouble in Trouble::ALL {
        // More pressure that no setting tells cannot be told from a floor that drags: both
        // must be named.
        let counts = if trouble == Trouble::PressedUnseen {
            table.in_two.get(&trouble).copied().unwrap_or(0)
        } else {
            table.right(trouble)
        };
        assert!(counts * 6 >= table.seeds * 5, "{trouble:?}: {counts} of {}", table.seeds);
    }
    let all: u32 = Trouble::ALL.into_iter().map(|trouble| table.right(trouble)).sum();
    let of = table.seeds * Trouble::ALL.len() as u32;
    assert!(f64::from(all) >= 0.95 * f64::from(of), "{all} of {of}");
    if seeds != ALL {
        return;
    }
    let page = std::fs::read_to_string(top().join("report/CAUSES.md")).unwrap();
    assert!(page.contains(text.trim()), "put this table into report/CAUSES.md:\n{text}");
}

/// Where the machine file has no expected current, the drawn state of the detectors of heavy
/// and light load follows the machine's own nights.
#[test]
fn the_drawn_state_follows_the_machines_own_nights() {
    for seed in [100, 101] {
        for (trouble, kind) in
            [(Trouble::HeavyTool, LoadKind::Heavy), (Trouble::LightTool, LoadKind::Light)]
        {
            let (own, file) = bars(trouble, seed, kind).unwrap();
            assert!(own > 0.9, "{trouble:?} {seed}: {own}");
            assert!(file < 0.1, "{trouble:?} {seed}: {file} without anything to judge by");
        }
    }
}
