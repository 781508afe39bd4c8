//! What the simulated machine does: speed, brushes, currents, voltage, hundred times a second.
//!
//! Common practice for sizes (24 to 36 V machine, 0.45 and 1.1 m/s, brush motors of 4 A in
//! the air, 12 A and 22 A on the floor), no published source. People react after 0.5 to 3 s;
//! a sloppy person does one task in five late, half or not at all.

use super::dice::Dice;
use underbrush_agent::learn::{KnownSpeed, Prompt, Task};

pub(crate) const STEP_S: f64 = 0.01;
/// What the live session waits before each task.
const COUNTDOWN_S: f64 = 6.0;

/// How the recording came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mode {
    /// Prompts, followed well.
    Prompted,
    /// Prompts, followed by a person who is late and sometimes wrong.
    Sloppy,
    /// Prompts; the driver does the same tasks in another order.
    Muddled,
    /// No prompts; some speeds noted by hand.
    Noted,
    /// No prompts, nothing noted.
    Alone,
}

#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Moment {
    pub(crate) speed: f64,
    pub(crate) wanted: f64,
    pub(crate) acceleration: f64,
    pub(crate) distance: f64,
    pub(crate) turn: f64,
    pub(crate) brushes_on: bool,
    pub(crate) head_down: bool,
    pub(crate) pressure: f64,
    pub(crate) brush_a: [f64; 2],
    pub(crate) traction_a: f64,
    pub(crate) volts: f64,
    pub(crate) brush_rpm: f64,
}

pub(crate) struct Drive {
    pub(crate) moments: Vec<Moment>,
    pub(crate) prompts: Vec<Prompt>,
    pub(crate) known: Vec<KnownSpeed>,
}

/// What the machine is told to do from a time on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Order {
    from_s: f64,
    speed: f64,
    brushes_on: bool,
    head_down: bool,
    pressure: f64,
}

impl Order {
    pub(crate) fn of(task: Task, from_s: f64, dice: &mut Dice) -> Self {
        let slow = 0.45 * dice.between(0.85, 1.15);
        let fast = 1.1 * dice.between(0.85, 1.1);
        let (speed, brushes_on, head_down, pressure) = match task {
            Task::Stand => (0.0, false, false, 0.0),
            Task::DriveSlow => (slow, false, false, 0.0),
            Task::DriveFast => (fast, false, false, 0.0),
            Task::BrushLifted => (0.0, true, false, 0.0),
            Task::BrushLow => (slow, true, true, 0.3),
            Task::BrushHigh => (slow, true, true, 1.0),
        };
        Self { from_s, speed, brushes_on, head_down, pressure }
    }
}

pub(crate) fn drive(mode: Mode, dice: &mut Dice) -> Drive {
    match mode {
        Mode::Prompted | Mode::Sloppy | Mode::Muddled => prompted(mode, dice),
        Mode::Noted | Mode::Alone => free(mode == Mode::Noted, dice),
    }
}

fn prompted(mode: Mode, dice: &mut Dice) -> Drive {
    let mut prompts = Vec::new();
    let mut orders = vec![Order::of(Task::Stand, 0.0, dice)];
    let mut at = 0.0;
    let mut done = Task::ROUND.map(|(task, _)| task);
    if mode == Mode::Muddled {
        for i in (1..done.len()).rev() {
            done.swap(i, dice.below(i as u64 + 1) as usize);
        }
    }
    for ((task, length), done) in Task::ROUND.into_iter().zip(done) {
        let from_s = at + COUNTDOWN_S;
        at = from_s + length;
        prompts.push(Prompt { from_s, to_s: at, task });
        let late = from_s + dice.between(0.5, 3.0);
        let mut order = Order::of(done, late, dice);
        if mode == Mode::Sloppy && dice.chance(0.2) {
            match dice.below(3) {
                0 => order.from_s += dice.between(3.0, 6.0),
                1 => order.speed = if order.speed > 0.0 { 0.7 } else { 0.15 },
                _ => continue,
            }
        }
        orders.push(order);
    }
    let moments = simulate(&orders, at, dice);
    Drive { moments, prompts, known: Vec::new() }
}

/// Five minutes of usual work, with stops; speeds read four times to 5 %, 1.5 s off.
fn free(noted: bool, dice: &mut Dice) -> Drive {
    const LENGTH_S: f64 = 300.0;
    let mut orders = vec![Order::of(Task::Stand, 0.0, dice)];
    let mut at = dice.between(3.0, 15.0);
    while at < LENGTH_S {
        let task = [Task::Stand, Task::DriveSlow, Task::DriveFast, Task::BrushLow, Task::BrushHigh]
            [dice.below(5) as usize];
        orders.push(Order::of(task, at, dice));
        at += dice.between(8.0, 35.0);
    }
    let moments = simulate(&orders, LENGTH_S, dice);
    let mut known = Vec::new();
    while noted && known.len() < 4 {
        let at_s = dice.between(10.0, LENGTH_S - 10.0);
        let truth = moments[(at_s / STEP_S) as usize].speed;
        // Two while it drives, two wherever.
        if truth > 0.2 || known.len() >= 2 {
            let speed_m_s = truth * dice.between(0.95, 1.05);
            known.push(KnownSpeed { at_s: at_s + dice.between(-1.5, 1.5), speed_m_s });
        }
    }
    Drive { moments, prompts: Vec::new(), known }
}

fn simulate(orders: &[Order], length_s: f64, dice: &mut Dice) -> Vec<Moment> {
    let mut machine = Machine::new(dice);
    (0..(length_s / STEP_S) as usize)
        .map(|tick| {
            let at = tick as f64 * STEP_S;
            let order = orders.iter().rev().find(|order| order.from_s <= at).unwrap_or(&orders[0]);
            machine.step(order, at, dice)
        })
        .collect()
}

/// The machine, a hundredth of a second after the other.
pub(crate) struct Machine {
    now: Moment,
    wander: f64,
    turn: f64,
    ripple: [f64; 2],
    /// How fast it starts, in m/s².
    pub(crate) ramp: f64,
    motors: [f64; 2],
    load: f64,
}

impl Machine {
    pub(crate) fn new(dice: &mut Dice) -> Self {
        Self {
            now: Moment::default(),
            wander: 0.0,
            turn: 0.0,
            ripple: [0.0; 2],
            ramp: dice.between(0.3, 0.8),
            motors: [dice.between(0.9, 1.1), dice.between(0.9, 1.1)],
            load: 0.0,
        }
    }

    /// What it does at `at` s.
    pub(crate) fn step(&mut self, order: &Order, at: f64, dice: &mut Dice) -> Moment {
        let Self { now, wander, turn, ripple, ramp, motors, load } = self;
        *wander += STEP_S * (-0.4 * *wander + 0.06 * dice.normal() / STEP_S.sqrt());
        *turn += STEP_S * (-0.3 * *turn + 0.3 * dice.normal() / STEP_S.sqrt());
        now.wanted = order.speed;
        let target = order.speed * (1.0 + *wander);
        let before = now.speed;
        // A brake stops harder than a motor starts.
        let most = if target < before { 1.5 * *ramp } else { *ramp };
        now.speed = (before + (target - before).clamp(-most * STEP_S, most * STEP_S)).max(0.0);
        now.acceleration = (now.speed - before) / STEP_S;
        now.distance += now.speed * STEP_S;
        now.turn = if now.speed > 0.0 { *turn } else { 0.0 };
        let spin_up = order.brushes_on && !now.brushes_on;
        now.brushes_on = order.brushes_on;
        now.head_down = order.head_down;
        now.pressure = order.pressure;
        let on_floor = if order.head_down { 8.0 + 14.0 * (order.pressure - 0.3) } else { 0.0 };
        *load += STEP_S / 0.6 * (on_floor - *load);
        for motor in 0..2 {
            ripple[motor] += STEP_S * (-3.0 * ripple[motor] + 0.25 * dice.normal() / STEP_S.sqrt());
            let level = (4.0 + *load) * motors[motor] * (1.0 + ripple[motor]);
            let goal = if now.brushes_on { level } else { 0.0 };
            if spin_up {
                now.brush_a[motor] += 20.0;
            }
            let lag = STEP_S / 0.15;
            now.brush_a[motor] += lag * (goal - now.brush_a[motor]);
            if !now.brushes_on && now.brush_a[motor] < 0.05 {
                now.brush_a[motor] = 0.0;
            }
        }
        let spun = if now.brushes_on { 190.0 - 1.5 * *load } else { 0.0 };
        now.brush_rpm += STEP_S / 0.8 * (spun - now.brush_rpm);
        let rolls = if now.speed > 0.0 { 6.0 + 4.0 * now.speed + 0.4 * *load } else { 0.0 };
        now.traction_a = (rolls + 30.0 * now.acceleration + dice.normal()).max(0.0);
        let total = now.brush_a[0] + now.brush_a[1] + now.traction_a;
        now.volts = 36.8 - 0.00005 * at * total - 0.035 * total;
        *now
    }
}
