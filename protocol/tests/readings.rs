//! Which readings and notes each frame gives, by channel name (`SPEC.md`, "Channels").

use heapless::Vec as Row;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{
    Brush, BrushMotor, Capabilities, Controls, Fault, Frame, Hello, Mark, Motion, Power, Runtime,
};
use underbrush_protocol::note::Note;
use underbrush_protocol::reading::unpack;
use underbrush_protocol::wire_units::{
    CurrentRaw, HourMeterRaw, Percent, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw,
};

fn readings(frame: &Frame) -> Vec<(&'static str, i32)> {
    let unpacked = unpack(frame);
    assert_eq!(unpacked.note, None);
    unpacked.readings.iter().map(|(channel, raw)| (channel.name(), *raw)).collect()
}

#[test]
fn each_quantity_has_its_channel() {
    let motion = Frame::Motion(Motion { speed: SpeedRaw(-7), turn_rate: Some(TurnRateRaw(8)) });
    assert_eq!(readings(&motion), [("speed", -7), ("turn_rate", 8)]);

    let motors: Vec<_> = (1..=4)
        .map(|n: i16| BrushMotor {
            current: CurrentRaw(-n),
            rotation: Some(RotationRaw(60_000 + n.unsigned_abs())),
        })
        .collect();
    let motors = Row::from_slice(&motors).expect("four");
    let setting = Percent::new(80);
    let brush = Frame::Brush(Brush { command_on: true, motors, pressure_setting: setting });
    assert_eq!(
        readings(&brush),
        [
            ("brush_command", 1),
            ("pressure_setting", 80),
            ("brush_current_1", -1),
            ("brush_rotation_1", 60_001),
            ("brush_current_2", -2),
            ("brush_rotation_2", 60_002),
            ("brush_current_3", -3),
            ("brush_rotation_3", 60_003),
            ("brush_current_4", -4),
            ("brush_rotation_4", 60_004),
        ]
    );

    let largest = HourMeterRaw(i32::MAX.unsigned_abs());
    let too_large = HourMeterRaw(largest.0 + 1);
    let (key_on, brush_on, traction) = (Some(HourMeterRaw(9)), Some(largest), Some(too_large));
    let runtime = Frame::Runtime(Runtime { key_on, brush_on, traction });
    assert_eq!(readings(&runtime), [("key_on_meter", 9), ("brush_on_meter", i32::MAX)]);

    let power = Frame::Power(Power { voltage: VoltageRaw(65_535), current: Some(CurrentRaw(-3)) });
    assert_eq!(readings(&power), [("battery_voltage", 65_535), ("battery_current", -3)]);

    let controls = Frame::Controls(Controls {
        head_down: Some(false),
        vacuum_on: Some(true),
        solution_flow: Percent::new(40),
    });
    assert_eq!(readings(&controls), [("head_down", 0), ("vacuum_on", 1), ("solution_flow", 40)]);
}

#[test]
fn what_the_bridge_left_out_gives_no_reading() {
    let motion = Frame::Motion(Motion { speed: SpeedRaw(0), turn_rate: None });
    assert_eq!(readings(&motion), [("speed", 0)]);
    let brush =
        Frame::Brush(Brush { command_on: false, motors: Row::new(), pressure_setting: None });
    assert_eq!(readings(&brush), [("brush_command", 0)]);
    let runtime = Frame::Runtime(Runtime { key_on: None, brush_on: None, traction: None });
    assert_eq!(readings(&runtime), []);
}

#[test]
fn what_is_no_quantity_is_a_note() {
    let hello = Hello {
        bridge_id: 1,
        firmware: (1, 0, 0),
        capabilities: Capabilities(0),
        brush_motors: 2,
        period_ms: 100,
    };
    let fault = Fault { controller: 1, code: 2, active: false };
    let cases = [
        (Frame::Hello(hello.clone()), Note::Hello(hello)),
        (Frame::Mark(Mark::Tag(7)), Note::Mark(Mark::Tag(7))),
        (Frame::Fault(fault.clone()), Note::Fault(fault)),
    ];
    for (frame, note) in cases {
        let unpacked = unpack(&frame);
        assert!(unpacked.readings.is_empty());
        assert_eq!(unpacked.note, Some(note));
    }
}

#[test]
fn names_and_numbers_go_both_ways() {
    for name in Channel::names() {
        let channel = Channel::by_name(name).expect("a listed name");
        assert_eq!(channel.name(), name);
        assert!((1..=Channel::MAX).contains(&channel.0));
    }
    assert_eq!(Channel::by_name("Speed"), None);
    assert_eq!(Channel(5).name(), "unknown");
    assert_eq!((Channel::brush_current(4), Channel::brush_rotation(4)), (None, None));
}
