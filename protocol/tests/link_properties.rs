//! What must hold for any bytes, any frames and any damage on the link.

use heapless::Vec as Row;
use proptest::prelude::*;
use underbrush_protocol::frame::{
    Brush, BrushMotor, Burst, Capabilities, Controls, Fault, Frame, Hello, Kind, Mark, Motion,
    Power, Runtime,
};
use underbrush_protocol::link::{
    Decoder, Encoder, Header, LinkCounts, MAX_BODY, MAX_ON_WIRE, Order, Packet, REORDER_WINDOW,
    Received, Rejection, SequenceTracker, encode_packet,
};
use underbrush_protocol::reading::{unpack, unpack_burst};
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::{
    CurrentRaw, HourMeterRaw, Percent, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw,
};

fn percent() -> impl Strategy<Value = Option<Percent>> {
    proptest::option::of(0_u8..=100).prop_map(|p| p.and_then(Percent::new))
}

fn meter() -> impl Strategy<Value = Option<HourMeterRaw>> {
    proptest::option::of(any::<u32>().prop_map(HourMeterRaw))
}

fn motor() -> impl Strategy<Value = BrushMotor> {
    (any::<i16>(), any::<Option<u16>>()).prop_map(|(current, rotation)| BrushMotor {
        current: CurrentRaw(current),
        rotation: rotation.map(RotationRaw),
    })
}

fn burst() -> impl Strategy<Value = Frame> {
    let near = prop_oneof![any::<i16>(), -300_i16..300];
    let values = proptest::collection::vec(near, 36);
    (1_u8..=255, 1_u8..=4, 1_usize..=36, values).prop_map(|(spacing_ms, motors, count, raw)| {
        let motors_each = usize::from(motors);
        let samples = (count / motors_each).max(1);
        let values: Vec<_> = raw.into_iter().take(samples * motors_each).map(CurrentRaw).collect();
        Frame::Burst(Burst::new(spacing_ms, motors, &values).expect("whole samples"))
    })
}

fn frame() -> impl Strategy<Value = Frame> {
    let hello = (any::<u32>(), any::<(u8, u8, u8)>(), any::<u32>(), any::<u8>(), any::<u16>())
        .prop_map(|(bridge_id, firmware, capabilities, brush_motors, period_ms)| {
            let capabilities = Capabilities(capabilities);
            Frame::Hello(Hello { bridge_id, firmware, capabilities, brush_motors, period_ms })
        });
    let motion = any::<(i16, Option<i16>)>().prop_map(|(speed, turn)| {
        Frame::Motion(Motion { speed: SpeedRaw(speed), turn_rate: turn.map(TurnRateRaw) })
    });
    let brush = (any::<bool>(), proptest::collection::vec(motor(), 0..=4), percent()).prop_map(
        |(command_on, motors, pressure_setting)| {
            let motors = Row::from_slice(&motors).expect("at most four");
            Frame::Brush(Brush { command_on, motors, pressure_setting })
        },
    );
    let runtime = (meter(), meter(), meter()).prop_map(|(key_on, brush_on, traction)| {
        Frame::Runtime(Runtime { key_on, brush_on, traction })
    });
    let power = any::<(u16, Option<i16>)>().prop_map(|(voltage, current)| {
        Frame::Power(Power { voltage: VoltageRaw(voltage), current: current.map(CurrentRaw) })
    });
    let controls = (any::<Option<bool>>(), any::<Option<bool>>(), percent()).prop_map(
        |(head_down, vacuum_on, solution_flow)| {
            Frame::Controls(Controls { head_down, vacuum_on, solution_flow })
        },
    );
    let button = any::<u8>().prop_map(|n| Frame::Mark(Mark::Button(n)));
    let tag = any::<u64>().prop_map(|n| Frame::Mark(Mark::Tag(n)));
    let fault = any::<(u8, u32, bool)>()
        .prop_map(|(controller, code, active)| Frame::Fault(Fault { controller, code, active }));
    prop_oneof![hello, motion, brush, runtime, power, controls, button, tag, fault, burst()]
}

fn decode(bytes: &[u8]) -> (Vec<Packet>, LinkCounts) {
    let mut decoder = Decoder::default();
    let packets = bytes.iter().filter_map(|byte| decoder.push(*byte)).collect();
    (packets, decoder.counts())
}

fn received(packets: &[Packet]) -> Vec<&Received> {
    packets.iter().filter_map(|p| if let Packet::Frame(r) = p { Some(r) } else { None }).collect()
}

fn wire(sequence: u16, tick_ms: u32, frame: &Frame) -> Vec<u8> {
    Encoder::starting_at(sequence).encode(tick_ms, frame).to_vec()
}

/// Number of stretches of bytes other than zero that a zero ends.
fn ended_stretches(bytes: &[u8]) -> u64 {
    bytes.windows(2).filter(|w| w[0] != 0 && w[1] == 0).count() as u64
}

/// A body of kind 9 with these numbers.
fn burst_body(spacing_ms: u8, motors: u8, count: u8) -> Vec<u8> {
    let mut body = vec![spacing_ms, motors, count];
    body.extend((0..count).map(|_| 2));
    body
}

#[test]
fn a_burst_that_is_not_whole_is_no_body() {
    for spacing in [0, 1, 255] {
        for motors in 0..=6 {
            for count in 0..=40 {
                let whole = spacing > 0
                    && (1..=4).contains(&motors)
                    && (1..=36).contains(&count)
                    && count % motors == 0;
                let read = Frame::read_body(Kind::BURST, &burst_body(spacing, motors, count));
                assert_eq!(read.is_ok(), whole, "{spacing} ms, {motors} motors, {count} values");
            }
        }
    }
}

#[test]
fn samples_of_a_burst_have_times_of_their_own() {
    let values = [10, -20, 30, -40, 50, -60].map(CurrentRaw);
    let burst = Burst::new(5, 2, &values).expect("three samples of two");
    let readings: Vec<_> =
        unpack_burst(BootMs(1_000), &burst).map(|r| (r.at.0, r.channel.name(), r.raw)).collect();
    let (one, two) = ("brush_current_fine_1", "brush_current_fine_2");
    let expected =
        [(990, one, 10), (990, two, -20), (995, one, 30), (995, two, -40), (1_000, one, 50)];
    assert_eq!(readings[..5], expected);
    assert_eq!(readings[5..], [(1_000, two, -60)]);
}

proptest! {
    #[test]
    fn any_bytes_are_counted_exactly_once(bytes in proptest::collection::vec(
        prop_oneof![3 => any::<u8>(), 1 => Just(0), 1 => 0_u8..5], 0..600,
    )) {
        let (packets, counts) = decode(&bytes);
        prop_assert_eq!(counts.bytes, bytes.len() as u64);
        prop_assert_eq!(packets.len() as u64, ended_stretches(&bytes));
        prop_assert_eq!(counts.frames + counts.unknown_kind + counts.rejected(), packets.len() as u64);
        let of = |r| packets.iter().filter(|p| **p == Packet::Rejected(r)).count() as u64;
        prop_assert_eq!(counts.too_long, of(Rejection::TooLong));
        prop_assert_eq!(counts.framing, of(Rejection::Framing));
        prop_assert_eq!(counts.too_short, of(Rejection::TooShort));
        prop_assert_eq!(counts.checksum, of(Rejection::Checksum));
        prop_assert_eq!(counts.version, of(Rejection::Version));
        prop_assert_eq!(counts.body, of(Rejection::Body));
    }

    // A body of random bytes behind a checksum that holds: what a bridge with an
    // error in its firmware can send.
    #[test]
    fn any_body_is_read_or_refused(kind in 0_u8..12, body in proptest::collection::vec(any::<u8>(), 0..=MAX_BODY)) {
        let header = Header { kind: Kind(kind), sequence: 9, tick_ms: 77 };
        let mut wire = [0; MAX_ON_WIRE];
        let used = encode_packet(header, &body, &mut wire);
        let (packets, counts) = decode(&wire[..used]);
        prop_assert_eq!(packets.len(), 1);
        match &packets[0] {
            Packet::Frame(r) => {
                prop_assert_eq!(r.header, header);
                prop_assert_eq!(r.frame.kind(), Kind(kind));
                let _ = unpack(&r.frame);
            }
            Packet::Unknown(h) => {
                prop_assert!(kind == 0 || kind > 8);
                prop_assert_eq!(*h, header);
            }
            Packet::Rejected(r) => prop_assert_eq!(*r, Rejection::Body),
        }
        prop_assert_eq!(counts.checksum + counts.framing, 0);
    }

    #[test]
    fn frames_come_through_with_garbage_between(
        first in any::<u16>(),
        sent in proptest::collection::vec((any::<u32>(), frame(), proptest::collection::vec(any::<u8>(), 0..300)), 1..12),
    ) {
        let mut encoder = Encoder::starting_at(first);
        let mut bytes = Vec::new();
        for (tick, frame, garbage) in &sent {
            bytes.extend_from_slice(garbage);
            // A bridge that was cut off flushes with a zero.
            bytes.push(0);
            bytes.extend_from_slice(encoder.encode(*tick, frame));
        }
        let (packets, counts) = decode(&bytes);
        let got = received(&packets);
        prop_assert_eq!(got.len(), sent.len());
        for (i, (r, (tick, frame, _))) in got.iter().zip(&sent).enumerate() {
            prop_assert_eq!(&r.frame, frame);
            prop_assert_eq!(r.header.tick_ms, *tick);
            prop_assert_eq!(r.header.sequence, first.wrapping_add(i as u16));
        }
        prop_assert_eq!(counts.rejected() + counts.unknown_kind, packets.len() as u64 - sent.len() as u64);
    }

    // A CRC of 32 bits finds every burst of up to 32 bits in what it covers. On the
    // coded bytes a burst can also move zeros, and then one in 2^32 could pass.
    #[test]
    fn damage_never_passes(frame in frame(), at in any::<prop::sample::Index>(), burst in 1_u32..) {
        let good = wire(3, 5, &frame);
        let coded = good.len() - 1;
        let mut bad = good.clone();
        // The burst may begin at any bit and reaches at most to the last bit.
        let bit = at.index(coded * 8);
        for i in 0..32 {
            let target = bit + i;
            if burst >> i & 1 == 1 && target < coded * 8 {
                bad[target / 8] ^= 1 << (target % 8);
            }
        }
        let (packets, _) = decode(&bad);
        if bad == good {
            prop_assert_eq!(received(&packets).len(), 1);
        } else {
            prop_assert!(received(&packets).is_empty(), "{:02x?} passed for {:02x?}", bad, good);
        }
    }

    #[test]
    fn every_single_bit_error_is_refused(frame in frame(), tick in any::<u32>()) {
        let good = wire(1, tick, &frame);
        for bit in 0..good.len() * 8 {
            let mut bad = good.clone();
            bad[bit / 8] ^= 1 << (bit % 8);
            bad.push(0);
            let (packets, counts) = decode(&bad);
            prop_assert!(received(&packets).is_empty(), "bit {}", bit);
            prop_assert!(counts.rejected() >= 1, "bit {} was not counted", bit);
        }
    }

    #[test]
    fn a_truncated_stream_loses_only_its_cut_packet(
        frames in proptest::collection::vec(frame(), 1..8), cut in any::<prop::sample::Index>(),
    ) {
        let mut encoder = Encoder::default();
        let mut bytes = Vec::new();
        let mut ends = Vec::new();
        for frame in &frames {
            bytes.extend_from_slice(encoder.encode(0, frame));
            ends.push(bytes.len());
        }
        let cut = cut.index(bytes.len() + 1);
        let whole = ends.iter().filter(|end| **end <= cut).count();
        let (packets, counts) = decode(&bytes[..cut]);
        prop_assert_eq!(received(&packets).len(), whole);
        prop_assert_eq!(counts.rejected(), 0);
        // Beginning in the middle, as after a reconnect: one packet at most is damaged.
        let (packets, counts) = decode(&bytes[cut..]);
        prop_assert!(received(&packets).len() + 1 >= frames.len() - whole);
        prop_assert!(counts.rejected() <= 1);
    }

    #[test]
    fn lost_doubled_and_late_packets_are_told_apart(
        first in any::<u16>(), tick in any::<u32>(),
        steps in proptest::collection::vec((0_u16..u16::MAX, 1_u32..100_000, 1..=REORDER_WINDOW), 1..40),
    ) {
        let mut tracker = SequenceTracker::default();
        let (mut sequence, mut tick) = (first, tick);
        prop_assert_eq!(tracker.place(sequence, tick), Order::First);
        for (lost, step, behind) in steps {
            let before = (sequence, tick);
            sequence = sequence.wrapping_add(lost).wrapping_add(1);
            tick = tick.wrapping_add(step);
            let expected = if lost == 0 { Order::Next } else { Order::Lost(lost) };
            prop_assert_eq!(tracker.place(sequence, tick), expected);
            prop_assert_eq!(tracker.place(sequence, tick), Order::Duplicate);
            if lost == 0 && step <= 1_000 {
                prop_assert_eq!(tracker.place(before.0, before.1), Order::Late);
            }
            prop_assert_eq!(tracker.place(sequence.wrapping_sub(behind), tick), Order::Late);
        }
        prop_assert_eq!(tracker.place(0, tick.wrapping_sub(1_001)), Order::Restarted);
    }
}

#[test]
fn another_version_is_counted_as_such() {
    let frame = Frame::Mark(Mark::Button(1));
    let good = wire(0, 0, &frame);
    let mut packet = vec![0; good.len()];
    let len = cobs::decode(&good[..good.len() - 1], &mut packet).expect("own bytes").frame_size();
    for version in [0, 2, 255] {
        packet[0] = version;
        let crc = underbrush_protocol::checksum::link_crc(&packet[..len - 4]).to_le_bytes();
        packet[len - 4..len].copy_from_slice(&crc);
        let mut wire = vec![0; MAX_ON_WIRE];
        let used = cobs::encode(&packet[..len], &mut wire);
        let (packets, counts) = decode(&wire[..=used]);
        assert_eq!(packets, vec![Packet::Rejected(Rejection::Version)]);
        assert_eq!(counts.version, 1);
    }
}

#[test]
fn appended_fields_are_left_and_missing_ones_refused() {
    let frame = Frame::Power(Power { voltage: VoltageRaw(2400), current: None });
    let mut body = [0; MAX_BODY];
    let len = frame.write_body(&mut body).expect("fits");
    body[len] = 0xAB;
    assert_eq!(Frame::read_body(Kind::POWER, &body[..=len]).as_ref(), Ok(&frame));
    assert!(Frame::read_body(Kind::POWER, &body[..len - 1]).is_err());
}

#[test]
fn the_longest_packet_passes_and_one_byte_more_does_not() {
    let header = Header { kind: Kind(99), sequence: 1, tick_ms: 1 };
    let mut wire = [0; MAX_ON_WIRE];
    let used = encode_packet(header, &[7; MAX_BODY], &mut wire);
    assert_eq!(used, MAX_ON_WIRE);
    assert_eq!(decode(&wire).0, vec![Packet::Unknown(header)]);
    let mut longer = wire[..used - 1].to_vec();
    longer.extend_from_slice(&[7, 0]);
    assert_eq!(decode(&longer).0, vec![Packet::Rejected(Rejection::TooLong)]);
}

#[test]
fn a_reset_forgets_the_half_packet() {
    let good = wire(1, 1, &Frame::Mark(Mark::Tag(5)));
    let mut decoder = Decoder::default();
    assert!(good[..6].iter().all(|b| decoder.push(*b).is_none()));
    decoder.reset();
    let packets: Vec<_> = good.iter().filter_map(|b| decoder.push(*b)).collect();
    assert_eq!(received(&packets).len(), 1);
    assert_eq!(decoder.counts().rejected(), 0);
}
