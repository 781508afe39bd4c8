//! The bytes of journal and archive format version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. If a test here fails, the code is wrong: disks hold these bytes.
//!
//! What this crate lays out itself must also be written the same again. Columns
//! that the crate pco codes need only be read: a later release of it may choose
//! other, equally valid bytes.

use underbrush_protocol::archive::{Reader, Writer};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Capabilities, Fault, Hello, Mark};
use underbrush_protocol::journal::{BatchWriter, scan};
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Gap, GapReason, LinkLoss, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::{BootMs, UtcMs};

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex")).collect()
}

fn identity() -> Identity {
    Identity { machine: "S-7".to_owned(), boot: 12, segment: 1, agent: "0.1.0".to_owned() }
}

fn reading(at: u64, channel: u8, raw: i32) -> Entry {
    Entry::Reading(Reading { at: BootMs(at), channel: Channel(channel), raw })
}

fn fix() -> ClockFix {
    ClockFix { utc: UtcMs(1_795_586_400_000), source: ClockSource::Network, uncertainty_ms: 40 }
}

const JOURNAL: &str = "55 42 4a 52 4e 4c 0a 01 0c 00 03 53 2d 37 0c 01 05 30 2e 31 2e 30 6d d4 \
     62 29 55 42 4a b5 27 00 00 00 00 00 00 00 88 13 00 00 00 00 00 00 af b2 \
     05 17 80 00 01 06 80 04 09 03 80 fc d0 94 c2 68 04 28 01 60 b0 08 02 00 \
     95 01 03 00 02 01 64 b8 08 80 00 05 05 a0 1f 00 00 5f c9 cd 74";

fn journal_entries() -> Vec<Entry> {
    let gap = Gap { from: BootMs(4_000), reason: GapReason::BridgeSilent, dropped: 0 };
    vec![
        Entry::Note(BootMs(5_000), Note::Started),
        Entry::Note(BootMs(5_004), Note::ClockFix(fix())),
        reading(5_100, 1, 536),
        reading(5_100, 2, -75),
        reading(5_100, 3, 1),
        reading(5_200, 1, 540),
        Entry::Note(BootMs(5_200), Note::Gap(gap)),
    ]
}

#[test]
fn journal() {
    let file = bytes(JOURNAL);
    let header = Header::read(FileKind::Journal, &file).expect("a header");
    assert_eq!((&header.identity, header.len), (&identity(), 26));
    let mut entries = Vec::new();
    let found = scan(&file, header.len, header.salt, |entry| entries.push(entry));
    assert_eq!(entries, journal_entries());
    assert_eq!((found.batches, found.torn_bytes, found.whole_until), (1, 0, file.len()));

    let mut written = Header::write(FileKind::Journal, &identity());
    let mut writer = BatchWriter::new(header.salt);
    for entry in journal_entries() {
        match entry {
            Entry::Reading(reading) => writer.reading(reading),
            Entry::Note(at, note) => writer.note(at, &note),
        }
    }
    writer.close(&mut written);
    assert_eq!(written, file);
}

#[test]
fn every_note() {
    let hello = Hello {
        bridge_id: 70_001,
        firmware: (1, 4, 2),
        capabilities: Capabilities(0b11_1111),
        brush_motors: 2,
        period_ms: 100,
    };
    let loss = LinkLoss {
        frames: 1,
        lost: 2,
        damaged: 3,
        not_understood: 4,
        doubled: 5,
        restarts: 6,
        disconnects: 7,
    };
    let satellite = ClockFix { source: ClockSource::Satellite, ..fix() };
    let gap = Gap { from: BootMs(300), reason: GapReason::BridgeRestarted, dropped: 128 };
    let notes = [
        ("00 f1 a2 04 01 04 02 3f 02 64", Note::Hello(hello)),
        ("01 00 03", Note::Mark(Mark::Button(3))),
        ("01 01 ac 02", Note::Mark(Mark::Tag(300))),
        ("02 02 95 0a 01", Note::Fault(Fault { controller: 2, code: 1301, active: true })),
        ("03 80 fc d0 94 c2 68 05 28", Note::ClockFix(satellite)),
        ("04 01 02 03 04 05 06 07", Note::LinkLoss(loss)),
        ("05 ac 02 03 80 01", Note::Gap(gap)),
        ("06", Note::Started),
        ("07", Note::Stopped),
    ];
    for (hex, note) in notes {
        assert_eq!(postcard::from_bytes::<Note>(&bytes(hex)).as_ref(), Ok(&note));
        assert_eq!(postcard::to_allocvec(&note), Ok(bytes(hex)));
    }
}

#[test]
fn numbers_of_clock_sources_and_gap_reasons() {
    let sources = [
        ClockSource::System,
        ClockSource::Operator,
        ClockSource::RealTimeClock,
        ClockSource::Capture,
        ClockSource::Network,
        ClockSource::Satellite,
    ];
    for (number, source) in (0_u8..).zip(sources) {
        assert_eq!(postcard::to_allocvec(&source), Ok(vec![number]));
    }
    let reasons = [
        GapReason::BridgeSilent,
        GapReason::Overload,
        GapReason::Storage,
        GapReason::BridgeRestarted,
    ];
    for (number, reason) in (0_u8..).zip(reasons) {
        assert_eq!(postcard::to_allocvec(&reason), Ok(vec![number]));
    }
}

/// Two blocks; columns of every kind but pco.
const ARCHIVE: &str = "55 42 41 52 43 48 0a 01 0c 00 03 53 2d 37 0c 01 05 30 2e 31 2e 30 e1 1b \
     af fc 55 42 41 b5 12 00 00 00 ec 13 00 00 00 00 00 00 a8 16 00 00 00 00 \
     00 00 10 00 00 00 61 2d 29 85 00 01 08 01 00 c8 01 02 03 00 00 02 18 00 \
     01 a0 38 02 5e 13 45 ad 55 42 41 b5 13 00 00 00 e0 93 04 00 00 00 00 00 \
     e0 93 04 00 00 00 00 00 00 00 00 00 c9 f8 83 e3 10 80 00 09 03 80 fc d0 \
     94 c2 68 04 28 80 00 01 07 00 00 9a 27 db a8 55 42 49 b5 1d 00 00 00 02 \
     1a 36 ec 27 a8 2d 10 50 37 e0 a7 12 e0 a7 12 00 01 e0 a7 12 80 fc d0 94 \
     c2 68 04 28 7b 49 a7 ba 87 00 00 00 00 00 00 00 31 39 10 d1 55 42 45 4e \
     44 0a";

fn archive_entries() -> Vec<Entry> {
    let mut entries = Vec::new();
    for i in 0..8 {
        entries.push(reading(5_100 + 100 * i, 3, 1));
        entries.push(reading(5_100 + 100 * i, 24, 3_600 + i as i32));
    }
    entries.push(Entry::Note(BootMs(300_000), Note::ClockFix(fix())));
    entries.push(Entry::Note(BootMs(300_000), Note::Stopped));
    entries
}

#[test]
fn archive() {
    let file = bytes(ARCHIVE);
    let mut writer = Writer::new(&identity()).expect("a header");
    for entry in archive_entries() {
        writer.push(entry);
    }
    writer.finish();
    assert_eq!(writer.take_bytes(), file);

    let reader = Reader::open(&file).expect("an archive");
    assert_eq!(reader.header().identity, identity());
    assert!(!reader.damage().index_rebuilt && reader.damage().ranges.is_empty());
    assert_eq!(reader.index().clock_fixes, vec![(BootMs(300_000), fix())]);
    let blocks = &reader.index().blocks;
    assert_eq!(
        blocks.iter().map(|b| (b.first.0, b.last.0, b.rows)).collect::<Vec<_>>(),
        [(5_100, 5_800, 16), (300_000, 300_000, 0)]
    );
    let block = reader.block(&blocks[0]).expect("whole");
    let times: Vec<i32> = (0..8).map(|i| 100 * i).collect();
    assert_eq!(block.columns.len(), 2);
    assert_eq!((block.columns[0].channel, &*block.columns[0].at), (Channel(3), &times[..]));
    assert_eq!(block.columns[0].raw, [1; 8]);
    assert_eq!((block.columns[1].channel, &*block.columns[1].at), (Channel(24), &times[..]));
    assert_eq!(block.columns[1].raw, (3_600..3_608).collect::<Vec<_>>());
    let notes = reader.block(&blocks[1]).expect("whole").notes;
    assert_eq!(notes, [(BootMs(300_000), Note::ClockFix(fix())), (BootMs(300_000), Note::Stopped)]);
}

/// One block with a column that pco 1.1.0 coded.
const ARCHIVE_CODED: &str = "55 42 41 52 43 48 0a 01 0c 00 03 53 2d 37 0c 01 05 30 2e 31 2e 30 e1 1b \
     af fc 55 42 41 b5 49 00 00 00 88 13 00 00 00 00 00 00 a8 16 00 00 00 00 \
     00 00 18 00 00 00 5b d4 76 24 10 80 00 01 06 80 04 09 03 80 fc d0 94 c2 \
     68 04 28 01 08 01 c8 01 c8 01 03 01 00 02 22 70 63 6f 21 03 00 03 02 04 \
     01 03 07 00 00 00 10 00 00 00 00 00 54 00 18 72 58 61 87 11 02 00 80 04 \
     00 03 00 00 02 18 00 01 a0 38 02 db 09 b0 bf 55 42 49 b5 13 00 00 00 01 \
     1a 6d 88 27 a8 2d 18 01 8c 27 80 fc d0 94 c2 68 04 28 c5 d5 7d bb 87 00 \
     00 00 00 00 00 00 31 39 10 d1 55 42 45 4e 44 0a";

#[test]
fn archive_with_a_coded_column() {
    let file = bytes(ARCHIVE_CODED);
    let reader = Reader::open(&file).expect("an archive");
    let [entry] = reader.index().blocks[..] else { panic!("one block") };
    let block = reader.block(&entry).expect("whole");
    let speed = &block.columns[0];
    assert_eq!((entry.first, speed.channel), (BootMs(5_000), Channel::SPEED));
    assert_eq!(&*speed.at, [100, 200, 300, 400, 500, 600, 700, 800]);
    assert_eq!(speed.raw, [536, 540, 533, 541, 529, 0, 0, 18]);
}
