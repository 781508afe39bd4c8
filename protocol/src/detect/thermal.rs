//! How hot a motor is: the thermal replica of overload relays.
//!
//! Model (IEC 60255-149, before it IEC 60255-8): a body with one time constant
//! tau, heated by the square of the current. Its share of the limit goes
//! towards (I / (k IB))², where IB is the rated current and k IB what the motor
//! may draw for ever:
//!
//! `share' = h + (share - h) e^(-dt/tau)`, `h = (I / (k IB))²`
//!
//! This is exact for a current that is constant within the step. At 10 readings
//! a second each reading is the mean of its step, and the mean of squares is a
//! little more than the square of the mean: what is left out is the current's
//! variance within 0.1 s, below 0.1 % of h at work and below 5 % of h in the
//! one step in which a rotor is caught.
//!
//! While no current is read it is taken to go on as in the seconds before, for a
//! minute at most; then the motor is taken to neither heat nor cool. A gap of
//! that minute at 90 % of the limit is wrong by 6 % of it at worst, where the
//! brushes were in truth switched off (tau 15 min: 0.9 (1 - e^(-1/15))).

/// Time constant of the mean that goes on through a gap, in ms.
const RECENT_MS: f64 = 5_000.0;
/// Longest gap that it goes on through, in ms.
const LONGEST_MS: u64 = 60_000;

/// Constants of the replica.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalSettings {
    /// k IB: what the motor may draw for ever, in A.
    pub limit_a: f64,
    /// tau, in s.
    pub time_constant_s: f64,
    /// Share of the limit from where on to warn.
    pub warning: f64,
}

/// The replica of one motor.
#[derive(Clone, Copy, Debug)]
pub struct ThermalReplica {
    settings: ThermalSettings,
    share: f64,
    /// The length of the last step and what of a difference is left after it.
    step_ms: u64,
    left: f64,
    /// Mean of h over the last seconds, and for how long nothing was read.
    recent: f64,
    unread_ms: u64,
}

impl ThermalReplica {
    /// A cold motor.
    pub fn new(settings: ThermalSettings) -> Self {
        Self { settings, share: 0.0, step_ms: 0, left: 1.0, recent: 0.0, unread_ms: 0 }
    }

    /// Goes on by `ms` with this current in A; `None`: not read.
    pub fn step(&mut self, ms: u64, current_a: Option<f32>) {
        let Some(current_a) = current_a else {
            let ms = ms.min(LONGEST_MS.saturating_sub(self.unread_ms));
            if ms == 0 {
                return;
            }
            self.unread_ms += ms;
            let left = exp_minus(ms as f64 / 1000.0 / self.settings.time_constant_s);
            self.share = self.recent + (self.share - self.recent) * left;
            return;
        };
        self.unread_ms = 0;
        if ms != self.step_ms {
            self.step_ms = ms;
            self.left = exp_minus(ms as f64 / 1000.0 / self.settings.time_constant_s);
        }
        let heat = f64::from(current_a) / self.settings.limit_a;
        let heat = heat * heat;
        self.recent += (heat - self.recent) * (ms as f64 / RECENT_MS).min(1.0);
        self.share = heat + (self.share - heat) * self.left;
    }

    /// Without current for this long; `None`: nobody knows how long, taken as cold.
    pub fn rests(&mut self, seconds: Option<f64>) {
        (self.recent, self.unread_ms) = (0.0, 0);
        self.share *=
            seconds.map_or(0.0, |s| exp_minus(s.max(0.0) / self.settings.time_constant_s));
    }

    /// Share of the limit: 0 cold, 1 at the limit.
    pub fn share(&self) -> f64 {
        self.share
    }

    /// The constants in use.
    pub fn settings(&self) -> ThermalSettings {
        self.settings
    }
}

/// e^-x for x from 0 on; `core` has no `exp`.
///
/// e^-x = (e^(-x / 2^n))^(2^n) with x / 2^n below 1/16, where seven terms of the
/// series leave less than 1e-13.
fn exp_minus(x: f64) -> f64 {
    if x > 700.0 {
        return 0.0;
    }
    let (mut y, mut halvings) = (x, 0);
    while y > 0.0625 {
        y *= 0.5;
        halvings += 1;
    }
    let mut term = 1.0;
    let mut sum = 1.0;
    for n in 1..=9 {
        term *= -y / f64::from(n);
        sum += term;
    }
    for _ in 0..halvings {
        sum *= sum;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn replica(tau_s: f64) -> ThermalReplica {
        let settings = ThermalSettings { limit_a: 1.0, time_constant_s: tau_s, warning: 0.9 };
        ThermalReplica::new(settings)
    }

    /// Seconds until the share reaches 1 at 10 steps a second.
    fn trip_s(mut replica: ThermalReplica, current: f32) -> f64 {
        let mut steps = 0_u32;
        while replica.share() < 1.0 {
            replica.step(100, Some(current));
            steps += 1;
        }
        f64::from(steps) * 0.1
    }

    /// t = tau ln((I² - Ip²) / (I² - 1)), currents in k IB.
    fn closed_s(tau_s: f64, current: f64, before: f64) -> f64 {
        let square = current * current;
        tau_s * ((square - before * before) / (square - 1.0)).ln()
    }

    // Source: IEC 60255-8 formula as three manuals of overload relays print it;
    // expected times computed from it (check values TH-04: 10 min, k = 1).
    #[test]
    fn trips_when_the_published_formula_says() {
        for (current, before, minutes) in [
            (1.5_f32, 0.0, 5.877_867),
            (2.0, 0.0, 2.876_821),
            (1.5, 0.9_f64, 1.414_996),
            (2.0, 0.9, 0.614_086),
        ] {
            let mut motor = replica(600.0);
            // Preload is the current before, as a share of k IB.
            motor.share = before * before;
            let found = trip_s(motor, current);
            assert!((found - minutes * 60.0).abs() <= 0.1, "{current}: {found} s");
            let closed = closed_s(600.0, f64::from(current), before);
            assert!((closed - minutes * 60.0).abs() < 0.001, "{current}: {closed} s");
        }
    }

    // The same formula over a table of currents and time constants, cold and hot: the replica
    // trips in the step that the closed form falls into, never more than one step later.
    #[test]
    fn ten_steps_a_second_are_the_closed_form() {
        for tau_s in [60.0, 600.0, 900.0, 3600.0] {
            for current in [1.02_f32, 1.1, 1.25, 1.5, 2.0, 3.0, 6.0] {
                for before in [0.0, 0.5, 0.9] {
                    let mut motor = replica(tau_s);
                    motor.share = before * before;
                    let late = trip_s(motor, current) - closed_s(tau_s, f64::from(current), before);
                    assert!(
                        (-1e-6..=0.1 + 1e-6).contains(&late),
                        "{tau_s} {current} {before}: {late}"
                    );
                }
            }
        }
    }

    // Source: check values TH-01 and TH-02, from a relay manual's examples: 5 s allowed at
    // 6 IB with k = 1.1 makes tau 146 s from cold and 830 s from a motor at IB.
    #[test]
    fn five_seconds_at_six_times_the_rated_current() {
        let k = 1.1;
        let cold = trip_s(replica(146.25), (6.0 / k) as f32);
        assert!((cold - 5.0).abs() <= 0.101, "{cold} s");
        let mut hot = replica(830.8);
        hot.share = 1.0 / (k * k);
        let hot = trip_s(hot, (6.0 / k) as f32);
        assert!((hot - 5.0).abs() <= 0.101, "{hot} s");
    }

    // Source: check value TH-03, from a relay manual's example: from 101 K above its
    // surroundings a motor with tau 1026 s cools in 600 s to 56.28 K (96 °C printed).
    #[test]
    fn cools_as_printed() {
        let mut motor = replica(1026.0);
        motor.share = 101.0;
        let mut by_steps = motor;
        motor.rests(Some(600.0));
        assert!((40.0 + motor.share() - 96.28).abs() < 0.005, "{}", motor.share());
        (0..6_000).for_each(|_| by_steps.step(100, Some(0.0)));
        assert!((by_steps.share() - motor.share()).abs() < 1e-9);
        motor.rests(None);
        assert!(motor.share().abs() < 1e-12);
    }

    #[test]
    fn an_unread_minute_goes_on_as_before_and_more_changes_nothing() {
        let mut motor = replica(600.0);
        (0..6_000).for_each(|_| motor.step(100, Some(0.8)));
        let mut seen = motor;
        (0..600).for_each(|_| seen.step(100, Some(0.8)));
        motor.step(40_000, None);
        motor.step(600_000, None);
        motor.step(600_000, None);
        assert!((motor.share() - seen.share()).abs() < 1e-6, "{motor:?} {seen:?}");
        let before = motor.share();
        motor.step(100, Some(0.8));
        assert!(motor.share() > before && before > 0.4);
    }

    #[test]
    fn the_exponential_is_that_of_std() {
        for i in 0..2_000 {
            let x = f64::from(i) * f64::from(i) * 2e-4;
            let (own, std) = (exp_minus(x), (-x).exp());
            assert!((own - std).abs() <= 1e-11 * std + 1e-300, "{x}: {own} {std}");
        }
        assert!(exp_minus(1e9).abs() < 1e-300 && (exp_minus(0.0) - 1.0).abs() < 1e-15);
    }
}
