//! Friction power of a brush from its motor.
//!
//! Model, permanent-magnet DC motor (any textbook on electric machines): torque
//! = k (I - I0), where I0 turns motor and gear alone; speed = (V - I R) / k,
//! with the same k in SI; friction power = torque x speed. Where the brush's
//! rotation is measured it gives the motor's speed by the gear ratio. `V` is
//! the battery voltage, the nominal one while none was read.

use underbrush_protocol::detect::Interval;
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::Motor;
use underbrush_protocol::si::{
    Amperes, Joules, NewtonMetres, RadiansPerSecond, Seconds, Volts, Watts,
};

/// Friction power of one brush; never negative.
pub(super) fn friction_power(
    motor: &Motor,
    current: Amperes,
    rotation_rpm: Option<f64>,
    battery: Volts,
) -> Watts {
    let k = motor.torque_constant.0;
    let torque = NewtonMetres(k * (current - motor.no_load_current).0.max(0.0));
    let speed = match rotation_rpm {
        Some(rpm) => RadiansPerSecond::from_rpm(rpm * motor.gear_ratio),
        None => RadiansPerSecond(((battery.0 - current.0 * motor.resistance.0) / k).max(0.0)),
    };
    torque * speed
}

/// Friction energy in J of each brush in a step; empty where no current was observed.
pub(super) fn step_energy(
    machine: &Machine,
    interval: &Interval,
) -> heapless::Vec<f64, MAX_MOTORS> {
    let nominal = machine.battery.nominal_voltage;
    let battery = interval.states.battery_v.map_or(nominal, |v| Volts(f64::from(v)));
    let length = Seconds::from_ms(interval.ms());
    let mut energy = heapless::Vec::new();
    for state in &interval.motors {
        let Some(current) = state.current_a else { break };
        let rpm = state.rotation_rpm.map(f64::from);
        let power = friction_power(&machine.motor, Amperes(f64::from(current)), rpm, battery);
        // Interval holds at most MAX_MOTORS motors.
        let _ = energy.push((power * length).0);
    }
    energy
}

/// Adds a step's energy to the sums of the brushes.
pub(super) fn add_energy(sums: &mut Vec<Joules>, step: &[f64]) {
    sums.resize(sums.len().max(step.len()), Joules(0.0));
    for (sum, joules) in sums.iter_mut().zip(step) {
        *sum += Joules(*joules);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::si::{NewtonMetresPerAmpere, Ohms};

    // Source: a published textbook problem (12 V motor, 3800 r/min no-load, 30 mN·m stall torque,
    // run at 2500 r/min), check value MOT-02: k 0.030156, I 0.34034 A, R 12.0623 ohm, P 2.68689 W.
    #[test]
    fn textbook_motor() {
        let motor = Motor {
            torque_constant: NewtonMetresPerAmpere(0.030_156),
            resistance: Ohms(12.0623),
            no_load_current: Amperes(0.0),
            gear_ratio: 1.0,
            rated_current: Amperes(1.0),
        };
        let from_voltage = friction_power(&motor, Amperes(0.34034), None, Volts(12.0));
        assert!((from_voltage.0 - 2.68689).abs() < 1e-3, "{from_voltage:?}");
        let from_speed = friction_power(&motor, Amperes(0.34034), Some(2500.0), Volts(12.0));
        assert!((from_speed.0 - 2.68689).abs() < 1e-3, "{from_speed:?}");
        assert_eq!(friction_power(&motor, Amperes(-1.0), None, Volts(12.0)), Watts(0.0));
    }
}
