//! The bytes of link version 1 and of log format version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. Machines in the field send these bytes and disks hold them. If a test
//! here fails, the code is wrong. A new version gets a file of its own beside
//! this one, and this one goes on passing.
//!
//! The bytes were written by the encoder of version 1 and read back by the
//! reader in `tests/reference/`, which shares no code with this crate.

use heapless::Vec as Row;
use underbrush_protocol::frame::{
    Brush, BrushMotor, Capabilities, Controls, Fault, Frame, Hello, Mark, Motion, Power, Runtime,
};
use underbrush_protocol::link::{Decoder, Encoder, Packet};
use underbrush_protocol::wire_units::{
    CurrentRaw, HourMeterRaw, Percent, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw,
};

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex")).collect()
}

/// `hex` must decode to exactly this, and this must encode to `hex`.
fn frozen(hex: &str, sequence: u16, tick_ms: u32, frame: &Frame) {
    let wire = bytes(hex);
    let mut decoder = Decoder::default();
    let packets: Vec<_> = wire.iter().filter_map(|b| decoder.push(*b)).collect();
    let [Packet::Frame(received)] = packets.as_slice() else {
        panic!("not one frame: {packets:?}");
    };
    assert_eq!(&received.frame, frame);
    assert_eq!((received.header.sequence, received.header.tick_ms), (sequence, tick_ms));
    assert_eq!(Encoder::starting_at(sequence).encode(tick_ms, frame), wire);
}

fn motor(current: i16, rotation: Option<u16>) -> BrushMotor {
    BrushMotor { current: CurrentRaw(current), rotation: rotation.map(RotationRaw) }
}

fn row(motors: &[BrushMotor]) -> Row<BrushMotor, 4> {
    Row::from_slice(motors).expect("at most four")
}

#[test]
fn hello() {
    let frame = Frame::Hello(Hello {
        bridge_id: 70_001,
        firmware: (1, 4, 2),
        capabilities: Capabilities(0b11_1111),
        brush_motors: 2,
        period_ms: 100,
    });
    let wire = "04 01 01 28 02 0c 01 01 0e f1 a2 04 01 04 02 3f 02 64 36 2b 76 63 00";
    frozen(wire, 40, 12, &frame);
    let frame = Frame::Hello(Hello {
        bridge_id: u32::MAX,
        firmware: (255, 255, 255),
        capabilities: Capabilities(u32::MAX),
        brush_motors: 255,
        period_ms: u16::MAX,
    });
    let wire = "1e 01 01 fa ff ff ff ff ff ff ff ff ff 0f ff ff ff ff ff ff ff 0f ff ff \
         ff 03 ab 5e 3e c6 00";
    frozen(wire, 65_530, u32::MAX, &frame);
}

#[test]
fn motion() {
    let frame = Frame::Motion(Motion { speed: SpeedRaw(536), turn_rate: Some(TurnRateRaw(-75)) });
    let wire = "04 01 02 29 03 e8 03 01 0a b0 08 01 95 01 df 90 e9 63 00";
    frozen(wire, 41, 1000, &frame);
    let frame = Frame::Motion(Motion { speed: SpeedRaw(i16::MIN), turn_rate: None });
    let wire = "05 01 02 fb ff 01 01 01 04 ff ff 03 05 3b 29 4f 52 00";
    frozen(wire, 65_531, 0, &frame);
    let frame =
        Frame::Motion(Motion { speed: SpeedRaw(i16::MAX), turn_rate: Some(TurnRateRaw(i16::MAX)) });
    let wire = "06 01 02 fc ff 01 01 01 0c fe ff 03 01 fe ff 03 80 57 1b 62 00";
    frozen(wire, 65_532, 1, &frame);
}

#[test]
fn brush() {
    let frame = Frame::Brush(Brush {
        command_on: true,
        motors: row(&[motor(312, Some(1800)), motor(-5, None)]),
        pressure_setting: Percent::new(80),
    });
    let wire = "04 01 03 2a 03 e8 03 01 09 01 02 f0 04 01 88 0e 09 07 01 50 30 eb a9 77 \
         00";
    frozen(wire, 42, 1000, &frame);
    let frame = Frame::Brush(Brush { command_on: false, motors: row(&[]), pressure_setting: None });
    let wire = "06 01 03 fd ff 02 01 01 01 01 01 05 2d e6 53 97 00";
    frozen(wire, 65_533, 2, &frame);
    let frame = Frame::Brush(Brush {
        command_on: true,
        motors: row(&[
            motor(i16::MIN, Some(u16::MAX)),
            motor(i16::MAX, Some(u16::MAX)),
            motor(0, Some(u16::MAX)),
            motor(-1, Some(u16::MAX)),
        ]),
        pressure_setting: Percent::new(100),
    });
    let wire = "06 01 03 fe ff 03 01 01 11 01 04 ff ff 03 01 ff ff 03 fe ff 03 01 ff ff \
         03 10 01 ff ff 03 01 01 ff ff 03 01 64 ff 0d 71 28 00";
    frozen(wire, 65_534, 3, &frame);
}

#[test]
fn runtime() {
    let frame = Frame::Runtime(Runtime {
        key_on: Some(HourMeterRaw(3_600_000)),
        brush_on: None,
        traction: Some(HourMeterRaw(127)),
    });
    let wire = "04 01 04 2b 03 10 27 01 06 01 80 dd db 01 07 01 7f 66 1a 68 9c 00";
    frozen(wire, 43, 10_000, &frame);
    let frame = Frame::Runtime(Runtime { key_on: None, brush_on: None, traction: None });
    let wire = "06 01 04 ff ff 04 01 01 01 01 01 05 e8 e0 a9 38 00";
    frozen(wire, 65_535, 4, &frame);
    let frame = Frame::Runtime(Runtime {
        key_on: Some(HourMeterRaw(u32::MAX)),
        brush_on: Some(HourMeterRaw(0)),
        traction: Some(HourMeterRaw(1)),
    });
    let wire = "03 01 04 01 02 05 01 01 08 01 ff ff ff ff 0f 01 07 01 01 02 41 26 dd 00";
    frozen(wire, 0, 5, &frame);
}

#[test]
fn power() {
    let frame = Frame::Power(Power { voltage: VoltageRaw(2512), current: Some(CurrentRaw(874)) });
    let wire = "04 01 05 2c 03 24 27 01 0a d0 13 01 d4 0d 5e dc 17 bb 00";
    frozen(wire, 44, 10_020, &frame);
    let frame = Frame::Power(Power { voltage: VoltageRaw(u16::MAX), current: None });
    let wire = "04 01 05 01 02 06 01 01 04 ff ff 03 05 24 25 3a f3 00";
    frozen(wire, 1, 6, &frame);
}

#[test]
fn controls() {
    let frame = Frame::Controls(Controls {
        head_down: Some(true),
        vacuum_on: Some(false),
        solution_flow: None,
    });
    let wire = "04 01 06 2d 03 38 27 01 04 01 01 01 01 05 50 d5 93 92 00";
    frozen(wire, 45, 10_040, &frame);
    let frame = Frame::Controls(Controls {
        head_down: Some(false),
        vacuum_on: None,
        solution_flow: Percent::new(100),
    });
    let wire = "04 01 06 02 02 07 01 01 02 01 01 07 01 64 5f 53 76 6f 00";
    frozen(wire, 2, 7, &frame);
}

#[test]
fn mark() {
    let frame = Frame::Mark(Mark::Button(3));
    let wire = "04 01 07 2e 01 01 02 01 01 06 03 3a 28 60 a5 00";
    frozen(wire, 46, 65_536, &frame);
    let frame = Frame::Mark(Mark::Tag(1_234_567_890_123));
    let wire = "04 01 07 2f 02 a4 02 01 0c 01 cb 89 ec 8f f7 23 93 a2 c0 27 00";
    frozen(wire, 47, 65_700, &frame);
    let frame = Frame::Mark(Mark::Tag(u64::MAX));
    let wire = "04 01 07 03 02 08 01 01 10 01 ff ff ff ff ff ff ff ff ff 01 a1 0f 32 07 \
         00";
    frozen(wire, 3, 8, &frame);
}

#[test]
fn fault() {
    let frame = Frame::Fault(Fault { controller: 2, code: 1301, active: true });
    let wire = "04 01 08 30 0d ff ff ff ff 02 95 0a 01 67 a3 a4 74 00";
    frozen(wire, 48, u32::MAX, &frame);
    let frame = Frame::Fault(Fault { controller: 0, code: u32::MAX, active: false });
    let wire = "04 01 08 04 02 09 01 01 01 06 ff ff ff ff 0f 05 b9 d0 20 2f 00";
    frozen(wire, 4, 9, &frame);
}
