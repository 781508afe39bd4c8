//! Friction energy over the days.
//!
//! Words: *origin* is the day at which counting begins: the day the tool was
//! fitted, or the first day that the logs cover if that is later. Energy before
//! the origin is negative: mean days stand in for the days without logs.
//!
//! A set that comes off and on again collects energy only on the nights it was on.
//!
//! Model of the use: days are drawn alike and independently, idle days
//! included. The deviation from day to day is that of the days seen, together
//! with a first guess (half of the mean, worth 4 days: our own choice) that keeps
//! few days from looking certain. The sum over t days ahead has mean t m and
//! variance t s^2 + t^2 s^2 / n, the second part for the mean being uncertain
//! itself. A change of the work (a restoration begins, a hall is closed) is not
//! in the model.

use super::finding::DailyUse;
use crate::findings::history::Night;
use crate::settings::Stint;
use chrono::NaiveDate;
use underbrush_protocol::si::Joules;

/// The first guess of the deviation over the mean, and the days it is worth.
const GUESS: f64 = 0.5;
const GUESS_DAYS: f64 = 4.0;

/// The days that logs cover.
#[derive(Clone, Copy, Debug)]
pub(super) struct Calendar<'a> {
    pub(super) nights: &'a [Night],
    /// First day covered; nights before it are not counted.
    pub(super) covered: NaiveDate,
    /// Where energy is counted from.
    pub(super) origin: NaiveDate,
    /// Day of the shift, the last one.
    pub(super) today: NaiveDate,
    /// When the tool was on; empty: all the time.
    pub(super) stints: &'a [Stint],
}

/// Energy of a stretch of days: mean and variance, J and J^2.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ahead {
    pub(super) mean: f64,
    pub(super) variance: f64,
}

impl Calendar<'_> {
    /// Motors with readings of their own.
    pub(super) fn motors(&self) -> usize {
        self.nights.iter().map(|night| night.energy.len()).max().unwrap_or(0)
    }

    /// Energy of a brush in a night: that of its motor, or of the last motor that is read.
    fn of_night(night: &Night, brush: usize) -> f64 {
        night.energy.get(brush).or(night.energy.last()).map_or(0.0, |energy| energy.0)
    }

    fn counted(&self) -> impl Iterator<Item = &Night> {
        self.nights.iter().filter(|n| n.date >= self.covered && n.date <= self.today)
    }

    /// Nights covered in which the tool was on.
    fn fitted(&self) -> impl Iterator<Item = &Night> {
        let on = |n: &&Night| self.stints.is_empty() || self.stints.iter().any(|s| s.holds(n.date));
        self.counted().filter(on)
    }

    /// Energy from `from` up to, but without, the night of `before`: people measure before work.
    pub(super) fn energy(&self, brush: usize, from: NaiveDate, before: NaiveDate) -> f64 {
        let from = from.max(self.origin);
        self.fitted()
            .filter(|n| n.date >= from && n.date < before)
            .map(|n| Self::of_night(n, brush))
            .sum()
    }

    /// Energy from the origin to the end of the shift.
    pub(super) fn total(&self, brush: usize) -> f64 {
        self.fitted().filter(|n| n.date >= self.origin).map(|n| Self::of_night(n, brush)).sum()
    }

    /// Nights with brush work from `from` on, the shift included.
    pub(super) fn nights_of_work(&self, brush: usize, from: NaiveDate) -> u32 {
        let from = from.max(self.origin);
        self.fitted().filter(|n| n.date >= from && Self::of_night(n, brush) > 0.0).count() as u32
    }

    /// Mean day and its deviation, over all days covered.
    pub(super) fn daily(&self, brush: usize) -> DailyUse {
        let days = ((self.today - self.covered).num_days() + 1).max(1) as f64;
        let (mut sum, mut squares) = (0.0, 0.0);
        for night in self.counted() {
            let energy = Self::of_night(night, brush);
            sum += energy;
            squares += energy * energy;
        }
        let mean = sum / days;
        let scatter = (squares - days * mean * mean).max(0.0);
        let guess = GUESS_DAYS * (GUESS * mean).powi(2);
        let variance = (guess + scatter) / (GUESS_DAYS + days - 1.0);
        DailyUse { mean: Joules(mean), deviation: Joules(variance.sqrt()), days: days as u32 }
    }
}

impl DailyUse {
    /// Energy of `days` further days.
    pub(super) fn ahead(self, days: f64) -> Ahead {
        let seen = f64::from(self.days.max(1));
        // The deviation is estimated: this is the variance of Student's t over that of the normal.
        let degrees = GUESS_DAYS + seen - 1.0;
        let inflated = self.deviation.0.powi(2) * degrees / (degrees - 2.0);
        Ahead { mean: self.mean.0 * days, variance: inflated * (days + days * days / seen) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn night(day: u32, energy: &[f64]) -> Night {
        Night {
            date: NaiveDate::from_ymd_opt(2026, 11, day).unwrap(),
            energy: energy.iter().map(|e| Joules(*e)).collect(),
            ..Night::default()
        }
    }

    // Worked by hand: days 1 to 4, of which day 3 has no log and day 4 is the shift.
    #[test]
    fn idle_days_count() {
        let nights = [night(1, &[2.0, 4.0]), night(2, &[4.0, 4.0]), night(4, &[6.0, 0.0])];
        let day = |n| NaiveDate::from_ymd_opt(2026, 11, n).unwrap();
        let calendar = Calendar {
            nights: &nights,
            covered: day(1),
            origin: day(2),
            today: day(4),
            stints: &[],
        };
        assert_eq!(calendar.motors(), 2);
        assert_eq!((calendar.total(0), calendar.total(1)), (10.0, 4.0));
        // From the origin, and before the work of day 4.
        assert_eq!((calendar.energy(0, day(1), day(4)), calendar.motors()), (4.0, 2));
        assert_eq!(
            (calendar.nights_of_work(0, day(1)), calendar.nights_of_work(1, day(1))),
            (2, 1)
        );
        let daily = calendar.daily(0);
        assert_eq!((daily.mean, daily.days), (Joules(3.0), 4));
        // Squares 4 + 16 + 36 = 56, less 4 x 9: scatter 20; guess 4 x 1.5^2 = 9; over 4 + 4 - 1.
        assert!((daily.deviation.0.powi(2) - 29.0 / 7.0).abs() < 1e-12);
        // 7 degrees: 29/7 x 7/5 = 5.8; two days ahead: 5.8 x (2 + 4 / 4).
        let ahead = daily.ahead(2.0);
        assert!((ahead.mean - 6.0).abs() < 1e-12 && (ahead.variance - 17.4).abs() < 1e-12);
        assert_eq!(calendar.daily(7).mean, calendar.daily(1).mean, "one motor stands for the rest");
    }
}
