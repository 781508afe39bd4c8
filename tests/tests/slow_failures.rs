//! Slow failures are told before they stop a shift, and healthy machines are left alone.
//!
//! Against the simulator's truth; the sizes of its faults are our own.

use std::collections::BTreeMap;
use std::sync::LazyLock;
use underbrush_report::trends::{MachineTrends, Sign, Verdict};
use underbrush_tests::every_seed::seeds;
use underbrush_tests::slow_failures::{Fault, SUDDEN, all_trends};

/// `UNDERBRUSH_SEEDS` takes others.
const SEEDS: std::ops::Range<u64> = 0..3;

/// What is found of each fault, by seed.
static FOUND: LazyLock<BTreeMap<Fault, BTreeMap<u64, MachineTrends>>> =
    LazyLock::new(|| all_trends(seeds(SEEDS)));

fn told(trends: &MachineTrends) -> Vec<Sign> {
    trends.told().map(|series| series.sign).collect()
}

/// Signs that must be told, and those that may be.
fn signs(fault: Fault) -> (Vec<Sign>, Vec<Sign>) {
    use Sign::{Battery, DriveMaintaining, DriveRestoring, NoLoad, RunDown, Way, Winding};
    let drive = vec![DriveRestoring, DriveMaintaining];
    match fault {
        Fault::None | Fault::Repair => (vec![], vec![]),
        Fault::Bearing => (vec![NoLoad(0), NoLoad(1), RunDown(0), RunDown(1)], vec![]),
        Fault::CarbonBrushes => (vec![Winding(0), Winding(1)], vec![]),
        Fault::Battery | Fault::Terminal => (vec![Battery], vec![]),
        Fault::Squeegee => (vec![DriveMaintaining], drive),
        // A sensor that shows more speed than there is also shifts what counts as slow.
        Fault::Wheel => (vec![Way], drive),
    }
}

#[test]
fn each_fault_is_told_and_nothing_else() {
    let mut wrong = Vec::new();
    for fault in Fault::ALL {
        let (must, may) = signs(fault);
        for (seed, trends) in &FOUND[&fault] {
            let told = told(trends);
            println!("{fault:?} {seed}: {told:?}");
            for series in &trends.series {
                println!("    {:?} {:?}", series.sign, series.trend);
            }
            let missing: Vec<_> = must.iter().filter(|sign| !told.contains(sign)).collect();
            let extra: Vec<_> =
                told.iter().filter(|sign| !must.contains(sign) && !may.contains(sign)).collect();
            if !missing.is_empty() || !extra.is_empty() {
                wrong.push(format!(
                    "{fault:?}, seed {seed}: not told {missing:?}, too many {extra:?}"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_sudden_change_has_its_date() {
    for (seed, trends) in &FOUND[&Fault::Terminal] {
        let battery = trends.series.iter().find(|series| series.sign == Sign::Battery).unwrap();
        let Verdict::Stepped(step) = battery.trend.verdict else {
            panic!("seed {seed}: {:?}", battery.trend)
        };
        let night = (step.on - trends.dates.0).num_days();
        assert!((night - SUDDEN as i64).abs() <= 1, "seed {seed}: night {night}");
        assert!((step.change() - 0.6).abs() < 0.15, "seed {seed}: {step:?}");
    }
}

#[test]
fn a_repair_ends_what_was_before_it() {
    for (seed, trends) in &FOUND[&Fault::Repair] {
        for motor in 0..2 {
            let sign = Sign::NoLoad(motor);
            let series = trends.series.iter().find(|series| series.sign == sign).unwrap();
            let since = series.trend.better_since.map(|step| (step.on - trends.dates.0).num_days());
            assert!(
                since.is_some_and(|night| (night - SUDDEN as i64).abs() <= 1),
                "seed {seed}: {:?}",
                series.trend
            );
            assert_eq!(series.trend.verdict, Verdict::Steady, "seed {seed}");
        }
    }
}
