//! Any bytes from a CAN adapter; how they are cut into pieces makes no difference, and each
//! line is something.
#![no_main]

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::decode::{CanIntake, SignalReader};
use underbrush_agent::source::adapter::{AdapterIntake, AdapterReader, Answer};
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

const DBC: &str = include_str!("../../../fixtures/scenario/bus.dbc");
const MACHINE: &str = include_str!("../../../fixtures/scenario/machine-can.toml");

static READER: LazyLock<SignalReader> = LazyLock::new(|| {
    let database = Database::parse(DBC.as_bytes()).expect("the demo's DBC file");
    let machine = Machine::parse("machine.toml", MACHINE).expect("the demo's machine file");
    SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", MACHINE).expect("signals")
});

fuzz_target!(|data: &[u8]| {
    let whole = entries(data, data.len().max(1));
    assert!(whole.0.is_sorted_by_key(Entry::at));
    assert_eq!(entries(data, 7), whole);
    let mut said = 0;
    AdapterReader::default().push(data, &mut |_| said += 1);
    let lines = data.iter().filter(|byte| matches!(byte, b'\r' | 7)).count();
    assert!((lines..=2 * lines).contains(&said));
});

fn entries(data: &[u8], piece: usize) -> (Vec<Entry>, Vec<Answer>) {
    let mut intake = AdapterIntake::new(CanIntake::new(READER.clone()));
    intake.opened();
    let (mut out, mut answers) = (Vec::new(), Vec::new());
    for piece in data.chunks(piece) {
        intake.bytes(BootMs(70_000), piece, &mut out, &mut answers);
    }
    intake.finish(&mut out);
    (out, answers)
}
