//! What a signal of a role sends while the machine moves.
//!
//! Those that look most like a speed or a brush current on purpose: the pedal (follows the
//! wish at once), the torque (rises with speed and load), the turning speed of an engine or
//! of the brushes, the sum of all currents, the battery's sag.

use super::dice::Dice;
use super::layout::Place;
use super::machine::Moment;

/// A signal at work.
pub(crate) struct Signal {
    pub(crate) place: Place,
    pub(crate) kind: Kind,
    gain: f64,
    zero: f64,
    noise: f64,
    held: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Speed,
    Brush(usize),
    Counter,
    Checksum,
    Odometer,
    Temperature,
    Voltage,
    Engine,
    Steer,
    Acceleration,
    Pedal,
    Traction,
    Clock,
    Constant,
    Noise,
    BrushSpeed,
    AllCurrents,
    Pressure,
    Moves,
    BrushesOn,
    HeadDown,
    Seldom,
}

impl Signal {
    /// `brush` counts the current signals of the bus.
    pub(crate) fn new(place: &Place, brush: &mut usize, dice: &mut Dice) -> Self {
        let kind = kind(place, brush, dice);
        let most = place.most();
        // Steps for the largest value that comes, at most three quarters of what fits.
        let full = |steps: f64| steps.min(0.75 * most);
        let (gain, zero, noise) = match kind {
            // Wheels differ, and slip a little.
            Kind::Speed => (
                dice.between(0.98, 1.02) / place.factor,
                -place.offset / place.factor,
                dice.between(0.0, 0.004),
            ),
            Kind::Brush(_) => {
                let middle = if dice.chance(0.25) && !place.signed && most > 1000.0 {
                    (most / 2.0).floor()
                } else {
                    0.0
                };
                (full(dice.between(200.0, 2000.0)).min(most - middle) / 45.0, middle, 0.15)
            }
            Kind::Odometer => (1.0 / dice.between(0.005, 0.2), 0.0, 0.0),
            Kind::Temperature => (full(dice.between(20.0, 400.0)) / 40.0, most * 0.4, 0.05),
            Kind::Voltage => (0.8 * full(4000.0) / 38.0, 0.0, 0.03),
            Kind::Engine => (full(3000.0) / 2400.0, 0.0, 6.0),
            Kind::Steer | Kind::Acceleration => {
                let middle = if place.signed { 0.0 } else { (most / 2.0).floor() };
                ((most - middle).min(2000.0) / 3.0, middle, 0.01)
            }
            Kind::Pedal => (full(dice.between(80.0, 250.0)) / 1.3, 0.0, 0.004),
            Kind::Traction | Kind::AllCurrents => (full(1000.0) / 90.0, 0.0, 0.3),
            Kind::Clock => (if dice.chance(0.5) { 1.0 } else { 10.0 }, 0.0, 0.0),
            Kind::BrushSpeed => (full(2000.0) / 200.0, 0.0, 0.8),
            Kind::Pressure => (full(dice.between(3.0, 100.0)), 0.0, 0.0),
            _ => (1.0, 0.0, 0.0),
        };
        let held = dice.between(0.0, most).floor();
        Self { place: place.clone(), kind, gain, zero, noise, held }
    }

    /// The whole number it sends.
    pub(crate) fn number(&mut self, now: &Moment, at_s: f64, dice: &mut Dice) -> i64 {
        let switch = |on: bool| if on { 1.0 } else { 0.0 };
        let value = match self.kind {
            Kind::Speed => now.speed * (1.0 + self.noise * dice.normal() + 0.01 * now.turn),
            Kind::Brush(motor) => {
                let a = now.brush_a[motor];
                if a > 0.0 { a + self.noise * dice.normal() } else { 0.0 }
            }
            Kind::Odometer => return (now.distance * self.gain) as i64 & self.ones(),
            Kind::Temperature => {
                self.held = 20.0 * (1.0 - (-at_s / 200.0).exp());
                self.held + self.noise * dice.normal()
            }
            Kind::Voltage => now.volts + self.noise * dice.normal(),
            Kind::Engine => {
                self.held += 0.05 * (800.0 + 900.0 * now.wanted - self.held);
                self.held + self.noise * dice.normal()
            }
            Kind::Steer => now.turn + self.noise * dice.normal(),
            Kind::Acceleration => now.acceleration + 3.0 * self.noise * dice.normal(),
            Kind::Pedal => {
                if now.wanted > 0.0 {
                    now.wanted * 1.1 + self.noise * dice.normal()
                } else {
                    0.0
                }
            }
            Kind::Traction => now.traction_a,
            Kind::AllCurrents => now.traction_a + now.brush_a[0] + now.brush_a[1] + 1.5,
            Kind::Clock => return (at_s * self.gain) as i64 & self.ones(),
            Kind::BrushSpeed => {
                if now.brush_rpm > 1.0 {
                    now.brush_rpm + self.noise * dice.normal()
                } else {
                    0.0
                }
            }
            Kind::Pressure => now.pressure,
            Kind::Moves => switch(now.speed > 0.03),
            Kind::BrushesOn => switch(now.brushes_on),
            Kind::HeadDown => switch(now.head_down),
            Kind::Seldom => {
                if dice.chance(0.001) {
                    self.held = dice.between(0.0, self.place.most()).round();
                }
                self.held
            }
            Kind::Noise => return (dice.bits() >> 16) as i64 & self.ones(),
            Kind::Counter => {
                self.held = (self.held + 1.0) % (self.place.most() + 1.0).max(2.0);
                self.held
            }
            Kind::Constant | Kind::Checksum => self.held,
        };
        (value * self.gain + self.zero).round() as i64
    }

    fn ones(&self) -> i64 {
        ((1_i64 << self.place.len.min(31)) - 1) >> i64::from(self.place.signed)
    }
}

fn kind(place: &Place, brush: &mut usize, dice: &mut Dice) -> Kind {
    match place.role.as_str() {
        "speed" | "coarse" => Kind::Speed,
        "current" => {
            *brush += 1;
            Kind::Brush((*brush - 1).min(1))
        }
        "counter" => Kind::Counter,
        "checksum" => Kind::Checksum,
        "odometer" => Kind::Odometer,
        "temperature" => Kind::Temperature,
        "voltage" => Kind::Voltage,
        "rpm" => Kind::Engine,
        "steer" => Kind::Steer,
        "acceleration" => Kind::Acceleration,
        "pedal" => Kind::Pedal,
        "torque" => Kind::Traction,
        "clock" => Kind::Clock,
        "switch" => match dice.below(20) {
            0 => Kind::Moves,
            1 => Kind::BrushesOn,
            2 => Kind::HeadDown,
            3..8 => Kind::Seldom,
            _ => Kind::Constant,
        },
        "setting" => match dice.below(20) {
            0 => Kind::Pressure,
            1..6 => Kind::Seldom,
            _ => Kind::Constant,
        },
        _ => match dice.below(10) {
            0 => Kind::BrushSpeed,
            1 => Kind::AllCurrents,
            2 => Kind::Noise,
            3 => Kind::Temperature,
            4 => Kind::Seldom,
            5 => Kind::Voltage,
            _ => Kind::Constant,
        },
    }
}
