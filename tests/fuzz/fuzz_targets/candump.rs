//! Any bytes as a candump file; how they are cut into pieces makes no difference.
#![no_main]

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::decode::{CanIntake, SignalReader};
use underbrush_agent::source::capture::{CaptureFormat, CaptureIntake};
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::Machine;

const DBC: &str = include_str!("../../../fixtures/scenario/bus.dbc");
const MACHINE: &str = include_str!("../../../fixtures/scenario/machine-can.toml");

static READER: LazyLock<SignalReader> = LazyLock::new(|| {
    let database = Database::parse(DBC.as_bytes()).expect("the demo's DBC file");
    let machine = Machine::parse("machine.toml", MACHINE).expect("the demo's machine file");
    SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", MACHINE).expect("signals")
});

fuzz_target!(|data: &[u8]| {
    let whole = entries(data, data.len().max(1));
    assert!(whole.is_sorted_by_key(Entry::at));
    assert_eq!(entries(data, 7), whole);
});

fn entries(data: &[u8], piece: usize) -> Vec<Entry> {
    let mut intake = CaptureIntake::new(CanIntake::new(READER.clone()), Some(CaptureFormat::Candump), None);
    let mut out = Vec::new();
    for piece in data.chunks(piece) {
        intake.bytes(piece, &mut out);
    }
    intake.source_ended(&mut out);
    out
}
