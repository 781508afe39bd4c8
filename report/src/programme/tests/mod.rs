//! Checks on cases made by hand, and against the outside.

mod coverage;
mod finish;
mod plan;
mod steps;
mod table;
mod upkeep;

use super::pace::Pace;
use super::rules::{Rules, SectionRule, StepRule};
use super::stay::{ByHand, Stay};
use super::tonight::{Battery, MachineNight};
use super::{Programme, Work, judge};
use crate::settings::Phase;
use chrono::{NaiveDate, TimeDelta};
use std::collections::BTreeSet;
use underbrush_protocol::si::{Metres, Seconds, SquareMetres};

/// A day of November 2026; the 2nd is a Monday.
fn day(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 1).unwrap() + TimeDelta::days(i64::from(day) - 1)
}

fn minutes(minutes: f64) -> Seconds {
    Seconds(minutes * 60.0)
}

/// `sections` of 50 m² with 45, 30 and 30 min of grit 100, 400 and 800; daily run with 800.
fn rules(sections: usize) -> Rules {
    let step = |(i, minutes): (usize, f64)| StepRule {
        number: i as u8 + 1,
        grit: ["100", "400", "800"][i].to_owned(),
        required: Seconds(minutes * 60.0),
    };
    let section = SectionRule {
        area: SquareMetres(50.0),
        polish: true,
        maintain_every: Some(1),
        refresh_after: None,
    };
    Rules {
        steps: [45.0, 30.0, 30.0].into_iter().enumerate().map(step).collect(),
        sections: vec![section; sections],
        maintenance_grit: Some("800".to_owned()),
        setup: minutes(15.0),
    }
}

/// A stay at 0.5 m/s with a path of 0.6 m; all clock time is brush time.
fn stay(date: NaiveDate, section: usize, phase: Phase, brush: f64, in_band: f64) -> Stay {
    let brush_time = minutes(brush);
    let way = Metres(0.5 * brush_time.0);
    Stay {
        date,
        from: date.and_hms_opt(22, 0, 0).unwrap().and_utc(),
        machine: 0,
        section: Some(section),
        phase: Some(phase),
        clock: brush_time,
        brush_time,
        in_band: minutes(in_band),
        way,
        swept: SquareMetres(0.6 * way.0),
        assumed: false,
        operators: Vec::new(),
    }
}

fn machine() -> MachineNight {
    MachineNight {
        hours: Seconds(8.0 * 3600.0),
        battery: Battery::Unknown,
        tool: None,
        pace: Pace {
            band_share: 1.0,
            clock_share: 1.0,
            run_s_m2: 2.0,
            learned: false,
            run_learned: false,
        },
        by_book: Vec::new(),
    }
}

struct Input {
    rules: Rules,
    stays: Vec<Stay>,
    by_hand: Vec<ByHand>,
    machines: Vec<MachineNight>,
    /// Nights with a record besides those of the stays.
    seen: Vec<NaiveDate>,
}

impl Input {
    fn new(sections: usize, stays: Vec<Stay>) -> Self {
        Self {
            rules: rules(sections),
            stays,
            by_hand: Vec::new(),
            machines: vec![machine()],
            seen: Vec::new(),
        }
    }

    fn judge(&self, date: NaiveDate) -> Programme {
        let nights = self.stays.iter().map(|stay| stay.date);
        let seen: BTreeSet<NaiveDate> = nights.chain(self.seen.iter().copied()).collect();
        judge(&Work {
            rules: &self.rules,
            stays: &self.stays,
            by_hand: &self.by_hand,
            seen: &seen,
            date,
            machines: &self.machines,
        })
    }
}
