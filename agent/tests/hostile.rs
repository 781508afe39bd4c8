//! No bytes make a reader panic, and what is whole among them is kept.

mod common;

use common::{Scene, motion};
use proptest::prelude::*;
use underbrush_agent::Config;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::decode::{CanIntake, SignalReader};
use underbrush_agent::intake::{Intake, TimeBase};
use underbrush_agent::source::capture::{CaptureFormat, CaptureIntake};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::Kind;
use underbrush_protocol::link::{Encoder, Header, MAX_ON_WIRE, encode_packet};
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

const MACHINE: &str = include_str!("data/machine.toml");
const DBC: &str = include_str!("data/bus.dbc");

fn candump_intake() -> CaptureIntake {
    let machine = Machine::parse("machine.toml", MACHINE).unwrap();
    let database = Database::parse(DBC.as_bytes()).unwrap();
    let reader = SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", MACHINE);
    CaptureIntake::new(CanIntake::new(reader.unwrap()), Some(CaptureFormat::Candump), None)
}

fn assert_in_order(entries: &[Entry]) {
    assert!(entries.windows(2).all(|pair| pair[0].at() <= pair[1].at()));
}

fn speeds(entries: &[Entry]) -> Vec<i32> {
    let speed = |e: &Entry| match e {
        Entry::Reading(r) if r.channel == Channel::SPEED => Some(r.raw),
        _ => None,
    };
    entries.iter().filter_map(speed).collect()
}

/// A packet with a good checksum and anything else.
fn packet() -> impl Strategy<Value = Vec<u8>> {
    let body = proptest::collection::vec(any::<u8>(), 0..40);
    (0..12_u8, any::<u16>(), any::<u32>(), body).prop_map(|(kind, sequence, tick_ms, body)| {
        let mut wire = [0; MAX_ON_WIRE];
        let header = Header { kind: Kind(kind), sequence, tick_ms };
        let used = encode_packet(header, &body, &mut wire);
        wire[..used].to_vec()
    })
}

fn candump_line() -> impl Strategy<Value = String> {
    "(\\([0-9]{0,13}\\.[0-9]{0,10}\\))? ?(can0)? ?[0-9A-F]{2,9}##?R?[0-9A-F._]{0,20}( [RTX])?"
}

proptest! {
    #[test]
    fn link_bytes(pieces in proptest::collection::vec(
        prop_oneof![proptest::collection::vec(any::<u8>(), 0..300), packet()], 0..20,
    ), steps in proptest::collection::vec(0..100_000_u64, 20)) {
        for base in [TimeBase::Arrival, TimeBase::Tick] {
            let mut intake = Intake::new(base);
            let mut out = Vec::new();
            let mut now = 0;
            for (piece, step) in pieces.iter().zip(&steps) {
                now += step;
                intake.bytes(BootMs(now), piece, &mut out);
                if step % 7 == 0 {
                    intake.disconnected();
                }
                if base == TimeBase::Arrival {
                    intake.tick(BootMs(now), &mut out);
                }
            }
            intake.source_ended(&mut out);
            assert_in_order(&out);
            prop_assert!(base == TimeBase::Tick || out.iter().all(|e| e.at().0 <= now));
        }
    }

    #[test]
    fn garbage_between_frames_costs_none(garbage in proptest::collection::vec(
        proptest::collection::vec(1..=255_u8, 1..400), 1..10,
    )) {
        let mut encoder = Encoder::default();
        let mut intake = Intake::new(TimeBase::Tick);
        let mut out = Vec::new();
        for (i, noise) in garbage.iter().enumerate() {
            intake.bytes(BootMs(0), encoder.encode(i as u32 * 100, &motion(i as i16)), &mut out);
            intake.bytes(BootMs(0), noise, &mut out);
            intake.bytes(BootMs(0), &[0], &mut out);
        }
        prop_assert_eq!(speeds(&out), (0..garbage.len() as i32).collect::<Vec<_>>());
        prop_assert_eq!(intake.losses().damaged as usize, garbage.len());
    }

    #[test]
    fn candump_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        let mut intake = candump_intake();
        let mut out = Vec::new();
        intake.bytes(&bytes, &mut out);
        intake.source_ended(&mut out);
        assert_in_order(&out);
    }

    #[test]
    fn candump_lines(lines in proptest::collection::vec(candump_line(), 0..50), cut in 1..40_usize) {
        let text = lines.join("\n");
        let mut whole = candump_intake();
        let mut out = Vec::new();
        whole.bytes(text.as_bytes(), &mut out);
        whole.source_ended(&mut out);
        assert_in_order(&out);
        // The pieces that the bytes come in do not matter.
        let mut pieces = candump_intake();
        let mut again = Vec::new();
        text.as_bytes().chunks(cut).for_each(|piece| pieces.bytes(piece, &mut again));
        pieces.source_ended(&mut again);
        prop_assert_eq!(out, again);
        prop_assert_eq!(whole.can().counts(), pieces.can().counts());
    }

    #[test]
    fn dbc_bytes(at in 0..DBC.len(), with in proptest::collection::vec(any::<u8>(), 0..12), drop in 0..40_usize, data in proptest::collection::vec(any::<u8>(), 0..70)) {
        let mut bytes = DBC.as_bytes().to_vec();
        let end = (at + drop).min(bytes.len());
        bytes.splice(at..end, with);
        if let Ok(database) = Database::parse(&bytes) {
            for message in &database.messages {
                for place in 0..message.signals.len() {
                    let _ = message.value(place, &data);
                }
            }
        }
    }

    #[test]
    fn dbc_fields(start in 0..700_u32, len in 0..70_u32, order in 0..2_u8, sign in "[+-]", data in proptest::collection::vec(any::<u8>(), 0..70)) {
        let text = format!("VERSION \"\"\nNS_ :\nBS_:\nBU_: E\nBO_ 1 M: 8 E\n SG_ S : {start}|{len}@{order}{sign} (1,0) [0|0] \"\" E\n");
        let database = Database::parse(text.as_bytes()).unwrap();
        let _ = database.messages[0].value(0, &data);
    }

    #[test]
    fn config_text(text in "(log_dir|machine|\\[source\\]|kind|port|start|baud|=|\"|serial|capture|[0-9T:Z-]|\n| ){0,60}") {
        let scene = Scene::new();
        scene.write("agent.toml", text.as_bytes());
        if let Err(error) = Config::read(&scene.path("agent.toml")) {
            prop_assert_eq!(error.exit_code(), 1);
        }
    }
}
