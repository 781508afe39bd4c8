//! Care events on hand-made rows of intervals, with the limits of the machine file's defaults:
//! common practice, no published source.

use underbrush_protocol::detect::{CareRule, CareWatch, Interval, MotorState, Run, States};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

const MACHINE: &str = "id = \"T\"\nname = \"T\"\n\
    [deck]\nbrushes = 1\npath_width = \"0.7 m\"\ncontact_length = \"0.35 m\"\n\
    [motor]\ntorque_constant = \"0.1 N.m/A\"\nresistance = \"0.05 ohm\"\n\
    no_load_current = \"4 A\"\ngear_ratio = 10.0\nrated_current = \"30 A\"\n\
    [battery]\nnominal_voltage = \"36 V\"\n";

fn machine(more: &str) -> Result<Machine, String> {
    Machine::parse("m.toml", &format!("{MACHINE}{more}")).map_err(|e| e.to_string())
}

const GOOD: States = States {
    head_down: Some(true),
    vacuum_on: Some(true),
    solution_flow: Some(70),
    pressure_setting: Some(100),
    battery_v: None,
    battery_a: None,
    brush_meter_s: None,
};

struct Row {
    all: Vec<(Interval, Option<bool>)>,
    at: u64,
}

impl Row {
    fn new() -> Self {
        Self { all: Vec::new(), at: 0 }
    }

    /// `seconds` in steps of 0.1 s.
    fn then(self, seconds: f64, turns: Option<bool>, states: States) -> Self {
        self.on(seconds, turns, states, Some(false))
    }

    fn on(mut self, seconds: f64, turns: Option<bool>, states: States, no: Option<bool>) -> Self {
        let motor = turns.map(|turns| MotorState {
            current_a: Some(if turns { 20.0 } else { 0.0 }),
            rotation_rpm: Some(if turns { 180.0 } else { 0.0 }),
        });
        for _ in 0..(seconds * 10.0).round() as u64 {
            let interval = Interval {
                from: BootMs(self.at),
                to: BootMs(self.at + 100),
                motors: motor.into_iter().collect(),
                command_on: turns,
                states,
                ..Interval::default()
            };
            self.at += 100;
            self.all.push((interval, no));
        }
        self
    }

    fn events(self, more: &str) -> Vec<(CareRule, Run)> {
        let machine = machine(more).unwrap();
        let mut watch = CareWatch::new(machine.limits(), machine.care_limits());
        let mut found = Vec::new();
        let mut take = |ended: [Option<Run>; 5]| {
            let ended = CareRule::ALL.into_iter().zip(ended);
            found.extend(ended.filter_map(|(rule, run)| Some((rule, run?))));
        };
        for (interval, forbidden) in &self.all {
            take(watch.step(interval, *forbidden));
        }
        take(watch.finish());
        found
    }
}

fn run(from: u64, to: u64) -> Run {
    Run { from: BootMs(from), to: BootMs(to), cut_short: false }
}

const ON: Option<bool> = Some(true);
const OFF: Option<bool> = Some(false);

#[test]
fn each_switch_alone() {
    let cases = [
        (CareRule::Vacuum, States { vacuum_on: OFF, ..GOOD }, 5.0),
        (CareRule::Water, States { solution_flow: Some(0), ..GOOD }, 5.0),
        (CareRule::Pressure, States { pressure_setting: Some(94), ..GOOD }, 10.0),
        (CareRule::Head, States { head_down: OFF, ..GOOD }, 3.0),
    ];
    for (rule, wrong, limit_s) in cases {
        let row = |s: f64| Row::new().then(2.0, ON, GOOD).then(s, ON, wrong).then(5.0, ON, GOOD);
        assert_eq!(row(limit_s).events(""), [], "{rule:?}: not longer than its limit");
        let end = 2_000 + (limit_s * 1000.0) as u64 + 100;
        assert_eq!(row(limit_s + 0.1).events(""), [(rule, run(2_000, end))]);
        let still = Row::new().then(60.0, OFF, wrong).then(1.0, ON, GOOD);
        assert_eq!(still.events(""), [], "{rule:?}: no brush turns");
        let cut = Row::new().then(60.0, ON, wrong).events("");
        assert!(matches!(&cut[..], [(_, run)] if run.cut_short), "{rule:?}: {cut:?}");
    }
}

#[test]
fn levels_are_those_of_the_file() {
    let trickle = States { solution_flow: Some(30), pressure_setting: Some(80), ..GOOD };
    let row = || Row::new().then(20.0, ON, trickle).then(1.0, ON, GOOD).then(2.0, OFF, GOOD);
    assert_eq!(row().events(""), [(CareRule::Pressure, run(0, 20_000))]);
    let strict = "[care]\nwater_level = 31\npressure = 80\nwater_time = \"19.9 s\"\n";
    assert_eq!(row().events(strict), [(CareRule::Water, run(0, 20_000))]);
}

#[test]
fn nothing_but_the_head_matters_in_the_air() {
    let up = States { head_down: OFF, vacuum_on: OFF, solution_flow: Some(0), ..GOOD };
    let row = Row::new().then(20.0, ON, up).then(2.0, OFF, up);
    assert_eq!(row.events(""), [(CareRule::Head, run(0, 20_000))]);
    // Where the head is not known, the brush is on the floor.
    let unknown = States { head_down: None, vacuum_on: OFF, ..GOOD };
    let row = Row::new().then(20.0, ON, unknown).then(2.0, OFF, unknown);
    assert_eq!(row.events(""), [(CareRule::Vacuum, run(0, 20_000))]);
}

#[test]
fn coasting_in_the_air_is_no_event_of_the_head() {
    let up = States { head_down: OFF, ..GOOD };
    let coast = |seconds: u64| {
        let mut row = Row::new().then(2.0, ON, GOOD).then(seconds as f64, ON, up);
        for (interval, _) in row.all.iter_mut().filter(|(i, _)| i.from.0 >= 2_000) {
            interval.command_on = OFF;
        }
        row.then(2.0, OFF, up).events("")
    };
    assert_eq!(coast(10), []);
    // The run-down time is over after 15 s: something drives it.
    assert_eq!(coast(25), [(CareRule::Head, run(17_000, 27_000))]);
}

#[test]
fn a_forbidden_floor() {
    let row = Row::new()
        .on(10.0, ON, GOOD, Some(false))
        .on(8.0, ON, GOOD, Some(true))
        .on(10.0, ON, GOOD, Some(false))
        .on(10.0, ON, States { head_down: OFF, ..GOOD }, Some(true));
    let events = row.events("[care]\nhead_time = \"1 h\"\n");
    assert_eq!(events, [(CareRule::Forbidden, run(10_000, 18_000))]);
}

#[test]
fn a_switch_that_bounces_is_one_event_and_a_hole_ends_it() {
    let off = States { vacuum_on: OFF, ..GOOD };
    let row = || Row::new().then(4.0, ON, off).then(1.0, ON, GOOD).then(4.0, ON, off);
    let end = (CareRule::Vacuum, run(0, 9_000));
    assert_eq!(row().then(2.0, ON, GOOD).events(""), [end]);
    let unknown = States { vacuum_on: None, ..GOOD };
    let cut = Run { cut_short: true, ..run(0, 9_000) };
    assert_eq!(row().then(2.0, ON, unknown).events(""), [(CareRule::Vacuum, cut)]);
    let parted = Row::new().then(4.0, ON, off).then(1.1, ON, GOOD).then(4.0, ON, off);
    assert_eq!(parted.then(2.0, ON, GOOD).events(""), [], "each half is too short");
}

#[test]
fn settings_that_cannot_be() {
    let says = |more: &str| machine(more).unwrap_err();
    let said = says("[care]\nvacuum_time = \"0 s\"\n");
    assert!(said.contains("care.vacuum_time") && said.contains("more than 0"), "{said}");
    let said = says("[care]\nwater_level = 101\n");
    assert!(said.contains("line 16, key `care.water_level`") && said.contains("100"), "{said}");
    let said = says("low_voltage = \"38 V\"\n");
    assert!(said.contains("battery.low_voltage") && said.contains("full_voltage"), "{said}");
    assert!(says("deep_voltage = \"36 V\"\n").contains("low_voltage"));
    assert!(says("weak_share = 1.5\n").contains("weak_share"));
}

#[test]
fn battery_limits_come_from_the_nominal_voltage() {
    let limits = machine("").unwrap().battery.limits();
    // 18 lead-acid cells at 2.10, 1.96, 1.90 and 1.75 V.
    let volts = [limits.full.0, limits.low.0, limits.deep.0, limits.under_load.0];
    for (found, expected) in volts.into_iter().zip([37.8, 35.28, 34.2, 31.5]) {
        assert!((found - expected).abs() < 1e-9, "{found} for {expected}");
    }
    let given = machine("full_voltage = \"40 V\"\n").unwrap().battery.limits();
    assert!((given.full.0 - 40.0).abs() < 1e-9 && given.low == limits.low);
}
