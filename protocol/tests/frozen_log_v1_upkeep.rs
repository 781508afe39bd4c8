//! The bytes of the notes Repaired and Removed in log format version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. If a test here fails, the code is wrong: disks hold these bytes.

use underbrush_protocol::journal::{BatchWriter, scan};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Note, Removed, Repaired};
use underbrush_protocol::time::BootMs;

const BODY_FROM: usize = 24;
const BODY: [u8; 23] = [
    // A note, 0 ms after the base, 7 bytes: variant 8, then 300, 0, 2, 1 as varints.
    0x80, 0x00, 0x06, 0x08, 0xAC, 0x02, 0x00, 0x02, 0x01, //
    // A note, 0 ms later, 11 bytes: variant 9, then 12, 3, 1500000 and true.
    0x80, 0x00, 0x07, 0x09, 0x0C, 0x03, 0xE0, 0xC6, 0x5B, 0x01, //
    // A note, 0 ms later, 1 byte: variant 7.
    0x80, 0x00, 0x01, 0x07,
];

#[test]
fn upkeep_notes() {
    let at = BootMs(1_000);
    let repaired =
        Repaired { torn_bytes: 300, damaged_bytes: 0, missing_batches: 2, unknown_notes: 1 };
    let removed = Removed { boot: 12, part: 3, bytes: 1_500_000, copied: true };
    let notes = [Note::Repaired(repaired), Note::Removed(removed), Note::Stopped];
    let mut writer = BatchWriter::new([0; 4]);
    for note in &notes {
        writer.note(at, note);
    }
    let mut batch = Vec::new();
    writer.close(&mut batch);
    assert_eq!(batch[BODY_FROM..BODY_FROM + BODY.len()], BODY);
    let mut read = Vec::new();
    scan(&batch, 0, [0; 4], |entry| read.push(entry));
    assert_eq!(read, notes.map(|note| Entry::Note(at, note)));
}
