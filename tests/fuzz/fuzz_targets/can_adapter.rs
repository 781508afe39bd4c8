//! Any bytes from a CAN adapter; how they are cut into pieces makes no difference, and each
//! line is something.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_agent::decode::CanIntake;
use underbrush_agent::source::adapter::{AdapterIntake, AdapterReader, Answer};
use underbrush_protocol::log::Entry;
use underbrush_protocol::time::BootMs;

#[path = "shared/demo_bus.rs"]
mod demo_bus;

use demo_bus::READER;

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
