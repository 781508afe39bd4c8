//! Any bytes as a candump file; how they are cut into pieces makes no difference.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_agent::decode::CanIntake;
use underbrush_agent::source::capture::{CaptureFormat, CaptureIntake};
use underbrush_protocol::log::Entry;

#[path = "shared/demo_bus.rs"]
mod demo_bus;

use demo_bus::READER;

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
