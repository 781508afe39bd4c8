//! One decoded quantity with its time, and how frames become readings.

use crate::channel::Channel;
use crate::frame::{Burst, Frame};
use crate::note::Note;
use crate::time::BootMs;
use heapless::Vec;

/// One value of one channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// When, on the board's clock.
    pub at: BootMs,
    /// Of what.
    pub channel: Channel,
    /// The value in raw steps of the channel's resolution.
    pub raw: i32,
}

/// The most readings one frame gives: Brush with four motors.
pub const MAX_READINGS: usize = 12;

/// What one frame puts into the log.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Unpacked {
    /// Channel and raw value of each quantity.
    pub readings: Vec<(Channel, i32), MAX_READINGS>,
    /// Something that happened rather than a quantity.
    pub note: Option<Note>,
}

/// Takes a frame apart. Quantities that the bridge left out give no reading, and a Burst has
/// none at the frame's time: [`unpack_burst`] gives its samples.
pub fn unpack(frame: &Frame) -> Unpacked {
    let mut out = Unpacked::default();
    let mut put = |channel: Option<Channel>, raw: Option<i32>| {
        if let (Some(channel), Some(raw)) = (channel, raw) {
            // MAX_READINGS covers the largest frame; `every_frame_fits` holds it.
            let _ = out.readings.push((channel, raw));
        }
    };
    match frame {
        Frame::Motion(m) => {
            put(Some(Channel::SPEED), Some(m.speed.0.into()));
            put(Some(Channel::TURN_RATE), m.turn_rate.map(|t| t.0.into()));
        }
        Frame::Brush(b) => {
            put(Some(Channel::BRUSH_COMMAND), Some(b.command_on.into()));
            put(Some(Channel::PRESSURE_SETTING), b.pressure_setting.map(|p| p.get().into()));
            for (i, motor) in b.motors.iter().enumerate() {
                put(Channel::brush_current(i), Some(motor.current.0.into()));
                put(Channel::brush_rotation(i), motor.rotation.map(|r| r.0.into()));
            }
        }
        Frame::Runtime(r) => {
            let meter = |m: Option<crate::wire_units::HourMeterRaw>| {
                m.and_then(|m| i32::try_from(m.0).ok())
            };
            put(Some(Channel::KEY_ON_METER), meter(r.key_on));
            put(Some(Channel::BRUSH_ON_METER), meter(r.brush_on));
            put(Some(Channel::TRACTION_METER), meter(r.traction));
        }
        Frame::Power(p) => {
            put(Some(Channel::BATTERY_VOLTAGE), Some(p.voltage.0.into()));
            put(Some(Channel::BATTERY_CURRENT), p.current.map(|c| c.0.into()));
        }
        Frame::Controls(c) => {
            put(Some(Channel::HEAD_DOWN), c.head_down.map(i32::from));
            put(Some(Channel::VACUUM_ON), c.vacuum_on.map(i32::from));
            put(Some(Channel::SOLUTION_FLOW), c.solution_flow.map(|p| p.get().into()));
        }
        Frame::Hello(h) => out.note = Some(Note::Hello(h.clone())),
        Frame::Mark(m) => out.note = Some(Note::Mark(m.clone())),
        Frame::Fault(f) => out.note = Some(Note::Fault(f.clone())),
        // Its samples have times of their own: see `unpack_burst`.
        Frame::Burst(_) => {}
    }
    out
}

/// The samples of a Burst whose frame is of time `at`: readings of the fine channels, in order.
pub fn unpack_burst(at: BootMs, burst: &Burst) -> impl Iterator<Item = Reading> {
    burst.samples().filter_map(move |sample| {
        let channel = Channel::brush_current(sample.motor)?.fine()?;
        let at = BootMs(at.0.saturating_sub(u64::from(sample.before_ms)));
        Some(Reading { at, channel, raw: sample.current.0.into() })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Brush, BrushMotor, MAX_BURST_VALUES};
    use crate::wire_units::{CurrentRaw, Percent, RotationRaw};

    #[test]
    fn every_frame_fits() {
        let motor =
            BrushMotor { current: CurrentRaw(i16::MIN), rotation: Some(RotationRaw(u16::MAX)) };
        let largest = Frame::Brush(Brush {
            command_on: true,
            motors: Vec::from_array([motor; 4]),
            pressure_setting: Percent::new(100),
        });
        assert_eq!(unpack(&largest).readings.len(), 10);
        let mut body = [0; crate::link::MAX_BODY];
        assert!(largest.write_body(&mut body).unwrap() <= 32);
    }

    #[test]
    fn the_worst_burst_fits() {
        let swing =
            |place: usize| CurrentRaw(if (place / 4).is_multiple_of(2) { -16_000 } else { 16_000 });
        let values: [CurrentRaw; MAX_BURST_VALUES] = core::array::from_fn(swing);
        let worst = Frame::Burst(Burst::new(1, 4, &values).unwrap());
        let mut body = [0; crate::link::MAX_BODY];
        // Two numbers, the count, and three bytes for each value.
        assert_eq!(worst.write_body(&mut body), Some(3 + 3 * MAX_BURST_VALUES));
        assert!(unpack(&worst).readings.is_empty());
    }
}
