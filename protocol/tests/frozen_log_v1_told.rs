//! The bytes of the note Told in log format version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. If a test here fails, the code is wrong: disks hold these bytes.

use underbrush_protocol::journal::{BatchWriter, scan};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Note, SectionId, Told, ToldPhase};
use underbrush_protocol::time::BootMs;

const BODY_FROM: usize = 24;
const BODY: [u8; 30] = [
    // A note, 0 ms after the base, 10 bytes: variant 10, "A-12", step 2.
    0x80, 0x00, 0x0A, 0x0A, 0x01, 0x04, 0x41, 0x2D, 0x31, 0x32, 0x01, 0x01, 0x02, //
    // A note, 0 ms later, 4 bytes: no section, maintenance.
    0x80, 0x00, 0x04, 0x0A, 0x00, 0x01, 0x00, //
    // A note, 0 ms later, 6 bytes: "M1" and no phase.
    0x80, 0x00, 0x06, 0x0A, 0x01, 0x02, 0x4D, 0x31, 0x00, //
    0x80,
];

#[test]
fn told_notes() {
    let at = BootMs(1_000);
    let section = |id| SectionId::try_from(id).ok();
    let notes = [
        Told { section: section("A-12"), phase: Some(ToldPhase::Step(2)) },
        Told { section: None, phase: Some(ToldPhase::Maintenance) },
        Told { section: section("M1"), phase: None },
    ]
    .map(Note::Told);
    let mut writer = BatchWriter::new([0; 4]);
    for note in notes.iter().chain([&Note::Stopped]) {
        writer.note(at, note);
    }
    let mut batch = Vec::new();
    writer.close(&mut batch);
    assert_eq!(batch[BODY_FROM..BODY_FROM + BODY.len()], BODY);
    let mut read = Vec::new();
    scan(&batch, 0, [0; 4], |entry| read.push(entry));
    let [told @ .., _] = read.as_slice() else { panic!("nothing was read") };
    assert_eq!(told, notes.map(|note| Entry::Note(at, note)));
}

/// What a reader of the versions before sees: the enum without its last variant.
#[test]
fn older_readers_step_over_it() {
    #[derive(Debug, serde::Deserialize)]
    #[allow(dead_code)]
    enum Older {
        Hello,
        Mark,
        Fault,
        ClockFix,
        LinkLoss,
        Gap,
        Started,
        Stopped,
        Repaired,
        Removed,
    }
    assert!(postcard::from_bytes::<Older>(&BODY[3..13]).is_err());
    assert!(postcard::from_bytes::<Older>(&[7]).is_ok());
}
