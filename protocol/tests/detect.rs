//! The detectors on hand-made rows of intervals. The limits are those of
//! `Limits::default()`: common practice, no published source.

use underbrush_protocol::detect::{
    Expected, Interval, Limits, LoadKind, LoadWatch, MotorState, Run, RunDown, Slip, SlipKind,
    Stationary, ThermalSettings, TurningLimits, brush_turning,
};
use underbrush_protocol::time::BootMs;

fn motor(current_a: Option<f32>, rotation_rpm: Option<f32>) -> MotorState {
    MotorState { current_a, rotation_rpm }
}

/// An interval with a speed, the switch on, and these motors.
fn at(from: u64, to: u64, speed_m_s: Option<f32>, motors: &[MotorState]) -> Interval {
    Interval {
        from: BootMs(from),
        to: BootMs(to),
        speed_m_s,
        command_on: Some(true),
        motors: motors.iter().copied().collect(),
        ..Interval::default()
    }
}

fn run(from: u64, to: u64, cut_short: bool) -> Run {
    Run { from: BootMs(from), to: BootMs(to), cut_short }
}

/// All events of a row, the last one by `finish`.
fn stationary(row: &[Interval]) -> Vec<Run> {
    let mut detector = Stationary::new(Limits::default());
    let mut events: Vec<_> = row.iter().filter_map(|i| detector.step(i)).collect();
    events.extend(detector.finish());
    events.into_iter().map(|event| event.run).collect()
}

fn loads(kind: LoadKind, number: usize, row: &[Interval]) -> Vec<(Run, f32)> {
    let thermal = ThermalSettings { limit_a: 36.0, time_constant_s: 900.0, warning: 0.9 };
    let mut watch = LoadWatch::new(Limits::default(), thermal);
    let mut events = Vec::new();
    for interval in row {
        watch.step(interval, &Expected::default(), (), |event| events.push(event));
    }
    watch.finish(|event| events.push(event));
    let of = events.into_iter().filter(|e| e.kind == kind && e.motor == number);
    of.map(|event| (event.run, event.peak_a)).collect()
}

const TURNS: MotorState = MotorState { current_a: Some(20.0), rotation_rpm: Some(180.0) };
const RESTS: MotorState = MotorState { current_a: Some(0.0), rotation_rpm: Some(0.0) };

#[test]
fn standing_with_a_turning_brush_is_an_event_only_when_longer_than_the_limit() {
    let moving = at(0, 1_000, Some(0.5), &[TURNS]);
    let exactly = [
        moving.clone(),
        at(1_000, 3_000, Some(0.0), &[TURNS]),
        at(3_000, 4_000, Some(0.5), &[TURNS]),
    ];
    assert_eq!(stationary(&exactly), []);
    let longer =
        [moving, at(1_000, 3_001, Some(0.0), &[TURNS]), at(3_001, 4_000, Some(0.5), &[TURNS])];
    assert_eq!(stationary(&longer), [run(1_000, 3_001, false)]);
}

#[test]
fn standing_begins_below_one_speed_and_ends_at_a_higher_one() {
    // 0.055 m/s lies between 0.05 and 0.06.
    let noisy = [
        at(0, 1_000, Some(0.04), &[TURNS]),
        at(1_000, 2_000, Some(0.055), &[TURNS]),
        at(2_000, 3_000, Some(-0.055), &[TURNS]),
        at(3_000, 4_000, Some(0.06), &[TURNS]),
    ];
    assert_eq!(stationary(&noisy), [run(0, 3_000, false)]);
    let never_stood = [at(0, 9_000, Some(0.055), &[TURNS])];
    assert_eq!(stationary(&never_stood), []);
    // Backwards is moving, too.
    assert_eq!(stationary(&[at(0, 9_000, Some(-0.3), &[TURNS])]), []);
}

#[test]
fn a_hole_in_the_data_is_never_part_of_an_event() {
    let holed = [
        at(0, 1_500, Some(0.0), &[TURNS]),
        at(9_000, 10_500, Some(0.0), &[TURNS]),
        at(10_500, 11_500, Some(0.0), &[TURNS]),
    ];
    assert_eq!(stationary(&holed), [run(9_000, 11_500, true)]);
    let speed_lost = [
        at(0, 2_500, Some(0.0), &[TURNS]),
        at(2_500, 4_000, None, &[TURNS]),
        at(4_000, 5_000, Some(0.0), &[TURNS]),
    ];
    assert_eq!(stationary(&speed_lost), [run(0, 2_500, true)]);
}

#[test]
fn a_resting_brush_ends_the_event_even_where_the_speed_is_lost() {
    let row = [at(0, 2_500, Some(0.0), &[TURNS]), at(2_500, 4_000, None, &[RESTS])];
    assert_eq!(stationary(&row), [run(0, 2_500, false)]);
}

#[test]
fn the_live_alarm_is_on_only_while_the_event_lasts() {
    let mut detector = Stationary::new(Limits::default());
    detector.step(&at(0, 2_000, Some(0.0), &[TURNS]));
    assert!(!detector.is_active() && detector.open().is_some());
    detector.step(&at(2_000, 2_100, Some(0.0), &[TURNS]));
    assert!(detector.is_active());
    assert!(detector.step(&at(2_100, 2_200, Some(1.0), &[TURNS])).is_some());
    assert!(!detector.is_active() && detector.open().is_none());
}

#[test]
fn whether_a_brush_turns_is_told_by_rotation_then_current_then_switch() {
    let limits = TurningLimits::default();
    let turning = |motors: &[MotorState]| brush_turning(&at(0, 1, None, motors), limits);
    assert_eq!(turning(&[motor(Some(50.0), Some(0.0))]), Some(false), "held still");
    assert_eq!(turning(&[motor(Some(50.0), None)]), Some(true));
    assert_eq!(turning(&[motor(Some(0.5), None)]), Some(false));
    assert_eq!(turning(&[RESTS, TURNS]), Some(true), "one is enough");
    assert_eq!(turning(&[motor(None, None), RESTS]), Some(false));
    assert_eq!(turning(&[]), Some(true), "only the switch is known");
    let blind = Interval { command_on: None, ..at(0, 1, None, &[motor(None, None)]) };
    assert_eq!(brush_turning(&blind, limits), None);
}

#[test]
fn over_pressure_has_hysteresis_and_keeps_its_peak() {
    let amps = |from, to, a| at(from, to, Some(0.5), &[motor(Some(a), Some(150.0))]);
    let row = [
        amps(0, 1_000, 43.0),
        amps(1_000, 3_000, 46.0),
        amps(3_000, 4_000, 43.0),
        amps(4_000, 5_000, 52.5),
        amps(5_000, 6_000, 42.0),
    ];
    assert_eq!(loads(LoadKind::OverPressure, 0, &row), [(run(1_000, 5_000, false), 52.5)]);
    // 3 s exactly is not longer than 3 s.
    assert_eq!(loads(LoadKind::OverPressure, 0, &[amps(0, 3_000, 46.0)]), []);
}

#[test]
fn the_peak_of_one_event_does_not_leak_into_the_next() {
    let amps = |from, to, a| at(from, to, Some(0.5), &[motor(Some(a), Some(150.0))]);
    let touching = [amps(0, 4_000, 80.0), amps(4_000, 5_000, 10.0), amps(5_000, 9_000, 50.0)];
    let peaks = |row: &[Interval]| -> Vec<f32> {
        loads(LoadKind::OverPressure, 0, row).into_iter().map(|(_, peak)| peak).collect()
    };
    assert_eq!(peaks(&touching), [80.0, 50.0]);
    let holed = [amps(0, 4_000, 80.0), amps(7_000, 11_000, 50.0)];
    assert_eq!(peaks(&holed), [80.0, 50.0]);
}

#[test]
fn a_stall_is_a_stall_and_not_over_pressure() {
    let held = at(0, 5_000, Some(0.0), &[motor(Some(95.0), Some(0.0))]);
    assert_eq!(
        loads(LoadKind::Stall, 0, std::slice::from_ref(&held)),
        [(run(0, 5_000, true), 95.0)]
    );
    assert_eq!(loads(LoadKind::OverPressure, 0, &[held]), []);
    // Where the rotation is not measured, the height of the current decides, once the motor
    // has started: a start draws as much for a moment.
    let unseen = |from, to, amps| at(from, to, Some(0.0), &[motor(Some(amps), None)]);
    let rows = [unseen(0, 300, 90.0), unseen(300, 3_000, 20.0), unseen(3_000, 3_201, 90.0)];
    assert_eq!(loads(LoadKind::Stall, 0, &rows), [(run(3_000, 3_201, true), 90.0)]);
    let never_turns = [unseen(0, 2_000, 90.0), unseen(2_000, 5_000, 90.0)];
    assert_eq!(loads(LoadKind::Stall, 0, &never_turns), [(run(2_000, 5_000, true), 90.0)]);
    // Turning with that current is load, not stall.
    let turning = at(0, 5_000, Some(0.5), &[motor(Some(95.0), Some(150.0))]);
    assert_eq!(loads(LoadKind::Stall, 0, std::slice::from_ref(&turning)), []);
    assert_eq!(loads(LoadKind::OverPressure, 0, &[turning]), [(run(0, 5_000, true), 95.0)]);
}

#[test]
fn each_motor_is_judged_alone_and_a_missing_one_never_has_events() {
    let both = [motor(Some(50.0), Some(150.0)), motor(Some(20.0), Some(150.0))];
    let row = [at(0, 4_000, Some(0.5), &both)];
    assert_eq!(loads(LoadKind::OverPressure, 0, &row).len(), 1);
    assert_eq!(loads(LoadKind::OverPressure, 1, &row), []);
    assert_eq!(loads(LoadKind::OverPressure, 7, &row), []);
    // The motor vanishes from the data: the event is cut short there.
    let vanishes = [at(0, 4_000, Some(0.5), &both), at(4_000, 5_000, Some(0.5), &[])];
    assert_eq!(loads(LoadKind::OverPressure, 0, &vanishes), [(run(0, 4_000, true), 50.0)]);
}

#[test]
fn numbers_that_are_none_hold_no_condition() {
    let odd = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, -0.0];
    for x in odd {
        let row = [
            at(0, 5_000, Some(x), &[motor(Some(x), Some(x))]),
            at(5_000, 9_000, Some(x), &[motor(Some(x), None)]),
        ];
        let events = stationary(&row);
        assert!(x == 0.0 || events.is_empty(), "{x}: {events:?}");
        let _ = loads(LoadKind::OverPressure, 0, &row);
        let _ = loads(LoadKind::Stall, 0, &row);
    }
    let nan = [at(0, 9_000, Some(f32::NAN), &[TURNS])];
    assert_eq!(stationary(&nan), [], "a speed that is no number is not standing");
    let nan = [at(0, 9_000, Some(0.5), &[motor(Some(f32::NAN), Some(150.0))])];
    assert_eq!(loads(LoadKind::OverPressure, 0, &nan), []);
}

#[test]
fn intervals_out_of_order_do_no_harm() {
    let row = [
        at(5_000, 8_000, Some(0.0), &[TURNS]),
        at(1_000, 500, Some(0.0), &[TURNS]),
        at(u64::MAX - 1, u64::MAX, Some(0.0), &[TURNS]),
        at(0, u64::MAX, Some(0.0), &[TURNS]),
    ];
    assert_eq!(stationary(&row), [run(5_000, 8_000, true), run(0, u64::MAX, true)]);
}

#[test]
fn coasting_brushes_and_lifted_ones_are_no_event() {
    let coast = |ms: u64, rpm: f32| Interval {
        command_on: Some(false),
        ..at(ms, ms + 100, Some(0.0), &[motor(Some(0.0), Some(rpm))])
    };
    // Ten seconds of coasting from 200 r/min.
    let row: Vec<_> = (0..100).map(|i| coast(i * 100, 200.0 - 2.0 * i as f32)).collect();
    assert_eq!(stationary(&row), []);
    // One that does not slow down within the run-down time is driven by something.
    let row: Vec<_> = (0..200).map(|i| coast(i * 100, 200.0)).collect();
    assert_eq!(stationary(&row), [run(15_000, 20_000, true)]);
    // On for 5 s, then off: the event ends with the power, not with the coasting.
    let on =
        (0..50).map(|i| at(i * 100, i * 100 + 100, Some(0.0), &[motor(Some(20.0), Some(200.0))]));
    let row: Vec<_> = on.chain((50..80).map(|i| coast(i * 100, 150.0))).collect();
    assert_eq!(stationary(&row), [run(0, 5_000, false)]);
    let mut lifted: Vec<_> =
        (0..50).map(|i| at(i * 100, i * 100 + 100, Some(0.0), &[TURNS])).collect();
    for interval in &mut lifted {
        interval.states.head_down = Some(false);
    }
    assert_eq!(stationary(&lifted), []);
}

#[test]
fn a_creep_is_the_same_stop_and_a_start_is_not() {
    let creep = |speed: f32| -> Vec<Interval> {
        let speed_at = |i: u64| if (30..33).contains(&i) { speed } else { 0.0 };
        (0..60).map(|i| at(i * 100, i * 100 + 100, Some(speed_at(i)), &[TURNS])).collect()
    };
    assert_eq!(stationary(&creep(0.09)), [run(0, 6_000, true)]);
    assert_eq!(stationary(&creep(0.3)), [run(0, 3_000, false), run(3_300, 6_000, true)]);
}

#[test]
fn run_down_is_measured() {
    let mut run_down = RunDown::default();
    let limits = Limits::default();
    for i in 0..60 {
        let rpm = (200.0 - 5.0 * i as f32).max(0.0);
        let interval = Interval {
            command_on: Some(i < 10),
            ..at(i * 100, i * 100 + 100, Some(0.5), &[motor(Some(0.0), Some(rpm))])
        };
        run_down.step(&interval, &limits);
    }
    // Off at 1.0 s; 20 r/min is passed at the interval that begins at 3.6 s.
    assert_eq!(run_down.take_measured_ms(), Some(2_600));
}

#[test]
fn wheels_and_turning_that_disagree() {
    let mut slip = Slip::new(Limits::default());
    let mut hints = Vec::new();
    for i in 0..100_u64 {
        // 2.1 m/s² is a spin of the wheel; a start with 0.5 m/s² is not.
        let speed = match i {
            0..20 => 0.05 * i as f32,
            20..30 => 1.0,
            30..40 => 1.4,
            _ => 1.4 - (0.1 * (i - 40) as f32).min(1.4),
        };
        let turn = if (60..75).contains(&i) { 0.5 } else { 0.0 };
        let interval =
            Interval { turn_rad_s: Some(turn), ..at(i * 100, i * 100 + 100, Some(speed), &[]) };
        hints.extend(slip.step(&interval).map(|h| (h.kind, h.run.from.0, h.run.to.0)));
    }
    assert_eq!(hints, [(SlipKind::Spin, 3_000, 3_100), (SlipKind::Dragged, 6_000, 7_500)]);
    let sideways = |ms| Interval { turn_rad_s: Some(1.8), ..at(ms, ms + 100, Some(1.2), &[]) };
    let mut slip = Slip::new(Limits::default());
    assert!((0..5).all(|i| slip.step(&sideways(i * 100)).is_none()));
    assert_eq!(slip.finish().map(|h| h.kind), Some(SlipKind::Sideways));
}
