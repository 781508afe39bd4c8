//! What each channel can say: the limits of the machine file's `[sensors]`, judged by the rule
//! that detectors and report share ([`all_possible`]), and those of the channel itself.

use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::step::rates;
use underbrush_protocol::detect::{Interval, MotorState, SensorLimits, all_possible};
use underbrush_protocol::settings::Machine;

/// Limits of one channel, in its unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bounds {
    pub(super) least: f64,
    pub(super) most: f64,
    /// Where they come from.
    pub(super) from: &'static str,
}

/// The limits of a channel; `None`: anything is possible.
pub(super) fn bounds(channel: Channel, machine: &Machine) -> Option<Bounds> {
    let limits = machine.sensor_limits();
    let both = |most: f32, from| Bounds { least: -f64::from(most), most: most.into(), from };
    let bounds = match channel {
        Channel::SPEED => both(limits.speed_m_s, "sensors.max_speed"),
        Channel::TURN_RATE => both(limits.turn_rad_s, "half a turn a second"),
        Channel::BATTERY_VOLTAGE => Bounds {
            least: limits.battery_v.0.into(),
            most: limits.battery_v.1.into(),
            from: "0.4 to 1.5 x battery.nominal_voltage",
        },
        Channel::BRUSH_COMMAND | Channel::HEAD_DOWN | Channel::VACUUM_ON => {
            Bounds { least: 0.0, most: 1.0, from: "off or on" }
        }
        Channel::PRESSURE_SETTING | Channel::SOLUTION_FLOW => {
            Bounds { least: 0.0, most: 100.0, from: "a percentage" }
        }
        _ if channel.motor_of_current().is_some() => both(
            limits.current_a,
            match machine.sensors.max_current {
                Some(_) => "sensors.max_current",
                None => "a motor held still at 1.5 x battery",
            },
        ),
        _ if channel.brush_of_rotation().is_some() => Bounds {
            least: 0.0,
            most: limits.rotation_rpm.into(),
            from: "a motor without load at 1.5 x battery",
        },
        _ => return None,
    };
    Some(bounds)
}

/// Whether a channel can have this value.
pub(super) fn is_possible(channel: Channel, value: f64, limits: &SensorLimits) -> bool {
    let said = Some(value as f32);
    let mut interval = Interval::default();
    match channel {
        Channel::SPEED => interval.speed_m_s = said,
        Channel::TURN_RATE => interval.turn_rad_s = said,
        Channel::BATTERY_VOLTAGE => interval.states.battery_v = said,
        _ => {
            let state = MotorState {
                current_a: channel.motor_of_current().and(said),
                rotation_rpm: channel.brush_of_rotation().and(said),
            };
            // The capacity is that of all motors.
            let _ = interval.motors.push(state);
        }
    }
    all_possible(&interval, limits)
}

/// Whether it speaks at a steady rate; else it is a state that is repeated now and then.
pub(super) fn is_rate(channel: Channel) -> bool {
    rates::place(channel).is_some()
}

/// Whether a value other than 0 that never changes is told as stuck.
pub(super) fn is_live(channel: Channel) -> bool {
    matches!(channel, Channel::SPEED | Channel::TURN_RATE) || channel.motor_of_current().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_say_where_they_come_from() {
        let text = include_str!("../../tests/data/machine.toml");
        let current = Channel::brush_current(0).unwrap();
        let of = |more: &str| {
            let machine = Machine::parse("machine.toml", &(text.to_owned() + more)).unwrap();
            let bounds = bounds(current, &machine).unwrap();
            (bounds.least.round(), bounds.most.round(), bounds.from)
        };
        assert_eq!(of(""), (-300.0, 300.0, "a motor held still at 1.5 x battery"));
        let given = of("\n[sensors]\nmax_current = \"120 A\"\n");
        assert_eq!(given, (-120.0, 120.0, "sensors.max_current"));
    }
}
