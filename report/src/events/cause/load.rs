//! Causes of brush motor load. See `cause` for what weights mean and where they come from.

use super::tool::{Unlike, wrong_tool};
use super::{Cause, Fact, Number, Signature};

/// The other motor rose as well from this ratio on.
const BOTH: f64 = 1.25;
/// It still draws more than before from this ratio on.
const STILL_HIGH: f64 = 1.2;
/// Above its own normal from this ratio on.
const ABOVE_NORMAL: f64 = 1.12;
/// Segments bed in over so many nights.
const NEW_NIGHTS: u64 = 2;
/// An obstacle under a machine that goes on does not load a brush for so long, in s.
const LEFT_BEHIND_S: f64 = 6.0;
/// A start is over after this, in s.
const START_S: f64 = 4.0;

impl Signature {
    fn rise(&self) -> Fact {
        self.rise_s.map(|s| ("evidence-rise", vec![("time", Number::Seconds(s))]))
    }

    fn sudden(&self) -> Option<bool> {
        self.rise_s.map(|s| s <= self.obstacle_s)
    }

    fn other(&self) -> Fact {
        self.other_ratio.map(|r| ("evidence-other", vec![("ratio", Number::Ratio(r))]))
    }

    fn both(&self) -> Option<bool> {
        self.other_ratio.map(|r| r >= BOTH)
    }

    fn one(&self) -> Option<bool> {
        self.both().map(|both| !both)
    }

    fn after(&self) -> Fact {
        let motor = ("motor", Number::Motor(self.motor));
        self.after_ratio.map(|r| ("evidence-after", vec![motor, ("ratio", Number::Ratio(r))]))
    }

    fn still_high(&self) -> Option<bool> {
        self.after_ratio.map(|r| r >= STILL_HIGH)
    }

    pub(super) fn moving(&self) -> (Option<bool>, Fact) {
        let fact =
            self.speed_before_m_s.map(|v| ("evidence-moving", vec![("speed", Number::Speed(v))]));
        (self.speed_before_m_s.map(|v| v > self.standing_m_s), fact)
    }

    fn places(&self) -> (Option<bool>, Fact) {
        let (here, elsewhere) = self.here_elsewhere;
        let values = vec![("here", Number::Count(here)), ("elsewhere", Number::Count(elsewhere))];
        // One alone says nothing of the place, nor does a night spent in one section.
        let tells = here + elsewhere > 1 && self.sections > 1;
        let only_here = tells.then_some(here > 1 && elsewhere == 0);
        (only_here, Some(("evidence-places", values)))
    }

    pub(super) fn normal_fact(&self) -> Fact {
        self.baseline.map(|normal| {
            let motor = ("motor", Number::Motor(self.motor));
            let ratio = ("ratio", Number::Ratio(normal.own));
            if normal.nights == 0 {
                return ("evidence-baseline-file", vec![motor, ratio]);
            }
            ("evidence-baseline", vec![motor, ratio, ("nights", Number::Count(normal.nights))])
        })
    }

    /// This motor above its own normal and the others not; all of them above.
    fn normals(&self) -> (Option<bool>, Option<bool>, Fact) {
        let Some(normal) = self.baseline else { return (None, None, None) };
        let high = normal.own >= ABOVE_NORMAL;
        let (lowest, highest) = normal.others.unzip();
        let alone = highest.map_or(high, |other| high && normal.own > 1.06 * other);
        let all = high && lowest.is_none_or(|other| other >= ABOVE_NORMAL);
        (Some(alone), Some(all), self.normal_fact())
    }

    fn air(&self) -> ((Option<bool>, Fact), (Option<bool>, Fact)) {
        let motor = ("motor", Number::Motor(self.motor));
        let run_down = self.air.run_down.map(|against| {
            let (time, usual) = (Number::Seconds(against.tonight), Number::Seconds(against.usual));
            let nights = ("nights", Number::Count(against.nights));
            ("evidence-run-down", vec![motor, ("time", time), ("usual", usual), nights])
        });
        let no_load = self.air.no_load.map(|against| {
            let (now, usual) = (Number::Amperes(against.tonight), Number::Amperes(against.usual));
            let nights = ("nights", Number::Count(against.nights));
            ("evidence-no-load", vec![motor, ("current", now), ("usual", usual), nights])
        });
        let shorter = self.air.run_down.map(|against| against.is_less());
        let more = self.air.no_load.map(|against| against.is_more());
        ((shorter, run_down), (more, no_load))
    }

    /// The battery was not full at the start.
    pub(super) fn not_full(&self) -> Fact {
        self.not_full_v.map(|v| ("evidence-not-full", vec![("voltage", Number::Volts(v))]))
    }

    fn voltage(&self) -> (Option<bool>, Fact) {
        let limit = ("limit", Number::Volts(self.empty_v));
        let fact = self
            .volts_before
            .map(|v| ("evidence-voltage", vec![("voltage", Number::Volts(v)), limit]));
        (self.volts_before.map(|v| v < self.empty_v), fact)
    }

    fn started(&self) -> (Option<bool>, Fact) {
        match (self.command_known, self.since_start_s) {
            (false, _) => (None, None),
            (true, None) => (Some(false), Some(("evidence-ran", Vec::new()))),
            (true, Some(s)) => {
                let fact = ("evidence-started", vec![("time", Number::Seconds(s))]);
                (Some(s <= START_S), Some(fact))
            }
        }
    }

    pub(super) fn raised(&self) -> (Option<bool>, Fact) {
        let fact = self.pressure.map(|(before, inside)| {
            let values =
                vec![("before", Number::Percent(before)), ("now", Number::Percent(inside))];
            ("evidence-pressure", values)
        });
        (self.pressure.map(|(before, inside)| inside > before + 5.0), fact)
    }

    fn dry(&self) -> (Option<bool>, Fact) {
        let fact = self
            .water
            .map(|percent| ("evidence-water", vec![("percent", Number::Percent(percent))]));
        (self.water.map(|percent| percent < self.water_level), fact)
    }

    pub(super) fn new_segments(&self) -> (Option<bool>, Fact) {
        let fact =
            self.fitted_nights.map(|n| ("evidence-fitted", vec![("nights", Number::Count(n))]));
        (self.fitted_nights.map(|n| n <= NEW_NIGHTS), fact)
    }
}

fn obstacle(s: &Signature) -> Cause {
    let (moving, fact) = s.moving();
    Cause::new(
        "cause-obstacle",
        &["inspect-floor-there", "inspect-segments", "inspect-brush-by-hand"],
    )
    .weigh_both((2, 3), s.sudden(), &s.rise())
    .weigh_both((1, 1), moving, &fact)
    .weigh(1, s.one(), &s.other())
    .weigh_both((0, 1), s.still_high().map(|high| !high), &s.after())
}

fn wound(s: &Signature) -> Cause {
    Cause::new("cause-wound", &["inspect-brush-by-hand", "inspect-segments"])
        .weigh(2, s.sudden().map(|sudden| !sudden), &s.rise())
        .weigh_both((1, 2), s.one(), &s.other())
        .weigh_both((2, 2), s.still_high(), &s.after())
}

fn floor(s: &Signature) -> Cause {
    let (only_here, places) = s.places();
    Cause::new("cause-floor", &["inspect-floor-there", "inspect-down-pressure"])
        .weigh_both((2, 2), only_here, &places)
        .weigh_both((1, 0), s.both(), &s.other())
        .weigh_both((1, 1), s.sudden().map(|sudden| !sudden), &s.rise())
}

fn pressed(s: &Signature) -> Cause {
    let (raised, pressure) = s.raised();
    Cause::new(
        "cause-pressed",
        &["inspect-down-pressure", "inspect-deck-level", "inspect-segments"],
    )
    .weigh_both((3, 1), raised, &pressure)
    .weigh(2, s.both(), &s.other())
    .weigh_both((0, 1), s.sudden().map(|sudden| !sudden), &s.rise())
}

fn motor(s: &Signature) -> Cause {
    let (alone, _, normal) = s.normals();
    Cause::new("cause-motor", &["inspect-brush-by-hand", "inspect-wiring", "inspect-motor"])
        .weigh_both((3, 2), alone, &normal)
        .weigh_both((0, 1), s.one(), &s.other())
}

/// Told only where brushes were seen in the air: on the floor the floor stops them.
fn bearing(s: &Signature) -> Option<Cause> {
    let ((shorter, run_down), (more, no_load)) = s.air();
    if shorter.is_none() && more.is_none() {
        return None;
    }
    let (alone, _, normal) = s.normals();
    let checks = &["inspect-in-the-air", "inspect-brush-by-hand", "inspect-motor"];
    let cause = Cause::new("cause-bearing", checks)
        .weigh(3, shorter, &run_down)
        .weigh_both((2, 1), more, &no_load)
        .weigh_both((1, 1), alone, &normal)
        .weigh_both((1, 1), s.sudden().map(|sudden| !sudden), &s.rise());
    Some(cause)
}

fn weak_battery(s: &Signature) -> Cause {
    let (low, voltage) = s.voltage();
    let start = s.not_full();
    Cause::new("cause-low-battery", &["inspect-battery", "inspect-wiring"])
        .weigh_both((3, 2), low, &voltage)
        .weigh_both((2, 0), s.not_full_v.map(|_| true), &start)
}

/// A brush that was held, or nearly.
pub(super) fn stall(s: &Signature) -> Vec<Cause> {
    let (started, since) = s.started();
    let held = Cause::new("cause-held-start", &["inspect-why-it-stood", "inspect-brush-by-hand"])
        .weigh_both((3, 3), started, &since);
    let all = [obstacle(s), wound(s), pressed(s), floor(s), motor(s), held, weak_battery(s)];
    all.into_iter().chain(bearing(s)).collect()
}

/// More load than the motor is made for.
pub(super) fn over_pressure(s: &Signature) -> Vec<Cause> {
    let (dry, water) = s.dry();
    let dry = Cause::new("cause-dry", &["inspect-water", "inspect-switches"])
        .weigh_both((3, 2), dry, &water)
        .weigh_both((0, 1), s.both(), &s.other());
    let (_, all, normal) = s.normals();
    let (new, fitted) = s.new_segments();
    let segments = Cause::new("cause-new-segments", &["inspect-segments", "inspect-down-pressure"])
        .weigh(2, new, &fitted)
        .weigh_both((1, 1), all, &normal)
        .weigh_both((1, 1), s.both(), &s.other());
    let uneven = Cause::new("cause-uneven-deck", &["inspect-deck-level", "inspect-segments"])
        .weigh_both((1, 2), s.one(), &s.other())
        .weigh_both((1, 0), s.still_high(), &s.after());
    let tool = wrong_tool(s, Unlike::More);
    // What is met is left behind soon.
    let lasted = Some(("evidence-lasted", vec![("time", Number::Seconds(s.lasted_s))]));
    let short = Some(s.lasted_s < LEFT_BEHIND_S);
    let obstacle = obstacle(s).weigh_both((0, 2), short, &lasted);
    let all = [pressed(s), dry, segments, tool, floor(s), uneven, obstacle, wound(s), motor(s)];
    all.into_iter().chain(bearing(s)).collect()
}

/// A motor whose current vanished under load.
pub(super) fn trip(s: &Signature) -> Vec<Cause> {
    let loaded = s.before_a.map(|a| a >= 0.8 * s.over_pressure_a);
    let before = s.before_a.map(|a| ("evidence-before", vec![("current", Number::Amperes(a))]));
    let overload = Cause::new(
        "cause-trip",
        &["inspect-before-reset", "inspect-brush-by-hand", "inspect-wiring"],
    );
    let peak = s.peak_ratio.map(|r| ("evidence-peak-ratio", vec![("ratio", Number::Ratio(r))]));
    let wiring = Cause::new("cause-wiring", &["inspect-before-reset", "inspect-wiring"]);
    let motor_number = ("motor", Number::Motor(s.motor));
    let heat = s.heat.map(|share| {
        ("evidence-heat", vec![motor_number, ("percent", Number::Percent(100.0 * share))])
    });
    let all = [
        overload
            .weigh_both((2, 0), loaded, &before)
            .weigh(1, s.peak_ratio.map(|r| r > BOTH), &peak)
            .weigh_both((2, 0), s.heat.map(|share| share >= s.heat_warning), &heat),
        wiring.weigh_both((1, 1), s.peak_ratio.map(|r| r <= BOTH), &peak),
        motor(s),
    ];
    all.into_iter().chain(bearing(s)).collect()
}

/// A motor that was warm for long.
pub(super) fn hot(s: &Signature) -> Vec<Cause> {
    let (_, all, normal) = s.normals();
    let load = Cause::new("cause-hot", &["inspect-air-and-heat", "inspect-down-pressure"])
        .weigh_both((2, 0), all, &normal);
    [load, pressed(s), motor(s)].into_iter().chain(bearing(s)).collect()
}
