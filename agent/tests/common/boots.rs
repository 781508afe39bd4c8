//! What a reader makes of a log directory: every boot, every part once, journals too.
//!
//! By `SPEC.md`, "Files": where a part is there as journal and as archive, they hold
//! the same entries and the archive counts. Both claims are checked here.

use std::collections::BTreeMap;
use std::path::Path;
use underbrush_protocol::archive::Reader;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::note::Note;
use underbrush_protocol::time::BootMs;

/// All entries of one boot, or of one file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Record {
    /// Time and raw value, in file order. An archive keeps no order between channels.
    pub(crate) readings: BTreeMap<Channel, Vec<(u64, i32)>>,
    /// In file order.
    pub(crate) notes: Vec<(BootMs, Note)>,
}

impl Record {
    pub(crate) fn reading_count(&self) -> usize {
        self.readings.values().map(Vec::len).sum()
    }

    pub(crate) fn raws(&self, channel: Channel) -> Vec<i32> {
        self.readings.get(&channel).into_iter().flatten().map(|(_, raw)| *raw).collect()
    }

    fn reading(&mut self, at: u64, channel: Channel, raw: i32) {
        self.readings.entry(channel).or_default().push((at, raw));
    }

    fn append(&mut self, more: Self) {
        for (channel, mut rows) in more.readings {
            self.readings.entry(channel).or_default().append(&mut rows);
        }
        self.notes.extend(more.notes);
    }
}

/// Every boot in `dir`, by its number.
pub(crate) fn read_boots(dir: &Path) -> BTreeMap<u32, Record> {
    let mut journals = BTreeMap::new();
    let mut archives = BTreeMap::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let kind = match path.extension().and_then(|e| e.to_str()) {
            Some("journal") => FileKind::Journal,
            Some("archive") => FileKind::Archive,
            _ => continue,
        };
        let file = std::fs::read(&path).unwrap();
        let Ok(header) = Header::read(kind, &file) else {
            assert_eq!(kind, FileKind::Journal, "{name}: an archive is never half written");
            continue;
        };
        let part = (header.identity.boot, header.identity.segment);
        let (files, record) = match kind {
            FileKind::Journal => (&mut journals, read_journal(&name, &header, &file)),
            FileKind::Archive => (&mut archives, read_archive(&name, &file)),
        };
        assert!(files.insert(part, record).is_none(), "{name}: this part is there twice");
    }
    for (part, journal) in journals {
        let archive = archives.entry(part).or_insert_with(|| journal.clone());
        assert_eq!(*archive, journal, "journal and archive of {part:?} differ");
    }
    let mut boots: BTreeMap<u32, Record> = BTreeMap::new();
    for ((boot, _), record) in archives {
        boots.entry(boot).or_default().append(record);
    }
    boots
}

fn read_journal(name: &str, header: &Header, file: &[u8]) -> Record {
    let mut record = Record::default();
    let found = journal::scan(file, header.len, header.salt, |entry| match entry {
        Entry::Reading(reading) => record.reading(reading.at.0, reading.channel, reading.raw),
        Entry::Note(at, note) => record.notes.push((at, note)),
    });
    assert!(found.damaged.is_empty() && found.missing_batches == 0, "{name}: {found:?}");
    record
}

fn read_archive(name: &str, file: &[u8]) -> Record {
    let reader = Reader::open(file).unwrap();
    let damage = reader.damage();
    assert!(!damage.index_rebuilt && damage.ranges.is_empty(), "{name}: {damage:?}");
    let mut record = Record::default();
    for entry in &reader.index().blocks {
        let block = reader.block(entry).unwrap();
        for column in &block.columns {
            for (at, raw) in column.at.iter().zip(&column.raw) {
                record.reading(entry.first.0 + *at as u64, column.channel, *raw);
            }
        }
        record.notes.extend(block.notes.iter().cloned());
    }
    record
}
