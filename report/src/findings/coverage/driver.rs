//! A made-up operator for tests: drives lanes over a rectangle and knows what was brushed.
//!
//! It shares no code with the path or the raster: a time step of 10 ms, steering
//! towards each lane's line with an unsteady hand, sensors of their own with
//! noise and a bias that wanders, and brushed floor by points every 2 cm.

use crate::findings::path::Motion;

/// Numbers of splitmix64 (S. Vigna, public domain), normal by sums of twelve.
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x51ED_270B)
    }

    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn noise(&mut self, sigma: f64) -> f64 {
        sigma * ((0..12).map(|_| self.unit()).sum::<f64>() - 6.0)
    }
}

/// What is driven.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job {
    pub(super) minutes: f64,
    /// Way between two turns, and from the first to the last lane, m.
    pub(super) lane_m: f64,
    pub(super) breadth_m: f64,
    pub(super) spacing_m: f64,
    pub(super) speed_m_s: f64,
    pub(super) width_m: f64,
    /// Standard deviation of the gyro's bias, rad/s, and of its noise.
    pub(super) bias: f64,
    pub(super) noise: f64,
    /// Error of its scale, a share.
    pub(super) scale: f64,
    /// A lane that is left out in every sweep.
    pub(super) left_out: Option<usize>,
    /// Once over and no more.
    pub(super) once: bool,
}

impl Default for Job {
    fn default() -> Self {
        Self {
            minutes: 45.0,
            lane_m: 7.0,
            breadth_m: 6.0,
            spacing_m: 0.6,
            speed_m_s: 0.55,
            width_m: 0.7112,
            bias: 0.0015,
            noise: 0.002,
            scale: 0.0,
            left_out: None,
            once: false,
        }
    }
}

/// What came of it.
pub(super) struct Driven {
    pub(super) steps: Vec<Motion>,
    pub(super) distinct_m2: f64,
    pub(super) swept_m2: f64,
    /// True heading after each step.
    pub(super) headings: Vec<f64>,
}

/// Side of a square of the true floor, m.
const POINT_M: f64 = 0.02;
/// The true floor is a square that begins this far below the first place, and its side in points.
const EDGE_M: f64 = 4.0;
const ACROSS: usize = 2000;
const DT_S: f64 = 0.01;

struct Hand {
    job: Job,
    dice: Dice,
    x: f64,
    y: f64,
    heading: f64,
    wobble: f64,
    bias: f64,
    floor: Vec<bool>,
    way: f64,
    since: (u32, f64, f64),
    unbrushed_m: f64,
    out: Driven,
}

/// Drives a job.
pub(super) fn drive(job: Job, seed: u64) -> Driven {
    let mut dice = Dice::new(seed);
    let bias = dice.noise(job.bias);
    let out = Driven { steps: Vec::new(), distinct_m2: 0.0, swept_m2: 0.0, headings: Vec::new() };
    let mut hand = Hand {
        job,
        dice,
        x: 0.0,
        y: 0.0,
        heading: 0.0,
        wobble: 0.0,
        bias,
        floor: vec![false; ACROSS * ACROSS],
        way: 0.0,
        since: (0, 0.0, 0.0),
        unbrushed_m: 0.0,
        out,
    };
    hand.stand(5.0);
    let lanes = (job.breadth_m / job.spacing_m).round() as i32;
    let (mut lane, mut step, mut ahead) = (0, 1, true);
    while (hand.out.steps.len() as f64) < job.minutes * 600.0 {
        let brush = job.left_out != Some(lane as usize);
        hand.lane(f64::from(lane) * job.spacing_m, ahead, brush);
        if lane + step < 0 || lane + step > lanes {
            if job.once {
                break;
            }
            step = -step;
        }
        if hand.dice.unit() < 0.25 {
            let pause = 0.2 + 0.9 * hand.dice.unit();
            hand.stand(pause);
        }
        if hand.dice.unit() < 0.02 {
            hand.stand(6.0);
        }
        hand.turn(if ahead { f64::from(step) } else { -f64::from(step) });
        lane += step;
        ahead = !ahead;
    }
    hand.out.distinct_m2 = hand.floor.iter().filter(|p| **p).count() as f64 * POINT_M * POINT_M;
    hand.out.swept_m2 = (hand.way - hand.unbrushed_m) * job.width_m;
    hand.out
}

impl Hand {
    fn stand(&mut self, seconds: f64) {
        for _ in 0..(seconds / DT_S) as usize {
            self.tick(0.0, 0.0, true);
        }
    }

    fn lane(&mut self, y: f64, ahead: bool, brush: bool) {
        let y = y + self.dice.noise(0.03);
        let (end, wanted) =
            if ahead { (self.job.lane_m, 0.0) } else { (0.0, core::f64::consts::PI) };
        let end = end + self.dice.noise(0.05);
        let sign = if ahead { 1.0 } else { -1.0 };
        while (end - self.x) * sign > 0.0 {
            let turns = ((self.heading - wanted) / core::f64::consts::TAU).round();
            let off = self.heading - wanted - turns * core::f64::consts::TAU;
            self.wobble +=
                -self.wobble * DT_S / 1.5 + self.dice.noise(0.03 * (2.0 * DT_S / 1.5_f64).sqrt());
            let turn = -0.8 * (self.y - y) * sign - 1.2 * off + self.wobble;
            self.tick(self.job.speed_m_s, turn.clamp(-0.5, 0.5), brush);
        }
    }

    fn turn(&mut self, side: f64) {
        let speed = 0.3;
        let rate = speed / (self.job.spacing_m / 2.0);
        let target = self.heading + side * core::f64::consts::PI;
        while (target - self.heading) * side > 0.05 {
            self.tick(speed, side * rate, true);
        }
    }

    /// Points of the floor that the brush line has just crossed.
    fn brush(&mut self, way: f64, turn: f64) {
        let half = self.job.width_m / 2.0;
        let (sin, cos) = self.heading.sin_cos();
        let (dx, dy) = (half * sin.abs() + 0.03, half * cos.abs() + 0.03);
        let place = |v: f64| ((v + EDGE_M) / POINT_M) as usize;
        let middle = |i: usize| (i as f64 + 0.5) * POINT_M - EDGE_M;
        for row in place(self.y - dy)..=place(self.y + dy) {
            for column in place(self.x - dx)..=place(self.x + dx) {
                let (x, y) = (middle(column) - self.x, middle(row) - self.y);
                let behind = -(x * cos + y * sin);
                let across = y * cos - x * sin;
                // In a turn the outer end goes further, the inner one less or backwards.
                let gone = way - turn * across;
                let passed = behind >= gone.min(0.0) - 1e-6 && behind <= gone.max(0.0) + 1e-6;
                if passed && across.abs() <= half {
                    self.floor[row * ACROSS + column] = true;
                }
            }
        }
    }

    fn tick(&mut self, speed: f64, turn: f64, brush: bool) {
        self.heading += turn * DT_S / 2.0;
        self.x += speed * DT_S * self.heading.cos();
        self.y += speed * DT_S * self.heading.sin();
        self.heading += turn * DT_S / 2.0;
        self.way += speed * DT_S;
        if speed > 0.0 && brush {
            self.brush(speed * DT_S, turn * DT_S);
        } else {
            self.unbrushed_m += speed * DT_S;
        }
        let share = DT_S / 600.0;
        self.bias += -self.bias * share + self.dice.noise(self.job.bias * (2.0 * share).sqrt());
        self.since = (self.since.0 + 1, self.since.1 + speed, self.since.2 + turn);
        if self.since.0 == 10 {
            let noise = if speed == 0.0 { 0.0 } else { self.dice.noise(0.004) };
            let speed_m_s = ((self.since.1 / 10.0 + noise) * 1000.0).round() / 1000.0;
            let gyro = self.since.2 / 10.0 * (1.0 + self.job.scale)
                + self.bias
                + self.dice.noise(self.job.noise);
            let gyro_rad_s = (gyro * 1000.0).round() / 1000.0;
            self.out.steps.push(Motion { seconds: 0.1, speed_m_s, gyro_rad_s, brushing: brush });
            self.out.headings.push(self.heading);
            self.since = (0, 0.0, 0.0);
        }
    }
}
