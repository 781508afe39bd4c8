//! What brushes do in the air, tonight beside the nights before.
//!
//! A brush in the air is loaded by its own motor and gear alone, so that a bearing, or what
//! is wound round the shaft, shows there however the floor is: it coasts shorter without
//! power, and draws more with it (see `findings::condition`). A night in which the brushes
//! were never switched off or on in the air says nothing, and neither do fewer than
//! [`FEWEST_NIGHTS`] nights before it. Common practice, no published source.

use crate::cores::share_out;
use crate::events::EventKind;
use crate::findings::robust::spread;
use crate::findings::{Condition, MotorCondition};
use crate::ledger::{Building, logged_dates};
use chrono::NaiveDate;

/// Nights with a value that a usual one needs.
const FEWEST_NIGHTS: usize = 3;
/// Not more nights than this are looked at, the latest.
const MOST_NIGHTS: usize = 10;
/// Another than usual: away from it by more than this share of it...
const LEAST_SHARE: f64 = 0.12;
/// ... and by more than so many times the spread from night to night.
const SPREADS: f64 = 3.0;

/// A value of one night beside what is usual.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AgainstNights {
    /// Of the night.
    pub tonight: f64,
    /// Median of the nights before.
    pub usual: f64,
    /// Spread of these, as one standard deviation.
    pub spread: f64,
    /// How many.
    pub nights: u64,
}

impl AgainstNights {
    fn of(tonight: Option<f64>, before: &[f64]) -> Option<Self> {
        let tonight = tonight?;
        let (usual, spread) = spread(before).filter(|_| before.len() >= FEWEST_NIGHTS)?;
        (usual > 0.0).then_some(Self { tonight, usual, spread, nights: before.len() as u64 })
    }

    fn far(&self) -> bool {
        let away = (self.tonight - self.usual).abs();
        away > LEAST_SHARE * self.usual && away > SPREADS * self.spread
    }

    /// Clearly less than usual.
    pub fn is_less(&self) -> bool {
        self.tonight < self.usual && self.far()
    }

    /// Clearly more than usual.
    pub fn is_more(&self) -> bool {
        self.tonight > self.usual && self.far()
    }
}

/// One motor with its brush in the air; `None`: not measured, or too few nights.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AirOfMotor {
    /// Time from nominal to half rotation without power, in s.
    pub run_down: Option<AgainstNights>,
    /// Current, in A.
    pub no_load: Option<AgainstNights>,
}

/// All motors of one machine in one night.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct InTheAir {
    motors: Vec<AirOfMotor>,
}

impl InTheAir {
    /// Whether an event of this kind is judged by it.
    pub fn matters(kind: EventKind) -> bool {
        use EventKind::{Heavy, Hot, NearStall, OverPressure, Stall, Trip};
        matches!(kind, Stall | NearStall | OverPressure | Heavy | Hot | Trip)
    }

    /// Reads the night of `date` and, if it says anything, those before it.
    pub fn read(building: &Building<'_>, machine: usize, date: NaiveDate) -> Self {
        let Some(inputs) = building.machines.get(machine) else { return Self::default() };
        let tonight = building.condition(machine, date);
        let says = |motor: &MotorCondition| motor.run_down.is_some() || motor.no_load.is_some();
        if !tonight.motors.iter().any(says) {
            return Self::default();
        }
        let all = logged_dates(inputs);
        let dates: Vec<NaiveDate> =
            all.into_iter().rev().filter(|day| *day < date).take(MOST_NIGHTS).collect();
        let read = share_out(dates.len(), |numbers| {
            let taken = numbers.filter_map(|number| dates.get(number));
            taken.map(|day| building.condition(machine, *day)).collect::<Vec<_>>()
        });
        let before: Vec<Condition> = read.into_iter().flatten().collect();
        Self::of(&tonight, &before)
    }

    /// One night beside others.
    pub fn of(tonight: &Condition, before: &[Condition]) -> Self {
        let motor = |(number, now): (usize, &MotorCondition)| {
            let values = |of: &dyn Fn(&MotorCondition) -> Option<f64>| -> Vec<f64> {
                before.iter().filter_map(|night| of(night.motors.get(number)?)).collect()
            };
            let run_down = |m: &MotorCondition| m.run_down.map(|time| time.0);
            let no_load = |m: &MotorCondition| m.no_load.map(|current| current.0);
            AirOfMotor {
                run_down: AgainstNights::of(run_down(now), &values(&run_down)),
                no_load: AgainstNights::of(no_load(now), &values(&no_load)),
            }
        };
        Self { motors: tonight.motors.iter().enumerate().map(motor).collect() }
    }

    /// What is known of a motor, from 0.
    pub fn motor(&self, motor: usize) -> AirOfMotor {
        self.motors.get(motor).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::si::Seconds;

    fn night(run_down_s: Option<f64>) -> Condition {
        let motor =
            MotorCondition { run_down: run_down_s.map(Seconds), ..MotorCondition::default() };
        Condition { motors: vec![motor], ..Condition::default() }
    }

    #[test]
    fn shorter_counts_only_beyond_the_usual_spread_and_with_enough_nights() {
        let before = |times: &[f64]| times.iter().map(|t| night(Some(*t))).collect::<Vec<_>>();
        let run_down = |tonight: Option<f64>, times: &[f64]| {
            InTheAir::of(&night(tonight), &before(times)).motor(0).run_down
        };
        let usual = [1.50, 1.52, 1.48, 1.51];
        let short = run_down(Some(1.2), &usual).unwrap();
        assert!(short.is_less() && !short.is_more(), "{short:?}");
        assert!((short.usual - 1.505).abs() < 1e-12 && short.nights == 4);
        let same = run_down(Some(1.4), &usual).unwrap();
        assert!(!same.is_less(), "7 % is no sign: {same:?}");
        let longer = run_down(Some(1.9), &usual).unwrap();
        assert!(longer.is_more() && !longer.is_less(), "{longer:?}");
        // 20 % less, but nights differ as much anyway.
        let wild = run_down(Some(1.2), &[1.5, 1.2, 1.8, 1.3]).unwrap();
        assert!(!wild.is_less(), "{wild:?}");
        assert_eq!(run_down(Some(1.2), &usual[..2]), None, "two nights are too few");
        assert_eq!(run_down(None, &usual), None, "not measured tonight");
        assert_eq!(InTheAir::default().motor(3), AirOfMotor::default());
    }
}
