//! The warning of a standing machine needs no reading behind the last one: a line that dies
//! while the machine stands delays it by nothing.

use underbrush_agent::watch::{Alarm, AlarmKind, Stage, Watch};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

fn watch() -> Watch {
    Watch::new(&Machine::parse("machine.toml", include_str!("data/machine.toml")).unwrap())
}

fn entry(at: u64, channel: Channel, raw: i32) -> Entry {
    Entry::Reading(Reading { at: BootMs(at), channel, raw })
}

/// One frame's readings of a machine with turning brushes.
fn frame(at: u64, speed_mm_s: i32) -> [Entry; 3] {
    [
        entry(at, Channel::SPEED, speed_mm_s),
        entry(at, Channel::BRUSH_COMMAND, 1),
        entry(at, Channel::brush_current(0).unwrap(), 180),
    ]
}

/// Drives for a second and then stands, to the frame at `until`.
fn stops(watch: &mut Watch, until: u64) -> Vec<Alarm> {
    let mut alarms = Vec::new();
    for at in (100..=until).step_by(100) {
        watch.take(&frame(at, if at <= 1_000 { 600 } else { 0 }), &mut alarms);
    }
    alarms
}

#[test]
fn it_comes_with_the_reading_that_completes_it() {
    assert_eq!(stops(&mut watch(), 1_400), []);
    let warning = Alarm {
        at: BootMs(1_500),
        kind: AlarmKind::Stationary,
        stage: Stage::Warning,
        motor: None,
        began: BootMs(1_000),
        on: true,
    };
    assert_eq!(stops(&mut watch(), 1_500), [warning]);
    assert_eq!(stops(&mut watch(), 2_900), [warning], "once");
    // The event waits until it is sure: the report tells of the same.
    let mut alarms = stops(&mut watch(), 3_200);
    let event = alarms.pop().unwrap();
    assert_eq!((event.stage, event.on, event.at), (Stage::Event, true, BootMs(3_100)));
    assert_eq!(alarms, [warning]);
}

#[test]
fn a_frame_that_is_not_whole_says_nothing_yet() {
    let mut watch = watch();
    let mut alarms = stops(&mut watch, 1_400);
    let whole = frame(1_500, 0);
    watch.take(&whole[..2], &mut alarms);
    assert_eq!(alarms, [], "the current may be that of a brush at rest");
    watch.take(&whole[2..], &mut alarms);
    assert_eq!(alarms.len(), 1);
}

#[test]
fn what_comes_for_the_same_time_takes_it_back() {
    let mut watch = watch();
    let mut alarms = stops(&mut watch, 1_500);
    watch.take(&[entry(1_500, Channel::HEAD_DOWN, 0)], &mut alarms);
    watch.take(&frame(1_600, 0), &mut alarms);
    let says: Vec<_> = alarms.iter().map(|alarm| (alarm.stage, alarm.on)).collect();
    assert_eq!(says, [(Stage::Warning, true), (Stage::Warning, false)]);
    watch.finish(&mut alarms);
    assert_eq!(alarms.len(), 2, "nothing else is left on");
}
