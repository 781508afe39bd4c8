//! Where the machine is and how far that may be off: an extended Kalman filter.
//!
//! Model. A heading and a position are dead-reckoned from speed and turn rate:
//! with both constant over a step the way is an arc of a circle. The gyro reads
//! (1 + k) w + b + noise: its scale is off by `k`, its bias `b` walks at random.
//! Beside these five the filter keeps the direction of the lanes ("axis") and
//! the two sides of the worked floor across the lanes ("sides"), which are
//! observed again and again and so hold the drift.
//! Source: the filter is textbook (R. E. Kalman, 1960; discrete extended form,
//! from memory), the turn-rate model that of any strapdown text (from memory).

/// Number of states.
const N: usize = 8;

/// Place of each state. Position in m in the visit's frame, angles in rad.
pub(super) const EAST: usize = 0;
pub(super) const NORTH: usize = 1;
pub(super) const HEADING: usize = 2;
pub(super) const BIAS: usize = 3;
pub(super) const SCALE: usize = 4;
pub(super) const AXIS: usize = 5;
/// Low and high side of the worked floor, measured across the axis, in m.
pub(super) const SIDES: [usize; 2] = [6, 7];

/// Variance of what is not known at all yet.
const UNKNOWN: f64 = 1.0e6;
/// The covariance moves on in pieces of at most this length in s, and this turn in rad.
const PIECE_S: f64 = 2.0;
const PIECE_RAD: f64 = 0.3;

/// Standard deviations of the sensors.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Noise {
    /// Of one reading of the gyro, rad/s.
    pub(crate) gyro_rad_s: f64,
    /// Of the bias after a second, (rad/s)/sqrt(s).
    pub(crate) bias_walk: f64,
    /// Of the bias after switching on, rad/s.
    pub(crate) bias_start_rad_s: f64,
    /// Of the gyro's scale, a share.
    pub(crate) scale: f64,
    /// Of one reading of the speed, m/s.
    pub(crate) speed_m_s: f64,
}

/// A piece of way whose uncertainty has not been added yet.
#[derive(Clone, Copy, Debug, Default)]
struct Piece {
    seconds: f64,
    turn_rad: f64,
    east_m: f64,
    north_m: f64,
    heading_variance: f64,
    way_variance: f64,
}

/// A measurement of one number: `gain` says how it depends on the states.
pub(super) struct Sight {
    pub(super) gain: [f64; N],
    /// Measured less expected.
    pub(super) innovation: f64,
    pub(super) variance: f64,
    /// Further off than this many standard deviations it is not believed.
    pub(super) gate: f64,
}

/// State and covariance.
#[derive(Clone, Debug)]
pub(super) struct Filter {
    noise: Noise,
    state: [f64; N],
    /// Sine and cosine of the heading.
    ahead: (f64, f64),
    covariance: [[f64; N]; N],
    piece: Piece,
}

impl Filter {
    pub(super) fn new(noise: Noise) -> Self {
        let mut filter = Self {
            noise,
            state: [0.0; N],
            ahead: (0.0, 1.0),
            covariance: [[0.0; N]; N],
            piece: Piece::default(),
        };
        filter.covariance[BIAS][BIAS] = noise.bias_start_rad_s.powi(2);
        filter.covariance[SCALE][SCALE] = noise.scale.powi(2);
        filter.begin();
        filter
    }

    /// A frame of its own begins here: position and heading are 0 by definition.
    pub(super) fn begin(&mut self) {
        self.settle();
        for place in [EAST, NORTH, HEADING, AXIS, SIDES[0], SIDES[1]] {
            self.forget(place, 0.0);
        }
        for place in [AXIS, SIDES[0], SIDES[1]] {
            self.covariance[place][place] = UNKNOWN;
        }
    }

    /// The gyro was switched off and on: its bias may have jumped.
    pub(super) fn restart(&mut self) {
        self.settle();
        self.covariance[BIAS][BIAS] = self.noise.bias_start_rad_s.powi(2);
        for other in (0..N).filter(|other| *other != BIAS) {
            self.covariance[BIAS][other] = 0.0;
            self.covariance[other][BIAS] = 0.0;
        }
    }

    /// Sets a state without any doubt or memory.
    fn forget(&mut self, place: usize, value: f64) {
        self.state[place] = value;
        self.ahead = self.state[HEADING].sin_cos();
        for other in 0..N {
            self.covariance[place][other] = 0.0;
            self.covariance[other][place] = 0.0;
        }
    }

    /// Something seen before is somewhere else: it has to be found anew.
    pub(super) fn lose(&mut self, place: usize, value: f64) {
        self.settle();
        self.forget(place, value);
        self.covariance[place][place] = UNKNOWN;
    }

    pub(super) fn get(&self, place: usize) -> f64 {
        self.state[place]
    }

    pub(super) fn variance(&mut self, place: usize) -> f64 {
        self.settle();
        self.covariance[place][place].max(0.0)
    }

    /// Whether this state was ever seen.
    pub(super) fn knows(&self, place: usize) -> bool {
        self.covariance[place][place] < 0.5 * UNKNOWN
    }

    /// Turn rate of the machine when the gyro reads this.
    pub(super) fn turn_rad_s(&self, gyro_rad_s: f64) -> f64 {
        (gyro_rad_s - self.state[BIAS]) * (1.0 - self.state[SCALE])
    }

    /// Moves on along an arc.
    pub(super) fn advance(&mut self, seconds: f64, speed_m_s: f64, turn_rad_s: f64) {
        let turn = turn_rad_s * seconds;
        let (sin, cos, chord) = half_turn(turn / 2.0);
        let halfway = turned(self.ahead, (sin, cos));
        let way = speed_m_s * seconds * chord;
        let (east, north) = (way * halfway.1, way * halfway.0);
        self.ahead = turned(halfway, (sin, cos));
        self.state[EAST] += east;
        self.state[NORTH] += north;
        self.state[HEADING] += turn;
        let piece = &mut self.piece;
        piece.seconds += seconds;
        piece.turn_rad += turn;
        piece.east_m += east;
        piece.north_m += north;
        piece.heading_variance += (self.noise.gyro_rad_s * seconds).powi(2);
        if speed_m_s != 0.0 {
            piece.way_variance += (self.noise.speed_m_s * seconds).powi(2);
        }
        if piece.seconds >= PIECE_S || piece.turn_rad.abs() >= PIECE_RAD {
            self.settle();
        }
    }

    /// Time passes without any turn: the machine stands.
    pub(super) fn rest(&mut self, seconds: f64) {
        self.settle();
        self.covariance[BIAS][BIAS] += self.noise.bias_walk.powi(2) * seconds;
    }

    /// A bit of way while the machine all but stands.
    pub(super) fn creep(&mut self, way_m: f64) {
        self.state[EAST] += way_m * self.ahead.1;
        self.state[NORTH] += way_m * self.ahead.0;
    }

    /// Way and heading were guessed with these standard deviations.
    pub(super) fn blur(&mut self, way_m: f64, heading_rad: f64) {
        self.settle();
        self.covariance[EAST][EAST] += way_m * way_m;
        self.covariance[NORTH][NORTH] += way_m * way_m;
        self.covariance[HEADING][HEADING] += heading_rad * heading_rad;
    }

    /// Brings the covariance up to the state.
    pub(super) fn settle(&mut self) {
        // Turned step by step it would lose digits in the course of a night.
        self.ahead = self.state[HEADING].sin_cos();
        let p = std::mem::take(&mut self.piece);
        if p.seconds <= 0.0 {
            return;
        }
        // A wrong heading moves the piece's end sideways; bias and scale turn it on the way,
        // half of which is seen at its end.
        let rows = [
            (
                EAST,
                [
                    (HEADING, -p.north_m),
                    (BIAS, p.north_m * p.seconds / 2.0),
                    (SCALE, p.north_m * p.turn_rad / 2.0),
                ],
            ),
            (
                NORTH,
                [
                    (HEADING, p.east_m),
                    (BIAS, -p.east_m * p.seconds / 2.0),
                    (SCALE, -p.east_m * p.turn_rad / 2.0),
                ],
            ),
            (HEADING, [(BIAS, -p.seconds), (SCALE, -p.turn_rad), (SCALE, 0.0)]),
        ];
        // P <- F P F^T with F = 1 + rows.
        let old = self.covariance;
        for (row, terms) in rows {
            for (column, cell) in self.covariance[row].iter_mut().enumerate() {
                *cell += terms.iter().map(|(from, k)| k * old[*from][column]).sum::<f64>();
            }
        }
        for line in &mut self.covariance {
            let old = *line;
            for (column, terms) in rows {
                line[column] += terms.iter().map(|(from, k)| k * old[*from]).sum::<f64>();
            }
        }
        self.add_noise(&p);
    }

    fn add_noise(&mut self, p: &Piece) {
        let c = &mut self.covariance;
        // Heading noise spread evenly over the piece: its integral has a third of the variance
        // at the end, and half of the covariance.
        let q = p.heading_variance;
        c[HEADING][HEADING] += q;
        c[EAST][EAST] += q * p.north_m * p.north_m / 3.0;
        c[NORTH][NORTH] += q * p.east_m * p.east_m / 3.0;
        let cross = -q * p.north_m * p.east_m / 3.0;
        let along = [-q * p.north_m / 2.0, q * p.east_m / 2.0];
        for (i, add) in [EAST, NORTH].into_iter().zip(along) {
            c[i][HEADING] += add;
            c[HEADING][i] += add;
        }
        let length2 = p.east_m * p.east_m + p.north_m * p.north_m;
        let (mut ee, mut nn, mut en) = (0.0, 0.0, cross);
        if length2 > 0.0 {
            let w = p.way_variance / length2;
            ee = w * p.east_m * p.east_m;
            nn = w * p.north_m * p.north_m;
            en += w * p.east_m * p.north_m;
        }
        c[EAST][EAST] += ee;
        c[NORTH][NORTH] += nn;
        c[EAST][NORTH] += en;
        c[NORTH][EAST] += en;
        c[BIAS][BIAS] += self.noise.bias_walk.powi(2) * p.seconds;
    }

    /// Corrects the states by a measurement; `false` if it is too far off to be believed.
    pub(super) fn see(&mut self, sight: &Sight) -> bool {
        self.settle();
        let mut from = [0.0; N];
        for (row, out) in self.covariance.iter().zip(&mut from) {
            *out = row.iter().zip(&sight.gain).map(|(p, h)| p * h).sum();
        }
        let own: f64 = from.iter().zip(&sight.gain).map(|(p, h)| p * h).sum();
        let expected = own + sight.variance;
        if sight.innovation.powi(2) > sight.gate.powi(2) * expected {
            return false;
        }
        for i in 0..N {
            self.state[i] += from[i] / expected * sight.innovation;
            for j in 0..N {
                self.covariance[i][j] -= from[i] * from[j] / expected;
            }
        }
        self.ahead = self.state[HEADING].sin_cos();
        true
    }

    /// Standard deviations of the position across and along the axis, in m: against the lanes'
    /// own frame, so that a turn of the whole does not count.
    pub(super) fn deviations(&mut self) -> (f64, f64) {
        self.settle();
        let (sin, cos) = self.state[AXIS].sin_cos();
        let along = self.state[EAST] * cos + self.state[NORTH] * sin;
        let lever = if self.knows(AXIS) { along } else { 0.0 };
        let across = Self::gain([(EAST, -sin), (NORTH, cos), (AXIS, -lever)]);
        let along = Self::gain([(EAST, cos), (NORTH, sin)]);
        (self.spread(&across), self.spread(&along))
    }

    /// Standard deviation of what a gain picks.
    fn spread(&self, gain: &[f64; N]) -> f64 {
        let rows = self.covariance.iter().zip(gain);
        let sum: f64 =
            rows.map(|(row, k)| k * row.iter().zip(gain).map(|(p, h)| p * h).sum::<f64>()).sum();
        sum.max(0.0).sqrt()
    }

    /// A gain that names single states.
    pub(super) fn gain<const M: usize>(terms: [(usize, f64); M]) -> [f64; N] {
        let mut gain = [0.0; N];
        for (place, k) in terms {
            gain[place] = k;
        }
        gain
    }
}

/// Sine and cosine of half the angle of an arc, and its chord by its length: sin(h)/h. The series
/// below 0.05 rad are off by less than h^6/720, 2e-11.
fn half_turn(h: f64) -> (f64, f64, f64) {
    let h2 = h * h;
    if h2 < 0.0025 {
        let chord = 1.0 - h2 / 6.0 * (1.0 - h2 / 20.0);
        return (h * chord, 1.0 - h2 / 2.0 * (1.0 - h2 / 12.0), chord);
    }
    let (sin, cos) = h.sin_cos();
    (sin, cos, sin / h)
}

/// Sine and cosine of the sum of two angles.
fn turned(one: (f64, f64), other: (f64, f64)) -> (f64, f64) {
    (one.0 * other.1 + one.1 * other.0, one.1 * other.1 - one.0 * other.0)
}
