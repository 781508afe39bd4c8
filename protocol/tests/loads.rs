//! Load detectors on hand-made rows at ten intervals a second. Times and limits are those
//! of `Limits::default()`: our own choice after common practice, no published source.
//! Each row is made from what happens, in words of physics, not from the rules.

use underbrush_protocol::detect::{
    Expected, Interval, LightCause, Limits, LoadEvent, LoadKind, LoadWatch, MotorState, Onset,
    States, ThermalSettings, light_cause,
};
use underbrush_protocol::time::BootMs;

/// What each motor draws at work.
const WORK_A: f32 = 20.0;

fn expected() -> Expected {
    let mut expected = Expected { spread: 0.01, ..Expected::default() };
    expected.current_a[..2].fill(Some(WORK_A));
    expected
}

fn wet() -> States {
    States { head_down: Some(true), solution_flow: Some(60), ..States::default() }
}

/// A row of 0.1 s intervals: how many, and what changes in them.
struct Row {
    intervals: Vec<Interval>,
    states: States,
    command_on: Option<bool>,
    speed_m_s: f32,
}

impl Row {
    /// Brushes start, and 10 s of normal work.
    fn new() -> Self {
        let mut row =
            Self { intervals: Vec::new(), states: wet(), command_on: Some(true), speed_m_s: 0.5 };
        for inrush in [80.0, 60.0, 40.0, 25.0] {
            row.push(1, inrush, inrush);
        }
        row.push(100, WORK_A, WORK_A);
        row
    }

    fn now(&self) -> u64 {
        self.intervals.last().map_or(0, |i| i.to.0)
    }

    fn push(&mut self, count: u32, left_a: f32, right_a: f32) -> &mut Self {
        for step in 0..count {
            // A ripple of 3 % as floors have it.
            let ripple = 1.0 + 0.03 * (step as f32 * 0.7).sin();
            let from = self.now();
            let motor = |a: f32, rpm: f32| MotorState {
                current_a: Some(a * ripple),
                rotation_rpm: Some(if a < 0.5 { 0.0 } else { rpm }),
            };
            self.intervals.push(Interval {
                from: BootMs(from),
                to: BootMs(from + 100),
                speed_m_s: Some(self.speed_m_s),
                command_on: self.command_on,
                motors: [motor(left_a, 180.0), motor(right_a, 180.0)].into_iter().collect(),
                turn_rad_s: None,
                states: self.states,
            });
        }
        self
    }

    fn found(&self) -> Vec<LoadEvent> {
        self.found_with(&expected())
    }

    fn found_with(&self, expected: &Expected) -> Vec<LoadEvent> {
        let thermal = ThermalSettings { limit_a: 37.8, time_constant_s: 900.0, warning: 0.9 };
        let mut watch = LoadWatch::new(Limits::default(), thermal);
        let mut events = Vec::new();
        for interval in &self.intervals {
            watch.step(interval, expected, (), |event| events.push(event));
        }
        watch.finish(|event| events.push(event));
        events
    }

    /// The only event, of this kind, from and to this time.
    fn only(&self, kind: LoadKind, from: u64, to: u64) -> LoadEvent {
        let found = self.found();
        assert_eq!(found.len(), 1, "{found:#?}");
        let (run, edge) = (found[0].run, 100);
        assert_eq!(found[0].kind, kind);
        assert!(run.from.0.abs_diff(from) <= edge && run.to.0.abs_diff(to) <= edge, "{run:?}");
        found[0]
    }
}

#[test]
fn starting_working_turning_and_stopping_are_no_events() {
    let mut row = Row::new();
    for _ in 0..20 {
        row.push(300, WORK_A, 1.1 * WORK_A);
        row.speed_m_s = 0.0;
        row.push(12, WORK_A, WORK_A);
        row.speed_m_s = 0.5;
    }
    row.command_on = Some(false);
    row.push(100, 0.0, 0.0);
    row.command_on = Some(true);
    row.push(1, 90.0, 90.0).push(1, 70.0, 70.0).push(300, WORK_A, WORK_A);
    assert_eq!(row.found(), []);
}

#[test]
fn a_worn_brush_is_light_contact_of_that_motor() {
    let mut row = Row::new();
    let from = row.now();
    row.push(120, WORK_A, 9.0);
    let to = row.now();
    row.push(50, WORK_A, WORK_A);
    let event = row.only(LoadKind::Light, from, to);
    assert_eq!(event.motor, 1);
    assert!((event.ratio.unwrap() - 0.45).abs() < 0.01, "{event:?}");
    let limits = Limits::default().load;
    assert_eq!(light_cause(&event, &limits, false), LightCause::OneBrush);
    assert_eq!(light_cause(&event, &limits, true), LightCause::AllBrushes);
    // Shorter than the limit; standing; head up: none.
    assert_eq!(Row::new().push(45, WORK_A, 9.0).push(50, WORK_A, WORK_A).found(), []);
    let mut standing = Row::new();
    standing.speed_m_s = 0.0;
    assert_eq!(standing.push(120, WORK_A, 9.0).found(), []);
    let mut up = Row::new();
    up.states.head_down = Some(false);
    assert_eq!(up.push(120, 4.0, 4.0).found(), []);
    // Where nobody knows what is normal, nothing is light.
    assert_eq!(row.found_with(&Expected::default()), []);
}

#[test]
fn a_low_setting_and_a_missing_brush_are_told_apart() {
    let limits = Limits::default().load;
    let mut row = Row::new();
    row.states.pressure_setting = Some(40);
    let event = row.push(100, 9.0, WORK_A).found()[0];
    assert_eq!(light_cause(&event, &limits, false), LightCause::Pressure { percent: 40 });
    let mut row = Row::new();
    // No-load current is 3 A.
    let event = row.push(100, 4.0, WORK_A).found()[0];
    assert_eq!(light_cause(&event, &limits, false), LightCause::HardlyTouching);
}

#[test]
fn a_tilted_deck_is_uneven_and_a_short_tilt_is_not() {
    let mut row = Row::new();
    let from = row.now();
    row.push(250, 24.0, 15.5);
    let to = row.now();
    row.push(50, WORK_A, WORK_A);
    let event = row.only(LoadKind::Uneven, from, to);
    assert_eq!(event.motor, 0);
    assert!((event.ratio.unwrap() - 24.0 / 15.5).abs() < 0.01, "{event:?}");
    assert_eq!(Row::new().push(190, 24.0, 15.5).push(50, WORK_A, WORK_A).found(), []);
}

#[test]
fn a_catch_that_lets_go_is_a_near_stall_and_a_held_rotor_is_a_stall() {
    let mut row = Row::new();
    let from = row.now();
    row.push(4, WORK_A, 76.0);
    let to = row.now();
    row.push(50, WORK_A, WORK_A);
    let event = row.only(LoadKind::NearStall, from, to);
    assert_eq!((event.motor, event.onset(&Limits::default().load)), (1, Some(Onset::Obstacle)));
    // The same current on the way into a stall and out of it is the stall alone.
    let mut row = Row::new();
    row.push(1, WORK_A, 76.0);
    let from = row.now();
    row.push(10, WORK_A, 110.0);
    for held in row.intervals.iter_mut().rev().take(10) {
        held.motors[1].rotation_rpm = Some(0.0);
    }
    let to = row.now();
    row.push(2, WORK_A, 80.0).push(50, WORK_A, WORK_A);
    let event = row.only(LoadKind::Stall, from, to);
    assert_eq!(event.onset(&Limits::default().load), Some(Onset::Obstacle));
}

#[test]
fn a_slow_rise_is_drag() {
    let mut row = Row::new();
    // 4 A/s up to 48 A.
    for step in 0..70_u8 {
        row.push(1, WORK_A + 0.4 * f32::from(step), WORK_A);
    }
    row.push(60, 48.0, WORK_A).push(50, WORK_A, WORK_A);
    let found = row.found();
    let over: Vec<_> = found.iter().filter(|e| e.kind == LoadKind::OverPressure).collect();
    assert_eq!(over.len(), 1, "{found:#?}");
    assert_eq!(over[0].onset(&Limits::default().load), Some(Onset::Drag));
    assert!(over[0].rise_ms.unwrap() > 2_000, "{:?}", over[0]);
    assert!(found.iter().all(|e| e.kind != LoadKind::Heavy), "{found:#?}");
}

#[test]
fn far_above_normal_is_heavy_below_the_machine_limit() {
    let mut row = Row::new();
    let from = row.now();
    row.push(150, 31.0, 31.0);
    let to = row.now();
    row.push(50, WORK_A, WORK_A);
    let found = row.found();
    assert_eq!(found.len(), 2, "{found:#?}");
    for event in found {
        assert_eq!((event.kind, event.run.from.0, event.run.to.0), (LoadKind::Heavy, from, to));
    }
}

#[test]
fn a_breaker_takes_one_motor_and_the_switch_takes_all() {
    let mut row = Row::new();
    row.push(40, 50.0, WORK_A);
    row.push(1, 17.0, WORK_A);
    let from = row.now();
    row.push(60, 0.0, WORK_A);
    let to = row.now();
    row.command_on = Some(false);
    row.push(50, 0.0, 0.0);
    let found = row.found();
    let trips: Vec<_> = found.iter().filter(|e| e.kind == LoadKind::Trip).collect();
    assert_eq!(trips.len(), 1, "{found:#?}");
    assert_eq!((trips[0].motor, trips[0].run.from.0, trips[0].run.to.0), (0, from, to));
    assert!(trips[0].peak_a > 49.0, "{:?}", trips[0]);
    // Switched off at high load, from a low load, or all at once: no trip.
    let none = |row: &Row| row.found().iter().all(|e| e.kind != LoadKind::Trip);
    let mut off = Row::new();
    off.push(20, 50.0, WORK_A).command_on = Some(false);
    assert!(none(off.push(60, 0.0, 0.0)));
    assert!(none(Row::new().push(60, 0.0, WORK_A)));
    assert!(none(Row::new().push(20, 50.0, WORK_A).push(60, 0.0, 0.0)));
    // A deck with one motor: only the switch tells a trip from a stop.
    let alone = |command_on: bool| {
        let mut row = Row::new();
        row.push(20, 50.0, 50.0).command_on = Some(command_on);
        row.push(60, 0.0, 0.0).intervals.iter_mut().for_each(|i| i.motors.truncate(1));
        row
    };
    assert!(none(&alone(false)) && !none(&alone(true)));
    // Back within a second: no trip.
    assert!(none(Row::new().push(20, 50.0, WORK_A).push(9, 0.0, WORK_A).push(60, WORK_A, WORK_A)));
}

#[test]
fn minutes_of_more_friction_are_dry_running_only_where_the_flow_is_not_known() {
    let dry = |flow: Option<u8>, spread: f32| {
        let mut row = Row::new();
        row.states.solution_flow = flow;
        row.push(3_000, 1.13 * WORK_A, 1.12 * WORK_A).push(1_500, WORK_A, WORK_A);
        row.found_with(&Expected { spread, ..expected() })
    };
    let found = dry(None, 0.01);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].kind, LoadKind::Dry);
    // 20 s mean: the edges are within half a minute.
    let (from, to) = (found[0].run.from.0 as f64 / 1e3, found[0].run.to.0 as f64 / 1e3);
    assert!((from - 10.4).abs() < 30.0 && (to - 310.4).abs() < 30.0, "{from} {to}");
    assert_eq!(dry(Some(60), 0.01), []);
    assert_eq!(dry(None, 0.05), [], "nights differ by more than that");
}

#[test]
fn heat_follows_the_published_formula_through_the_watch() {
    // 60 A at a limit of 37.8 A: 90 % after 900 ln(h / (h - 0.9)) s, h = (60 / 37.8)².
    let mut row = Row::new();
    let from = row.now();
    row.push(6_000, 60.0, WORK_A);
    let hot: Vec<_> = row.found().into_iter().filter(|e| e.kind == LoadKind::Hot).collect();
    assert_eq!(hot.len(), 1);
    let h = (60.0_f64 / 37.8).powi(2);
    let seconds = 900.0 * (h / (h - 0.9)).ln();
    let found = (hot[0].run.from.0 - from) as f64 / 1e3;
    // 10 s of work before, and a ripple of 3 %: 1 % of the time.
    assert!((found - seconds).abs() < 0.02 * seconds, "{found} {seconds}");
    assert!(hot[0].run.cut_short && hot[0].ratio_max.unwrap() > 1.0, "{hot:?}");
}

#[test]
fn a_hole_ends_and_numbers_that_are_none_do_no_harm() {
    let mut row = Row::new();
    row.push(80, WORK_A, 9.0);
    row.intervals.drain(130..150);
    let found = row.found();
    assert!(found.iter().all(|e| e.run.cut_short) && found.len() <= 1, "{found:?}");
    let mut odd = Row::new();
    odd.push(5, f32::NAN, f32::INFINITY).push(100, WORK_A, WORK_A).push(100, WORK_A, 9.0);
    let found = odd.found();
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].kind, LoadKind::Light);
}
