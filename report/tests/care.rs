//! Care, battery and sensors on small logs made by hand, whose answers can be worked out on paper.

mod common;

use common::{MACHINE, SHIFT_START, SITE, fix, judge_dir, machine, reading, site, write_archive};
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Volts;
use underbrush_protocol::time::BootMs;
use underbrush_report::findings::{BatteryState, CareRule, Doubt, Findings, Sensor, Span, figures};
use underbrush_report::settings::{Book, Site};

/// A log as a bridge would write it: rates each 0.1 s, states when they change and each 2.5 s.
#[allow(clippy::struct_excessive_bools)] // Each is a switch of the machine.
struct Bridge {
    entries: Vec<Entry>,
    at: u64,
    lfsr: u32,
    speed_mm_s: i32,
    current_da: i32,
    on: bool,
    turn_mrad_s: Option<i32>,
    head: bool,
    vacuum: bool,
    flow: i32,
    pressure: i32,
    /// Open-circuit voltage in mV and current in dA.
    battery: Option<(i32, Option<i32>)>,
    noise: bool,
}

/// 20 mohm.
const OHMS_MV_PER_DA: i32 = 2;

impl Bridge {
    fn new(after_ms: i64) -> Self {
        Self {
            entries: vec![fix(after_ms)],
            at: 0,
            lfsr: 1,
            speed_mm_s: 600,
            current_da: 200,
            on: true,
            turn_mrad_s: None,
            head: true,
            vacuum: true,
            flow: 70,
            pressure: 100,
            battery: None,
            noise: true,
        }
    }

    /// -2 to 2 raw steps.
    fn noise(&mut self) -> i32 {
        self.lfsr = self.lfsr.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        if self.noise { (self.lfsr >> 16) as i32 % 5 - 2 } else { 0 }
    }

    fn mark(&mut self, mark: Mark) {
        self.entries.push(Entry::Note(BootMs(self.at), Note::Mark(mark)));
    }

    /// Goes on for some seconds.
    fn go(&mut self, seconds: u64) {
        for tick in 0..seconds * 10 {
            self.at += 100;
            let at = self.at;
            let (a, b) = (self.noise(), self.noise());
            let speed = if self.speed_mm_s == 0 { 0 } else { self.speed_mm_s + a };
            let current = if self.on { self.current_da + b } else { self.current_da };
            let mut say = |channel, raw| self.entries.push(reading(at, channel, raw));
            say(Channel::SPEED, speed);
            say(Channel::brush_current(0).unwrap(), current);
            say(Channel::BRUSH_COMMAND, i32::from(self.on));
            if let Some(turn) = self.turn_mrad_s {
                say(Channel::TURN_RATE, turn + a);
            }
            if tick == 0 || at.is_multiple_of(2_500) {
                say(Channel::HEAD_DOWN, i32::from(self.head));
                say(Channel::VACUUM_ON, i32::from(self.vacuum));
                say(Channel::SOLUTION_FLOW, self.flow);
                say(Channel::PRESSURE_SETTING, self.pressure);
                if let Some((free_mv, current)) = self.battery {
                    let drawn = current.unwrap_or(0);
                    let mv = free_mv - OHMS_MV_PER_DA * drawn + 4 * a;
                    say(Channel::BATTERY_VOLTAGE, mv / 10);
                    if let Some(drawn) = current {
                        say(Channel::BATTERY_CURRENT, drawn + b);
                    }
                }
            }
        }
    }

    fn judge(self) -> Findings {
        self.judge_with(&machine())
    }

    fn judge_with(self, machine: &Machine) -> Findings {
        let dir = TempDir::new().unwrap();
        write_archive(dir.path(), 1, 1, &self.entries);
        judge_dir(dir.path(), machine, &site(), &Book::default())
    }
}

fn seconds(span: Span) -> (f64, f64) {
    let s = |t: chrono::DateTime<chrono::Utc>| (t.timestamp_millis() - SHIFT_START) as f64 / 1000.0;
    (s(span.from), s(span.to))
}

fn near(found: f64, expected: f64, by: f64) {
    assert!((found - expected).abs() <= by, "{found} for {expected}");
}

#[test]
fn slurry_left_in_two_sections_is_one_event() {
    let mut bridge = Bridge::new(0);
    bridge.mark(Mark::Tag(1));
    bridge.go(60);
    bridge.vacuum = false;
    bridge.go(40);
    bridge.mark(Mark::Tag(2));
    bridge.go(3);
    bridge.vacuum = true;
    bridge.go(60);
    let found = bridge.judge();
    let vacuum: Vec<_> = found.care.of(CareRule::Vacuum).collect();
    let [event] = vacuum.as_slice() else { panic!("{:?}", found.care.events) };
    let (from, to) = seconds(event.span);
    near(from, 60.0, 0.1001);
    near(to, 103.0, 0.1001);
    assert_eq!(event.place.section, Some(0), "where most of it was");
    let sections: Vec<_> = event.places.iter().map(|(p, _)| p.section).collect();
    assert_eq!(sections, [Some(0), Some(1)]);
    near(event.places[0].1.0, 40.0, 0.11);
    near(event.held().0, 43.0, 0.11);
    // X-01 must never be polished: 3 s there with the vacuum off, 60 s on.
    let forbidden: Vec<_> = found.care.of(CareRule::Forbidden).collect();
    let [event] = forbidden.as_slice() else { panic!("{:?}", found.care.events) };
    near(seconds(event.span).0, 100.0, 0.1001);
    near(event.held().0, 63.0, 0.11);
    assert!(event.cut_short, "the log ended there");
}

#[test]
fn each_rule_and_its_share_of_the_time() {
    let mut bridge = Bridge::new(0);
    bridge.go(60);
    bridge.flow = 0;
    bridge.go(20);
    bridge.flow = 70;
    bridge.pressure = 60;
    bridge.go(30);
    bridge.pressure = 100;
    bridge.go(10);
    bridge.head = false;
    bridge.go(10);
    bridge.on = false;
    bridge.current_da = 0;
    bridge.go(70);
    let found = bridge.judge();
    let events: Vec<_> =
        found.care.events.iter().map(|e| (e.rule, e.span.length().0.round() as u64)).collect();
    assert_eq!(events, [(CareRule::Water, 20), (CareRule::Pressure, 30), (CareRule::Head, 10)]);
    let observed = found.care.observed(CareRule::Water);
    near(observed.of.0, 130.0, 0.3);
    near(observed.seen.0, 130.0, 0.3);
    let place = found.care.observed(CareRule::Forbidden);
    assert_eq!(place.share().map(|s| (10.0 * s).round()), Some(1.0), "no mark: {place:?}");
}

#[test]
fn switches_that_are_not_recorded_are_not_judged() {
    let dir = TempDir::new().unwrap();
    let mut entries = vec![fix(0)];
    entries.extend(common::drive(0, 120, 600, 20));
    write_archive(dir.path(), 1, 1, &entries);
    let found = judge_dir(dir.path(), &machine(), &site(), &Book::default());
    assert_eq!(found.care.events, []);
    let observed = found.care.observed(CareRule::Vacuum);
    assert!(observed.seen.0 == 0.0 && observed.of.0 > 119.0 && !observed.enough());
    assert_eq!(found.battery.state, BatteryState::Unknown);
}

#[test]
fn the_book_forbids_too() {
    let mut bridge = Bridge::new(0);
    bridge.go(120);
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &bridge.entries);
    let text = "[[begun]]\nat = 2026-11-23T22:01:00\nsection = \"X-01\"\nphase = \"maintenance\"\n";
    let book = Book::parse("book.toml", text).unwrap();
    let site = Site::parse("site.toml", SITE).unwrap();
    let found = judge_dir(dir.path(), &machine(), &site, &book);
    let [event] = found.care.events.as_slice() else { panic!("{:?}", found.care.events) };
    assert_eq!(event.rule, CareRule::Forbidden);
    near(seconds(event.span).0, 60.0, 0.1001);
}

/// 20 stays with brushes off at 2 A, each with work at `work_da` and 20 A more behind it. The open
/// voltage falls in 80 equal steps, never together with a change of the load.
fn night(after_ms: i64, from_mv: i32, to_mv: i32, work_da: i32, with_current: bool) -> Bridge {
    let mut bridge = Bridge::new(after_ms);
    for block in 0..80 {
        let da = [20, work_da, work_da + 200, work_da][block as usize % 4];
        bridge.on = block % 4 > 0;
        bridge.current_da = if bridge.on { 200 } else { 0 };
        for half in 0..2 {
            let free = from_mv + (to_mv - from_mv) * (block + half) / 80;
            bridge.battery = Some((free, with_current.then_some(da)));
            bridge.go(45);
        }
    }
    bridge
}

#[test]
fn resistance_and_rest_of_a_battery() {
    // 38.4 V free at the start, 35.0 V at the end: below the 35.28 V of 18 lead-acid cells.
    let found = night(0, 38_400, 35_000, 800, true).judge();
    let run = &found.battery.run;
    let resistance = run.resistance.unwrap();
    near(resistance.best.0, 0.020, 0.0004);
    assert!(resistance.low.0 <= 0.020 && 0.020 <= resistance.high.0, "{resistance:?}");
    near(run.start.unwrap().0, 38.4, 0.02);
    near(run.lowest.unwrap().voltage.0, 35.0, 0.03);
    near(run.end.unwrap().0, 35.0, 0.03);
    // Under load another 80 to 100 A x 20 mohm are missing.
    near(run.lowest_loaded.unwrap().voltage.0, 33.2, 0.21);
    assert_eq!(found.battery.state, BatteryState::Low);
    assert_eq!(found.battery.not_full, None);
    // 120 min of brushes on (20 x 3 x 90 s) used 3.4 V of the 2.52 V from full to low.
    near(found.battery.charge.unwrap().0, 5_400.0 * 2.52 / 3.4, 60.0);
    let deep = night(0, 37_000, 34_000, 800, true).judge();
    assert_eq!(deep.battery.state, BatteryState::Deep);
    near(deep.battery.not_full.unwrap().0, 37.0, 0.02);
}

#[test]
fn without_its_current_only_the_voltage_under_load_counts() {
    let found = night(0, 38_400, 32_000, 0, false).judge();
    let run = &found.battery.run;
    assert!(!run.current_read && run.resistance.is_none() && run.lowest.is_none());
    near(run.lowest_loaded.unwrap().voltage.0, 32.0, 0.02);
    assert_eq!(found.battery.state, BatteryState::Good, "not below 1.75 V per cell: 31.5 V");
    let empty = night(0, 38_400, 31_000, 0, false).judge();
    assert_eq!(empty.battery.state, BatteryState::Deep);
}

#[test]
fn a_weak_charge_against_its_own_past() {
    let nights = |last_mv: i32| {
        let dir = TempDir::new().unwrap();
        for back in 0..=6_i64 {
            let end = if back == 0 { last_mv } else { 36_400 + 20 * (back as i32 % 3) };
            let after_ms = -86_400_000 * back;
            let boot = (7 - back) as u32;
            let entries = night(after_ms, 38_400, end, 800, true).entries;
            write_archive(dir.path(), boot, 1, &entries);
        }
        judge_dir(dir.path(), &machine(), &site(), &Book::default()).battery
    };
    // Each night used 2.0 V for the same brush time; one that uses 2.3 V has 87 % of it.
    let usual = nights(36_100);
    assert_eq!(usual.usual.map(|u| u.charges), Some(6));
    near(usual.usual.unwrap().median.0, 5_400.0 * 2.52 / 1.98, 90.0);
    assert!(!usual.weak, "{usual:?}");
    // One that uses 2.8 V has 71 %.
    assert!(nights(35_600).weak);
}

#[test]
fn stuck_speed_and_stuck_current() {
    let mut bridge = Bridge::new(0);
    bridge.go(100);
    bridge.noise = false;
    bridge.go(61);
    bridge.noise = true;
    bridge.go(100);
    let found = bridge.judge();
    let sensors: Vec<_> = found.quality.doubts.iter().map(|d| (d.sensor, d.doubt)).collect();
    assert_eq!(sensors, [(Sensor::Speed, Doubt::Stuck), (Sensor::Current(0), Doubt::Stuck)]);
    let (from, to) = seconds(found.quality.doubts[0].span);
    near(from, 100.0, 1.0);
    near(to, 161.0, 1.0);
    let mut short = Bridge::new(0);
    short.go(20);
    short.noise = false;
    short.go(58);
    short.noise = true;
    short.go(20);
    assert_eq!(short.judge().quality.doubts, []);
}

#[test]
fn a_standing_machine_is_not_stuck_but_one_that_turns_is() {
    let standing = |turn: Option<i32>, on: bool| {
        let mut bridge = Bridge::new(0);
        bridge.go(20);
        bridge.speed_mm_s = 0;
        bridge.turn_mrad_s = turn;
        bridge.on = on;
        bridge.current_da = if on { 200 } else { 0 };
        bridge.go(100);
        bridge.speed_mm_s = 600;
        bridge.go(20);
        bridge.judge().quality.doubts
    };
    assert_eq!(standing(None, false), []);
    assert_eq!(standing(Some(5), true), [], "5 mrad/s is a gyro's bias");
    let [doubt] = standing(Some(200), true)[..] else { panic!() };
    assert_eq!((doubt.sensor, doubt.doubt, doubt.value), (Sensor::Speed, Doubt::Stuck, 0.0));
}

#[test]
fn impossible_values_are_told_and_not_counted() {
    let mut bridge = Bridge::new(0);
    bridge.go(50);
    bridge.speed_mm_s = 20_000;
    bridge.go(5);
    bridge.speed_mm_s = 600;
    bridge.go(50);
    let found = bridge.judge();
    let [doubt] = found.quality.doubts.as_slice() else { panic!("{:?}", found.quality) };
    assert_eq!((doubt.sensor, doubt.doubt), (Sensor::Speed, Doubt::Impossible));
    near(doubt.value, 20.0, 0.01);
    near(doubt.time.0, 5.0, 0.11);
    near(found.area.distance.0, 60.0, 0.3);
    near(found.data.observed.0, 100.0, 0.3);
}

#[test]
fn a_current_sensor_that_drifts() {
    let with_offset = |of: fn(i32) -> i32| {
        let mut bridge = Bridge::new(0);
        for stay in 0..8 {
            bridge.on = false;
            bridge.current_da = of(stay);
            bridge.go(30);
            bridge.on = true;
            bridge.current_da = 200 + of(stay);
            bridge.go(300);
        }
        bridge.judge().quality
    };
    let quality = with_offset(|_| 8);
    let offset = quality.offsets[0].unwrap();
    near(offset.offset.0, 0.8, 1e-6);
    assert!(offset.exceeds && offset.stays == 8 && offset.drift.unwrap().0.abs() < 1e-6);
    // 0.8 A of 16 A beyond the 4 A without load.
    near(offset.load_share.unwrap(), 0.8 / 16.0, 0.002);
    let quality = with_offset(|stay| stay - 4);
    let offset = quality.offsets[0].unwrap();
    near(offset.offset.0, -0.05, 1e-6);
    near(offset.drift.unwrap().0, 0.7, 0.02);
    assert!(offset.exceeds);
    let quality = with_offset(|stay| stay % 2);
    assert!(!quality.offsets[0].unwrap().exceeds && quality.drifting().next().is_none());
}

#[test]
fn figures_of_care_and_data_say_their_numbers() {
    let mut bridge = night(0, 38_400, 36_000, 800, true);
    bridge.vacuum = false;
    bridge.go(30);
    bridge.vacuum = true;
    bridge.go(10);
    let findings = bridge.judge();
    let machine = Machine::parse("machine.toml", MACHINE).unwrap();
    let (site, book) = (site(), Book::default());
    let known = underbrush_report::findings::Known {
        findings: &findings,
        machine: &machine,
        site: &site,
        book: &book,
    };
    let expected = [
        ("care.vacuum", 1),
        ("care.water", 0),
        ("care.battery.resistance", 1),
        ("care.battery.voltage", 1),
        ("care.battery.start", 1),
        ("care.battery.charge", 1),
        ("data.observed", 1),
        ("data.care", 1),
        ("data.stuck", 0),
        ("data.offset", 1),
    ];
    for (id, cases) in expected {
        let figure = figures().find(|f| f.id == id).unwrap_or_else(|| panic!("no figure {id}"));
        assert_eq!((figure.worked)(&known).len(), cases, "{id}");
        for name in figure.channels {
            assert!(Channel::by_name(name).is_some(), "{id}: {name}");
        }
    }
    assert!(findings.battery.run.start.unwrap() > Volts(38.3));
}
