//! What must hold for any readings, any bytes and any damage in the log.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index as Place;
use underbrush_protocol::archive::{Reader, Writer, read_block};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::journal::{BatchWriter, Scan, scan};
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Gap, GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::{BootMs, UtcMs};

fn identity() -> Identity {
    Identity { machine: "M1".to_owned(), boot: 7, segment: 2, agent: "0".to_owned() }
}

fn note() -> impl Strategy<Value = Note> {
    let fix = any::<(i64, u32)>().prop_map(|(utc, uncertainty_ms)| {
        let source = ClockSource::Network;
        Note::ClockFix(ClockFix { utc: UtcMs(utc), source, uncertainty_ms })
    });
    let gap = any::<(u64, u32)>().prop_map(|(from, dropped)| {
        Note::Gap(Gap { from: BootMs(from), reason: GapReason::Overload, dropped })
    });
    let tag = any::<u64>().prop_map(|tag| Note::Mark(Mark::Tag(tag)));
    prop_oneof![fix, gap, tag, Just(Note::Started), Just(Note::Stopped)]
}

/// What follows what: ms since the entry before, and what it is.
fn step() -> impl Strategy<Value = (i64, Result<(u8, i32), Note>)> {
    let ms = prop_oneof![20 => 0_i64..150, 1 => -500_i64..0, 1 => 0_i64..400_000];
    let raw = prop_oneof![any::<i32>(), -40..40, Just(1)];
    let what = prop_oneof![
        12 => (prop_oneof![1_u8..4, 1_u8..=127], raw).prop_map(Ok),
        1 => note().prop_map(Err),
    ];
    (ms, what)
}

/// Entries whose times may now and then step back, as when parts of a log are joined.
fn entries(most: usize) -> impl Strategy<Value = Vec<Entry>> {
    vec(step(), 0..most).prop_map(|steps| {
        let mut at = 1_000_u64;
        let entry = |(ms, what)| {
            at = at.saturating_add_signed(ms);
            match what {
                Ok((channel, raw)) => {
                    Entry::Reading(Reading { at: BootMs(at), channel: Channel(channel), raw })
                }
                Err(note) => Entry::Note(BootMs(at), note),
            }
        };
        steps.into_iter().map(entry).collect()
    })
}

/// A journal with a batch a chunk; times inside a batch never run back.
fn journal(chunks: &[Vec<Entry>]) -> (Vec<u8>, Header, Vec<Vec<Entry>>) {
    let mut file = Header::write(FileKind::Journal, &identity());
    let header = Header::read(FileKind::Journal, &file).expect("own header");
    let mut writer = BatchWriter::new(header.salt);
    let mut stored = Vec::new();
    for chunk in chunks.iter().filter(|chunk| !chunk.is_empty()) {
        let mut last = BootMs(0);
        let mut batch = Vec::new();
        for entry in chunk {
            last = last.max(entry.at());
            match entry {
                Entry::Reading(r) => {
                    writer.reading(*r);
                    batch.push(Entry::Reading(Reading { at: last, ..*r }));
                }
                Entry::Note(at, note) => {
                    writer.note(*at, note);
                    batch.push(Entry::Note(last, note.clone()));
                }
            }
        }
        writer.close(&mut file);
        stored.push(batch);
    }
    (file, header, stored)
}

fn read_journal(file: &[u8], header: &Header) -> (Vec<Entry>, Scan) {
    let mut entries = Vec::new();
    let found = scan(file, header.len, header.salt, |entry| entries.push(entry));
    (entries, found)
}

fn archive(entries: &[Entry]) -> Vec<u8> {
    let mut writer = Writer::new(&identity()).expect("own header");
    let mut file = Vec::new();
    for entry in entries {
        writer.push(entry.clone());
        file.extend(writer.take_bytes());
    }
    let outcome = writer.finish();
    file.extend(writer.take_bytes());
    assert_eq!((outcome.bytes, outcome.entries), (file.len() as u64, entries.len() as u64));
    file
}

/// Readings sorted by channel, in file order within one; notes; blocks that gave nothing.
type Contents = (Vec<Reading>, Vec<(BootMs, Note)>, usize);

fn read_archive(reader: &Reader<'_>) -> Contents {
    let mut contents = Contents::default();
    for entry in &reader.index().blocks {
        let Ok(block) = reader.block(entry) else {
            contents.2 += 1;
            continue;
        };
        contents.1.extend(block.notes);
        for column in &block.columns {
            contents.0.extend(column.at.iter().zip(&column.raw).map(|(at, raw)| Reading {
                at: entry.first.plus(*at as u64),
                channel: column.channel,
                raw: *raw,
            }));
        }
    }
    contents.0.sort_by_key(|r| r.channel);
    contents
}

fn contents_of(entries: &[Entry]) -> Contents {
    let mut contents = Contents::default();
    for entry in entries {
        match entry {
            Entry::Reading(r) => contents.0.push(*r),
            Entry::Note(at, note) => contents.1.push((*at, note.clone())),
        }
    }
    contents.0.sort_by_key(|r| r.channel);
    contents
}

/// Bytes written over, put in or taken out somewhere in a file.
#[derive(Clone, Debug)]
enum Damage {
    Write(Place, Vec<u8>),
    Insert(Place, Vec<u8>),
    Remove(Place, usize),
}

fn damage() -> impl Strategy<Value = Damage> {
    let bytes = || vec(any::<u8>(), 1..40);
    prop_oneof![
        (any::<Place>(), bytes()).prop_map(|(at, bytes)| Damage::Write(at, bytes)),
        (any::<Place>(), bytes()).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (any::<Place>(), 1_usize..200).prop_map(|(at, len)| Damage::Remove(at, len)),
    ]
}

/// Damages `file`, its first `spared` bytes left out.
fn hurt(file: &mut Vec<u8>, spared: usize, damages: &[Damage]) {
    for one in damages {
        let place = |at: &Place| spared + at.index(file.len() - spared + 1);
        match one {
            Damage::Write(at, bytes) => {
                let at = place(at);
                for (to, from) in file[at..].iter_mut().zip(bytes) {
                    *to = *from;
                }
            }
            Damage::Insert(at, bytes) => {
                let at = place(at);
                file.splice(at..at, bytes.iter().copied());
            }
            Damage::Remove(at, len) => {
                let at = place(at);
                let to = (at + len).min(file.len());
                file.drain(at..to);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn journal_round_trip(chunks in vec(entries(60), 0..8)) {
        let (file, header, stored) = journal(&chunks);
        let (got, found) = read_journal(&file, &header);
        prop_assert_eq!(got, stored.concat());
        prop_assert_eq!(found.batches as usize, stored.len());
        prop_assert_eq!((found.torn_bytes, found.missing_batches, found.whole_until), (0, 0, file.len()));
        prop_assert!(found.damaged.is_empty());
    }

    #[test]
    fn a_truncated_journal_gives_its_whole_batches(chunks in vec(entries(30), 1..8), cut in any::<Place>(), zeros in 0_usize..5000) {
        let (file, header, stored) = journal(&chunks);
        let cut = header.len + cut.index(file.len() - header.len + 1);
        let mut rest = file[..cut].to_vec();
        rest.resize(cut + zeros, 0);
        let (got, found) = read_journal(&rest, &header);
        prop_assert_eq!(got, stored[..found.batches as usize].concat());
        prop_assert!(found.damaged.is_empty());
        // One batch more would not fit into what is left.
        prop_assert!(cut == file.len() || (found.batches as usize) < stored.len());
        prop_assert!(found.whole_until <= cut && found.whole_until + found.torn_bytes <= cut);
    }

    // Damage may lose batches; it never changes one, never brings one twice and
    // never turns their order round.
    #[test]
    fn a_damaged_journal_gives_only_true_batches(chunks in vec(entries(30), 1..8), damages in vec(damage(), 1..5)) {
        let (mut file, header, stored) = journal(&chunks);
        let whole = file.clone();
        hurt(&mut file, header.len, &damages);
        let (got, found) = read_journal(&file, &header);
        let mut rest = got.as_slice();
        for batch in &stored {
            if let Some(after) = rest.strip_prefix(batch.as_slice()) {
                rest = after;
            }
        }
        prop_assert!(rest.is_empty(), "entries that were never written: {rest:?}");
        prop_assert!(found.whole_until + found.torn_bytes <= file.len());
        let lost = stored.len() - found.batches as usize;
        let admitted = found.missing_batches > 0 || !found.damaged.is_empty() || found.torn_bytes > 0;
        // Batches cut off at the very end leave no trace but the file's length.
        prop_assert!(lost == 0 || admitted || whole.starts_with(&file));
    }

    #[test]
    fn any_bytes_are_no_journal_and_no_archive(bytes in vec(any::<u8>(), 0..2000), from in 0_usize..50) {
        prop_assert!(Header::read(FileKind::Journal, &bytes).is_err());
        prop_assert!(Reader::open(&bytes).is_err());
        let found = scan(&bytes, from, [1, 2, 3, 4], |_| {});
        prop_assert_eq!(found.batches, 0);
        prop_assert!(read_block(&bytes, [0; 4]).is_none());
    }

    // A header whose checksum holds, whatever it covers.
    #[test]
    fn any_identity_is_read_or_refused(kind in prop_oneof![Just(b"UBJRNL\n\x01"), Just(b"UBARCH\n\x01")], len in any::<u16>(), body in vec(any::<u8>(), 0..600)) {
        let mut bytes = kind.to_vec();
        bytes.extend_from_slice(&len.to_le_bytes());
        bytes.extend_from_slice(&body);
        let crc = log_crc(&[&bytes]);
        bytes.extend_from_slice(&crc.to_le_bytes());
        for kind in [FileKind::Journal, FileKind::Archive] {
            if let Ok(header) = Header::read(kind, &bytes) {
                prop_assert!(header.len <= bytes.len());
            }
        }
    }

    #[test]
    fn header_round_trip(machine in ".{0,60}", boot in any::<u32>(), segment in any::<u32>(), agent in ".{0,20}") {
        let identity = Identity { machine, boot, segment, agent };
        let bytes = Header::write(FileKind::Archive, &identity);
        let header = Header::read(FileKind::Archive, &bytes).expect("own header");
        prop_assert_eq!(header.identity, identity);
        prop_assert_eq!(header.len, bytes.len());
        for cut in 0..bytes.len() {
            prop_assert!(Header::read(FileKind::Archive, &bytes[..cut]).is_err());
        }
    }

    #[test]
    fn archive_round_trip(entries in entries(1500)) {
        let file = archive(&entries);
        let expected = contents_of(&entries);
        let reader = Reader::open(&file).expect("own file");
        prop_assert!(!reader.damage().index_rebuilt);
        prop_assert_eq!(read_archive(&reader), expected.clone());

        // Without its index the file gives the same, and the same index.
        let rebuilt = Reader::open(&file[..file.len() - 1]).expect("own file");
        prop_assert!(rebuilt.damage().index_rebuilt);
        prop_assert_eq!(rebuilt.index(), reader.index());
        prop_assert_eq!(read_archive(&rebuilt), expected);
    }

    #[test]
    fn a_damaged_archive_gives_only_true_readings(entries in entries(400), damages in vec(damage(), 1..5)) {
        let mut file = archive(&entries);
        let header = Header::read(FileKind::Archive, &file).expect("own header").len;
        let expected = contents_of(&entries);
        hurt(&mut file, header, &damages);
        let reader = Reader::open(&file).expect("the header was spared");
        let (readings, notes, _) = read_archive(&reader);
        let mut left = expected.0.iter();
        for reading in &readings {
            prop_assert!(left.any(|r| r == reading), "{reading:?} was never written");
        }
        prop_assert!(notes.iter().all(|note| expected.1.contains(note)));
        for range in &reader.damage().ranges {
            prop_assert!(range.start < range.end && range.end <= file.len());
        }
    }

    // Block bodies behind checksums that hold: what an error in a writer can leave.
    #[test]
    fn any_block_body_is_read_or_refused(body in vec(prop_oneof![any::<u8>(), 0_u8..4], 0..300)) {
        let bytes = block([9; 4], &body);
        if let Some(block) = read_block(&bytes, [9; 4]) {
            for column in &block.columns {
                prop_assert_eq!(column.at.len(), column.raw.len());
            }
        }
    }
}

/// A block with this body whose checksums hold.
fn block(salt: [u8; 4], body: &[u8]) -> Vec<u8> {
    let mut out = b"UBA\xB5".to_vec();
    out.extend_from_slice(&(body.len() as u32).to_le_bytes());
    out.extend_from_slice(&[0; 20]);
    let crc = log_crc(&[&salt, &out[4..]]);
    out.extend_from_slice(&crc.to_le_bytes());
    out.extend_from_slice(body);
    let crc = log_crc(&[&salt, &out[4..]]);
    out.extend_from_slice(&crc.to_le_bytes());
    out
}

/// A body without notes: sets of times (rows and coded column), then columns.
fn body(times: &[(u32, Vec<u8>)], columns: &[Vec<u8>]) -> Vec<u8> {
    let mut out = vec![0, times.len() as u8];
    for (rows, column) in times {
        out.extend(postcard::to_allocvec(rows).expect("a number"));
        out.extend_from_slice(column);
    }
    out.push(columns.len() as u8);
    out.extend(columns.concat());
    out
}

/// Largest memory the process ever held, in KiB.
#[cfg(target_os = "linux")]
fn peak_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).expect("VmHWM");
    line.split_whitespace().nth(1).expect("a number").parse().expect("a number")
}

// Row counts are only numbers: a few bytes must not make the reader take hundreds
// of MB. 131,072 numbers of 4 bytes are 512 KiB; the other tests of this file, running
// beside this one, take far less than the rest of the 128 MiB. `bombs.rs` measures finely.
#[cfg(target_os = "linux")]
#[test]
fn hostile_row_counts_take_little_memory() {
    let before = peak_kib();
    let constant = |value: u8| vec![0, value];
    let column = |channel: u8, place: u8| vec![channel, place, 0, 2];
    let coded = |n: &[u8]| {
        // A pco file that announces 2^24 numbers and holds none.
        let mut file = b"pco!\x03\x00\x03".to_vec();
        file.extend_from_slice(n);
        [vec![2, file.len() as u8], file].concat()
    };
    let refused = [
        body(&[(u32::MAX, constant(0))], &[]),
        body(&[(65_537, constant(0))], &[]),
        body(&[(65_536, constant(0))], &(0..255).map(|c| column(c, 0)).collect::<Vec<_>>()),
        body(&(0..255).map(|_| (65_536, constant(0))).collect::<Vec<_>>(), &[]),
        body(&[(65_536, coded(&[0xFF; 8]))], &[]),
        body(&[(65_536, coded(&[0x02, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF]))], &[]),
        [vec![0xFF, 0xFF, 0xFF, 0xFF, 0x0F], vec![0; 8]].concat(),
    ];
    for body in &refused {
        assert_eq!(read_block(&block([5; 4], body), [5; 4]), None, "{:02x?}", &body[..8]);
    }
    let allowed = body(&[(65_536, constant(0))], &[column(1, 0)]);
    assert_eq!(read_block(&block([5; 4], &allowed), [5; 4]).map(|b| b.rows()), Some(65_536));
    let grown = peak_kib() - before;
    assert!(grown < 128 * 1024, "grew by {grown} KiB");
}

// A stretch without a single entry, a flood, and one that fills many blocks.
#[test]
fn archives_of_odd_sizes() {
    assert_eq!(read_archive(&Reader::open(&archive(&[])).expect("empty")), Contents::default());
    let flood: Vec<_> = (0..600_000_u64)
        .map(|i| {
            let (at, channel) = (BootMs(i / 1000), Channel((i % 3) as u8 + 1));
            Entry::Reading(Reading { at, channel, raw: (i * i % 977) as i32 })
        })
        .collect();
    let file = archive(&flood);
    let reader = Reader::open(&file).expect("own file");
    assert!(reader.index().blocks.len() >= 3, "a flood is split");
    assert_eq!(read_archive(&reader), contents_of(&flood));
}

// An append-only file holds no batch twice; a copied disk block may.
#[test]
fn a_batch_that_comes_again_is_read_once() {
    let reading = |at| Entry::Reading(Reading { at: BootMs(at), channel: Channel(1), raw: 5 });
    let (mut file, header, stored) = journal(&[vec![reading(1)], vec![reading(2)]]);
    let len = (file.len() - header.len) / 2;
    let first = file[header.len..header.len + len].to_vec();
    file.extend_from_slice(&first);
    let (got, found) = read_journal(&file, &header);
    assert_eq!(got, stored.concat());
    assert_eq!((found.batches, found.missing_batches), (2, 0));
    assert_eq!(found.torn_bytes, len, "the copy is told as bytes that are no batch");
}

#[test]
fn a_coded_column_must_have_as_many_rows_as_its_times() {
    let values = [536, 540, 533, 541, 529, 0, 0, 18];
    let coded = pco::standalone::simple_compress(&values, &pco::ChunkConfig::default());
    let coded = coded.expect("eight numbers");
    let column = [&[1, 0, 2, coded.len() as u8][..], &coded].concat();
    for rows in 0..20 {
        let bytes = block([5; 4], &body(&[(rows, vec![0, 0])], std::slice::from_ref(&column)));
        let read = read_block(&bytes, [5; 4]);
        assert_eq!(read.is_some(), rows == 8, "{rows} rows");
        assert!(read.is_none_or(|block| block.columns[0].raw == values));
    }
}
