//! The lanes: which quantities they draw, from which value to which, with which limits.

use crate::events::EventKind;
use crate::settings::Site;
use crate::settings::site::Language;
use crate::sheet::kind_id;
use crate::sheet::words::Words;
use crate::units::Units;
use crate::window::{DetectorKind, Quantity, Window};
use underbrush_protocol::detect::{CareRule, LoadKind};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::MetresPerSecond;

/// A line that readings of good work do not pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// In people's unit.
    pub value: f64,
    /// In a word.
    pub name: String,
    /// It is passed downwards.
    pub lower: bool,
}

/// How a lane is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Smallest to largest between two values, with limits as lines.
    Curve {
        /// Value at the bottom.
        base: f64,
        /// Value at the top.
        top: f64,
        /// What matters most first.
        limits: Vec<Limit>,
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
    words: Words,
    /// Smallest and largest that there is of a quantity.
    range: R,
}

/// The lanes of a machine; `range` tells the smallest and largest that there is of a
/// quantity, so that all of it has room.
pub fn lanes(
    machine: &Machine,
    site: &Site,
    (units, language): (Units, Language),
    range: impl Fn(Quantity) -> Option<(f32, f32)>,
) -> Vec<Lane> {
    let words = Words::new(language);
    let making = Making { machine, site, units, words, range };
    let say = |id: &str| making.words.say(id);
    let brushes = usize::from(machine.deck.brushes);
    let read = |m: &usize| (making.range)(Quantity::Current(*m)).is_some();
    let motors = (0..MAX_MOTORS).filter(read).map(|m| m + 1).max().unwrap_or(0).max(brushes);
    let mut lanes = vec![making.speed()];
    lanes.extend((0..motors).map(|motor| making.current(motor)));
    lanes.push(making.battery());
    lanes.extend((0..motors).map(|motor| making.heat(motor)));
    lanes.extend((0..motors).filter_map(|motor| making.rotation(motor)));
    let switches = [
        (Quantity::Command, "trace-command"),
        (Quantity::HeadDown, "trace-head-down"),
        (Quantity::Vacuum, "trace-vacuum"),
    ];
    let read = |quantity: &Quantity| (making.range)(*quantity).is_some();
    let switches = switches.into_iter().filter(|(quantity, _)| read(quantity));
    lanes.extend(switches.map(|(quantity, id)| plain(&say(id), quantity, Shape::Switch)));
    let levels = [(Quantity::Water, "trace-water"), (Quantity::Pressure, "trace-pressure")];
    for (quantity, id) in levels.into_iter().filter(|(quantity, _)| read(quantity)) {
        let shape = Shape::Curve { base: 0.0, top: 100.0, limits: Vec::new(), decimals: 0 };
        lanes.push(plain(&say(id), quantity, shape));
    }
    let acts = |kind: &DetectorKind| {
        (making.range)(Quantity::Detector(*kind)).is_some_and(|(_, high)| high > 0.0)
    };
    let detectors = DetectorKind::ALL.into_iter().filter(acts);
    let detector = |kind| plain(&say(detector_id(kind)), Quantity::Detector(kind), Shape::Detector);
    lanes.extend(detectors.map(detector));
    lanes
}

/// The words of the event that a detector finds, where the usual ones are too long for the
/// name of a lane shorter ones.
fn detector_id(kind: DetectorKind) -> &'static str {
    match kind {
        DetectorKind::Stationary => "screen-standing",
        DetectorKind::Load(LoadKind::NearStall) => "screen-near-stall",
        DetectorKind::Load(LoadKind::Trip) => "screen-trip",
        DetectorKind::Load(LoadKind::Dry) => "screen-dry",
        DetectorKind::Load(kind) => kind_id(EventKind::from(kind)),
        DetectorKind::Care(CareRule::Pressure) => "screen-pressure",
        DetectorKind::Care(CareRule::Head) => "screen-head",
        DetectorKind::Care(rule) => kind_id(EventKind::from(rule)),
    }
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

    fn limit(&self, value: f64, id: &str) -> Limit {
        Limit { value, name: self.words.say(id), lower: false }
    }

    fn lower_limit(&self, value: f64, id: &str) -> Limit {
        Limit { lower: true, ..self.limit(value, id) }
    }

    fn curve(&self, mut lane: Lane, least: f64, limits: Vec<Limit>) -> Lane {
        let top = self.top(&lane, least);
        let decimals = match lane.quantities.first() {
            Some(Quantity::Speed) => 2,
            Some(Quantity::Current(_)) => 1,
            _ => 0,
        };
        lane.shape = Shape::Curve { base: 0.0, top, limits, decimals };
        lane
    }

    fn speed(&self) -> Lane {
        let unit = match self.units {
            Units::Us => "unit-speed-us",
            Units::Si => "unit-speed-si",
        };
        let name = self.words.with("chart-speed", &[("unit", self.words.say(unit).into())]);
        let mut lane = plain(&name, Quantity::Speed, Shape::Switch);
        let factor = self.units.speed(MetresPerSecond(1.0));
        (lane.factor, lane.unsigned, lane.rows) = (factor, true, (2, 8));
        let standing = f64::from(self.machine.limits().standing_m_s) * factor;
        let least = self.units.speed(self.site.bands.restoration.high);
        self.curve(lane, least, vec![self.lower_limit(standing, "screen-limit-standing")])
    }

    fn current(&self, motor: usize) -> Lane {
        let limits = self.machine.limits();
        let (pressure, stall) = (f64::from(limits.over_pressure_a), f64::from(limits.stall_a));
        let name = self.of("trace-current", motor);
        let mut lane = plain(&name, Quantity::Current(motor), Shape::Switch);
        lane.quantities.push(Quantity::FineCurrent(motor));
        lane.rows = (2, 12);
        let limits = vec![
            self.limit(stall, "screen-limit-stall"),
            self.limit(pressure, "screen-limit-over"),
        ];
        self.curve(lane, 1.1 * stall.max(pressure).max(10.0), limits)
    }

    fn heat(&self, motor: usize) -> Lane {
        let mut lane = plain(&self.of("trace-heat", motor), Quantity::Heat(motor), Shape::Switch);
        (lane.factor, lane.rows) = (100.0, (1, 5));
        let warning = 100.0 * self.machine.thermal.warning;
        let limits = vec![
            self.limit(100.0, "screen-limit-heat"),
            self.limit(warning, "screen-limit-warning"),
        ];
        self.curve(lane, 110.0, limits)
    }

    fn rotation(&self, motor: usize) -> Option<Lane> {
        let quantity = Quantity::Rotation(motor);
        (self.range)(quantity)?;
        let mut lane = plain(&self.of("trace-rotation", motor), quantity, Shape::Switch);
        (lane.unsigned, lane.rows) = (true, (1, 6));
        Some(self.curve(lane, 100.0, Vec::new()))
    }

    /// From zero a drop of the battery would hardly show.
    fn battery(&self) -> Lane {
        let mut lane = plain(&self.words.say("trace-battery"), Quantity::Battery, Shape::Switch);
        lane.rows = (2, 6);
        let empty = self.machine.battery.limits().under_load.0;
        let nominal = self.machine.battery.nominal_voltage.0;
        let (low, high) = (self.range)(Quantity::Battery)
            .map_or((empty, nominal), |(low, high)| (f64::from(low), f64::from(high)));
        let base = low.floor();
        let top = high.ceil().max(base + 1.0);
        let near = (base..=top).contains(&empty);
        let limits =
            near.then(|| self.lower_limit(empty, "screen-limit-empty")).into_iter().collect();
        lane.shape = Shape::Curve { base, top, limits, decimals: 1 };
        lane
    }

    /// By its number alone: there is no room for left and right.
    fn of(&self, id: &str, motor: usize) -> String {
        self.words.with(id, &[("motor", (motor + 1).to_string().into())])
    }
}
