//! What the demo's CAN bus is read by.

use std::sync::LazyLock;
use underbrush_agent::decode::SignalReader;
use underbrush_agent::decode::dbc::Database;
use underbrush_protocol::settings::Machine;

const DBC: &str = include_str!("../../../../fixtures/scenario/bus.dbc");
const MACHINE: &str = include_str!("../../../../fixtures/scenario/machine-can.toml");

pub static READER: LazyLock<SignalReader> = LazyLock::new(|| {
    let database = Database::parse(DBC.as_bytes()).expect("the demo's DBC file");
    let machine = Machine::parse("machine.toml", MACHINE).expect("the demo's machine file");
    SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", MACHINE).expect("signals")
});
