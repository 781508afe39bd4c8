//! The regression and the days against other people's libraries.
//!
//! Source of all constants: `tests/reference/wear_values.py`, which computes them with numpy,
//! statsmodels (weighted least squares with the prior as an observation) and scipy (integration over
//! first length and rate, where the program sums over the rate alone).

use super::super::calendar::Ahead;
use super::super::finding::DailyUse;
use super::super::forecast::{Outlook, Reached};
use super::super::regression::{Datum, Posterior, Prior};
use super::{day, mm};
use underbrush_protocol::si::Joules;

const PRIOR: Prior = Prior { rate: 8e-11, deviation: 3.2e-11 };

fn data(rows: &[(f64, f64, f64)]) -> Vec<Datum> {
    let datum = |(megajoules, mm, error): &(f64, f64, f64)| Datum {
        energy: megajoules * 1e6,
        length: mm * 1e-3,
        deviation: error * 1e-3,
    };
    rows.iter().map(datum).collect()
}

fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance * expected.abs(), "{found} is not {expected}");
}

fn posterior() -> Posterior {
    let rows = [(0.0, 25.4, 0.5), (60.0, 21.2, 0.4), (115.0, 16.9, 0.4), (190.0, 11.4, 0.4)];
    Posterior::of(PRIOR, &data(&rows)).unwrap()
}

#[test]
fn posterior_of_rate_and_length() {
    let posterior = posterior();
    close(posterior.length(0.0).mean, 25.516_028_304_4e-3, 1e-11);
    close(posterior.rate().mean, 0.074_307_789_117_5e-9, 1e-11);
    close(posterior.rate().deviation, 0.003_115_792_570_41e-9, 1e-11);
    close(posterior.length(220e6).mean, 9.168_314_698_52e-3, 1e-11);
    close(posterior.length(220e6).deviation, 0.427_918_485_357e-3, 1e-11);
    assert_eq!(posterior.widened, None);
}

#[test]
fn interval_of_what_is_left() {
    let left = Outlook::new(&posterior(), 220e6).left();
    // Normal: mean and 1.2816 deviations to either side.
    close(mm(left.best), 9.168_314_7, 1e-6);
    close(mm(left.low), 9.168_314_7 - 1.281_551_566 * 0.427_918_485, 1e-4);
    close(mm(left.high), 9.168_314_7 + 1.281_551_566 * 0.427_918_485, 1e-4);
}

#[test]
fn days_to_a_limit() {
    let outlook = Outlook::new(&posterior(), 220e6);
    let daily = DailyUse { mean: Joules(3e6), deviation: Joules(1.2e6), days: 60 };
    for (share, days) in [(0.1, 9.261_228_5), (0.5, 12.670_826_4), (0.9, 16.680_895_4)] {
        close(outlook.below(6.35e-3, daily.ahead(days)), share, 2e-5);
    }
    let Reached::Day(range) = outlook.day(6.35e-3, daily, day(0)) else { panic!("far away") };
    // 12.67 days: reached in night 13. The early end is rounded to 9 nights without, the late to 17.
    assert_eq!((range.early, range.best, range.late), (day(10), day(13), Some(day(17))));
}

// Readings 1 mm up and down with an error of 0.4 mm: the error is estimated from them.
#[test]
fn scatter_widens_the_belief() {
    let mut rows = vec![(0.0, 25.4, 0.5)];
    for (i, up) in [1.0, -1.0, 1.0, -1.0, 1.0, -1.0].into_iter().enumerate() {
        let energy = 30.0 * (i + 1) as f64;
        rows.push((energy, 25.4 - 0.08 * energy + up, 0.4));
    }
    let posterior = Posterior::of(PRIOR, &data(&rows)).unwrap();
    close(posterior.widened.unwrap(), 2.087_315_071_08, 1e-10);
    close(posterior.rate().mean, 0.083_946_214_539e-9, 1e-10);
    close(posterior.rate().deviation, 0.005_528_624_469_98e-9, 1e-10);
    // 4 + 7 - 2 = 9 degrees; SciPy: t.ppf(0.9, 9).
    close(posterior.belief.quantile(0.9), 1.383_028_738_396_6, 1e-9);
    let plain: Vec<_> = rows.iter().map(|(e, _, s)| (*e, 25.4 - 0.08 * e, *s)).collect();
    let plain = Posterior::of(PRIOR, &data(&plain)).unwrap();
    assert_eq!(plain.widened, None);
    let width = |p: &Posterior| {
        let left = Outlook::new(p, 180e6).left();
        (left.high - left.low).0
    };
    assert!(width(&posterior) > 1.8 * width(&plain));
}

// Only the machine file is known: the rate is a normal cut off at zero. SciPy 1.17:
// truncnorm(-1, inf, loc=1, scale=1).ppf(0.1, 0.5, 0.9) = 0.30264308, 1.20017369, 2.37778736
#[test]
fn a_vague_rate_is_never_negative() {
    let prior = Prior { rate: 1e-10, deviation: 1e-10 };
    let posterior = Posterior::of(prior, &data(&[(0.0, 25.4, 0.001)])).unwrap();
    let rate = super::super::forecast::rate(&posterior, 0);
    close(rate.low.0, 0.302_643_08e-10, 1e-7);
    close(rate.best.0, 1.200_173_69e-10, 1e-7);
    close(rate.high.0, 2.377_787_36e-10, 1e-7);
    // 100 MJ at these rates.
    let left = Outlook::new(&posterior, 100e6).left();
    close(mm(left.best), 25.4 - 12.001_736_9, 5e-3);
    assert!(Outlook::new(&posterior, 100e6).below(25.41e-3, Ahead::default()) > 0.999);
}
