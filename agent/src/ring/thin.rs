//! Rows at normal rate for motors whose bridge sends none.
//!
//! A row is the mean of all full-rate readings since the row before, rounded to the wire's
//! step, at the time of the last of them: as a Brush frame says it. It keeps no smallest
//! and largest: a peak between two rows is in the log only at full rate.

use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// A motor without a Brush frame for so long gets rows, in ms. Bridges send one each second
/// at least.
const UNTOLD_MS: u64 = 1_500;

/// Sums of all motors.
#[derive(Debug)]
pub(super) struct Thin {
    every_ms: u64,
    motors: [Sum; MAX_MOTORS],
}

/// One motor's readings since its last row.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    /// Last reading of the bridge itself, or the first at full rate.
    told: Option<BootMs>,
    /// Time of the last row.
    row: BootMs,
    total: i64,
    count: u32,
}

impl Thin {
    /// Rows are so far apart, in ms.
    pub(super) fn new(every_ms: u64) -> Self {
        Self { every_ms, motors: [Sum::default(); MAX_MOTORS] }
    }

    /// A reading at normal rate.
    pub(super) fn normal(&mut self, reading: Reading) {
        if let Some(motor) = self.motor(reading.channel) {
            *motor = Sum { told: Some(reading.at), row: reading.at, ..Sum::default() };
        }
    }

    /// A reading at full rate, and the row that it completes.
    pub(super) fn fine(&mut self, reading: Reading) -> Option<Reading> {
        let every_ms = self.every_ms;
        let channel = reading.channel.normal();
        let motor = self.motor(channel)?;
        let told = *motor.told.get_or_insert(reading.at);
        motor.total += i64::from(reading.raw);
        motor.count = motor.count.saturating_add(1);
        if reading.at.since(told) < UNTOLD_MS || reading.at.since(motor.row) < every_ms {
            return None;
        }
        // Currents of 16 bits: a mean is one of them too.
        let mean = (motor.total as f64 / f64::from(motor.count)).round() as i32;
        *motor = Sum { told: motor.told, row: reading.at, ..Sum::default() };
        Some(Reading { channel, raw: mean, ..reading })
    }

    fn motor(&mut self, channel: Channel) -> Option<&mut Sum> {
        self.motors.get_mut(channel.motor_of_current()?)
    }
}
