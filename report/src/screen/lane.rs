//! The lanes: which quantities they draw, from which value to which, with which limits.

use crate::events::EventKind;
use crate::settings::Site;
use crate::units::Units;
use crate::window::{DetectorKind, Quantity, Window};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::MetresPerSecond;

/// How a lane is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Smallest to largest between two values, with limits as lines.
    Curve {
        /// Value at the bottom.
        base: f64,
        /// Value at the top.
        top: f64,
        /// Value and name of each.
        limits: Vec<(f64, String)>,
        /// Digits after the point.
        decimals: usize,
    },
    /// On or off.
    Switch,
    /// Quiet, near an event, or in it.
    Detector,
}

/// One lane.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    /// With the unit.
    pub name: String,
    /// Drawn over each other: of two that tell the same the one with more readings matters.
    pub quantities: Vec<Quantity>,
    /// How it is drawn.
    pub shape: Shape,
    /// People's unit for one of the reading's.
    factor: f64,
    /// How fast, in whichever direction.
    unsigned: bool,
    /// Rows that it needs, and rows that it makes good use of.
    pub rows: (usize, usize),
}

/// Everything that may be drawn.
pub fn shown() -> Vec<Quantity> {
    let single = [
        Quantity::Speed,
        Quantity::Battery,
        Quantity::Command,
        Quantity::HeadDown,
        Quantity::Vacuum,
        Quantity::Water,
        Quantity::Pressure,
    ];
    let motor = |m| {
        let fine = Quantity::FineCurrent(m);
        [Quantity::Current(m), fine, Quantity::Rotation(m), Quantity::Heat(m)]
    };
    let detectors = DetectorKind::ALL.map(Quantity::Detector);
    single.into_iter().chain((0..MAX_MOTORS).flat_map(motor)).chain(detectors).collect()
}

impl Lane {
    /// Of one quantity in its own unit.
    pub(super) fn of(name: &str, quantity: Quantity, shape: Shape, rows: (usize, usize)) -> Self {
        let (name, quantities) = (name.to_owned(), vec![quantity]);
        Self { name, quantities, shape, factor: 1.0, unsigned: false, rows }
    }

    /// Smallest and largest of one cell of a window, in people's unit.
    pub fn cell(&self, window: &Window, number: usize) -> Option<(f64, f64)> {
        let of = |quantity: &Quantity| window.line(*quantity)?.cells.get(number)?.range;
        let joined = self.quantities.iter().filter_map(of);
        let range = joined.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
        Some(self.people(range))
    }

    /// The same of several cells together.
    pub fn cells(&self, window: &Window, numbers: std::ops::Range<usize>) -> Option<(f64, f64)> {
        let all = numbers.filter_map(|number| self.cell(window, number));
        all.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    fn people(&self, (low, high): (f32, f32)) -> (f64, f64) {
        let (low, high) = (f64::from(low) * self.factor, f64::from(high) * self.factor);
        if !self.unsigned {
            return (low, high);
        }
        let least = if low <= 0.0 && high >= 0.0 { 0.0 } else { low.abs().min(high.abs()) };
        (least, low.abs().max(high.abs()))
    }
}

/// What the lanes of a machine are made of.
struct Making<'a, R> {
    machine: &'a Machine,
    site: &'a Site,
    units: Units,
    /// Smallest and largest that there is of a quantity.
    range: R,
}

/// The lanes of a machine; `range` tells the smallest and largest that there is of a
/// quantity, so that all of it has room.
pub fn lanes(
    machine: &Machine,
    site: &Site,
    units: Units,
    range: impl Fn(Quantity) -> Option<(f32, f32)>,
) -> Vec<Lane> {
    let making = Making { machine, site, units, range };
    let brushes = usize::from(machine.deck.brushes);
    let read = |m: &usize| (making.range)(Quantity::Current(*m)).is_some();
    let motors = (0..MAX_MOTORS).filter(read).map(|m| m + 1).max().unwrap_or(0).max(brushes);
    let mut lanes = vec![making.speed()];
    lanes.extend((0..motors).map(|motor| making.current(motor)));
    lanes.push(making.battery());
    lanes.extend((0..motors).map(|motor| making.heat(motor)));
    lanes.extend((0..motors).filter_map(|motor| making.rotation(motor)));
    let switches = [
        (Quantity::Command, "Brush switch"),
        (Quantity::HeadDown, "Head down"),
        (Quantity::Vacuum, "Vacuum"),
    ];
    let read = |quantity: &Quantity| (making.range)(*quantity).is_some();
    let switches = switches.into_iter().filter(|(quantity, _)| read(quantity));
    lanes.extend(switches.map(|(quantity, name)| plain(name, quantity, Shape::Switch)));
    let levels = [(Quantity::Water, "Water, %"), (Quantity::Pressure, "Pressure, %")];
    for (quantity, name) in levels.into_iter().filter(|(quantity, _)| read(quantity)) {
        let shape = Shape::Curve { base: 0.0, top: 100.0, limits: Vec::new(), decimals: 0 };
        lanes.push(plain(name, quantity, shape));
    }
    let acts = |kind: &DetectorKind| {
        (making.range)(Quantity::Detector(*kind)).is_some_and(|(_, high)| high > 0.0)
    };
    let detectors = DetectorKind::ALL.into_iter().filter(acts);
    let detector = |kind| plain(says(kind), Quantity::Detector(kind), Shape::Detector);
    lanes.extend(detectors.map(detector));
    lanes
}

/// The words of the event that a detector finds.
fn says(kind: DetectorKind) -> &'static str {
    match kind {
        DetectorKind::Stationary => EventKind::Stationary,
        DetectorKind::Load(kind) => kind.into(),
        DetectorKind::Care(rule) => rule.into(),
    }
    .says()
}

fn plain(name: &str, quantity: Quantity, shape: Shape) -> Lane {
    Lane::of(name, quantity, shape, (1, 1))
}

impl<R: Fn(Quantity) -> Option<(f32, f32)>> Making<'_, R> {
    /// The largest there is, or `least`, in full steps.
    fn top(&self, lane: &Lane, least: f64) -> f64 {
        let ranges = lane.quantities.iter().filter_map(|quantity| (self.range)(*quantity));
        let highest = ranges.map(|range| lane.people(range).1).fold(least, f64::max);
        let step = 10_f64.powf(highest.max(f64::MIN_POSITIVE).log10().floor()) / 2.0;
        (highest / step).ceil() * step
    }

    fn curve(&self, mut lane: Lane, least: f64, limits: Vec<(f64, String)>) -> Lane {
        let top = self.top(&lane, least);
        let decimals = if lane.quantities.contains(&Quantity::Speed) { 2 } else { 0 };
        let decimals = if lane.name.ends_with('A') { 1 } else { decimals };
        lane.shape = Shape::Curve { base: 0.0, top, limits, decimals };
        lane
    }

    fn speed(&self) -> Lane {
        let unit = self.units.speed_unit();
        let mut lane = plain(&format!("Speed, {unit}"), Quantity::Speed, Shape::Switch);
        let factor = self.units.speed(MetresPerSecond(1.0));
        (lane.factor, lane.unsigned, lane.rows) = (factor, true, (2, 8));
        let standing = f64::from(self.machine.limits().standing_m_s) * factor;
        let least = self.units.speed(self.site.bands.restoration.high);
        self.curve(lane, least, vec![(standing, "standing".to_owned())])
    }

    fn current(&self, motor: usize) -> Lane {
        let limits = self.machine.limits();
        let (pressure, stall) = (f64::from(limits.over_pressure_a), f64::from(limits.stall_a));
        let mut lane =
            plain(&self.of("Motor", motor, "A"), Quantity::Current(motor), Shape::Switch);
        lane.quantities.push(Quantity::FineCurrent(motor));
        lane.rows = (2, 12);
        let limits = vec![(stall, "stall".to_owned()), (pressure, "over".to_owned())];
        self.curve(lane, 1.1 * stall.max(pressure).max(10.0), limits)
    }

    fn heat(&self, motor: usize) -> Lane {
        let mut lane = plain(&self.of("Heat", motor, "%"), Quantity::Heat(motor), Shape::Switch);
        (lane.factor, lane.rows) = (100.0, (1, 5));
        let warning = 100.0 * self.machine.thermal.warning;
        let limits = vec![(100.0, "limit".to_owned()), (warning, "warning".to_owned())];
        self.curve(lane, 110.0, limits)
    }

    fn rotation(&self, motor: usize) -> Option<Lane> {
        let quantity = Quantity::Rotation(motor);
        (self.range)(quantity)?;
        let mut lane = plain(&self.of("Brush", motor, "r/min"), quantity, Shape::Switch);
        (lane.unsigned, lane.rows) = (true, (1, 6));
        Some(self.curve(lane, 100.0, Vec::new()))
    }

    /// From zero a drop of the battery would hardly show.
    fn battery(&self) -> Lane {
        let mut lane = plain("Battery, V", Quantity::Battery, Shape::Switch);
        lane.rows = (2, 6);
        let empty = self.machine.battery.limits().under_load.0;
        let nominal = self.machine.battery.nominal_voltage.0;
        let (low, high) = (self.range)(Quantity::Battery)
            .map_or((empty, nominal), |(low, high)| (f64::from(low), f64::from(high)));
        let base = low.floor();
        let top = high.ceil().max(base + 1.0);
        let near = (base..=top).contains(&empty);
        let limits = near.then(|| (empty, "empty".to_owned())).into_iter().collect();
        lane.shape = Shape::Curve { base, top, limits, decimals: 1 };
        lane
    }

    fn of(&self, what: &str, motor: usize, unit: &str) -> String {
        if self.machine.deck.brushes <= 1 && motor == 0 {
            return format!("{what}, {unit}");
        }
        format!("{what} {}, {unit}", motor + 1)
    }
}
