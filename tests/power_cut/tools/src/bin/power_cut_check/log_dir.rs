//! A log directory as it lies on the disk, by boot and channel.

use std::collections::BTreeMap;
use std::path::Path;
use underbrush_protocol::archive::Reader;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::note::Note;

/// All files of a directory together.
#[derive(Default)]
pub(crate) struct LogDir {
    pub(crate) boots: BTreeMap<u32, BootLog>,
    pub(crate) files: usize,
    /// Archives that were not finished.
    pub(crate) unfinished: usize,
    /// Journals without a header.
    pub(crate) headless: usize,
    /// Bytes behind the last whole batch of a journal.
    pub(crate) torn_bytes: usize,
    /// What should be whole and is not.
    pub(crate) damage: Vec<String>,
    /// The newest boot that a file's name tells, whatever is in the file.
    pub(crate) newest_boot: u32,
}

/// All parts of one boot.
#[derive(Default)]
pub(crate) struct BootLog {
    /// Times and values by channel, in the log's order.
    pub(crate) channels: BTreeMap<u8, Vec<(u64, i32)>>,
    /// Numbers of the tags read.
    pub(crate) tags: Vec<u64>,
    pub(crate) notes: u64,
}

impl BootLog {
    pub(crate) fn readings(&self) -> u64 {
        self.channels.values().map(|values| values.len() as u64).sum()
    }

    fn note(&mut self, note: &Note) {
        self.notes += 1;
        if let Note::Mark(Mark::Tag(tag)) = note {
            self.tags.push(*tag);
        }
    }

    fn reading(&mut self, channel: u8, at: u64, raw: i32) {
        self.channels.entry(channel).or_default().push((at, raw));
    }
}

impl LogDir {
    /// Reads what can be read and keeps what cannot as damage.
    pub(crate) fn read(dir: &Path) -> Self {
        let mut all = Self::default();
        let mut names: Vec<String> = match std::fs::read_dir(dir) {
            Ok(entries) => entries
                .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
                .filter(|name| name.starts_with("boot-"))
                .collect(),
            Err(error) => {
                all.damage.push(format!("{}: {error}", dir.display()));
                return all;
            }
        };
        names.sort_unstable();
        for name in &names {
            all.newest_boot = all.newest_boot.max(boot_of(name));
            let Some((part, ending)) =
                name.rsplit_once(".journal").or_else(|| name.rsplit_once(".archive"))
            else {
                continue;
            };
            match ending {
                "" => {}
                ".tmp" => {
                    all.unfinished += 1;
                    continue;
                }
                _ => continue,
            }
            let archive = format!("{part}.archive");
            let is_archive = *name == archive;
            if !is_archive && names.contains(&archive) {
                continue;
            }
            all.files += 1;
            let read = std::fs::read(dir.join(name)).map_err(|error| error.to_string());
            let outcome =
                read.and_then(
                    |bytes| {
                        if is_archive { all.archive(&bytes) } else { all.journal(&bytes) }
                    },
                );
            if let Err(error) = outcome {
                all.damage.push(format!("{name}: {error}"));
            }
        }
        all
    }

    fn journal(&mut self, bytes: &[u8]) -> Result<(), String> {
        // The power cut a file without a header at its birth: SPEC.md, "Journal". If
        // anything in it was promised, that shows as missing.
        let Ok(header) = Header::read(FileKind::Journal, bytes) else {
            self.headless += 1;
            return Ok(());
        };
        let boot = self.boots.entry(header.identity.boot).or_default();
        let found = journal::scan(bytes, header.len, header.salt, |entry| match entry {
            Entry::Reading(reading) => boot.reading(reading.channel.0, reading.at.0, reading.raw),
            Entry::Note(_, note) => boot.note(&note),
        });
        self.torn_bytes += found.torn_bytes;
        if found.damaged.is_empty() && found.missing_batches == 0 {
            return Ok(());
        }
        Err(format!("{} damaged stretches", found.damaged.len()))
    }

    fn archive(&mut self, bytes: &[u8]) -> Result<(), String> {
        let reader = Reader::open(bytes).map_err(|error| error.to_string())?;
        let boot = self.boots.entry(reader.header().identity.boot).or_default();
        for entry in &reader.index().blocks {
            let block = reader
                .block(entry)
                .map_err(|range| format!("block at {} is damaged", range.start))?;
            for column in &block.columns {
                for (at, raw) in column.at.iter().zip(&column.raw) {
                    boot.reading(column.channel.0, entry.first.0 + *at as u64, *raw);
                }
            }
            for (_, note) in &block.notes {
                boot.note(note);
            }
        }
        if reader.damage().index_rebuilt { Err("no index".to_owned()) } else { Ok(()) }
    }
}

fn boot_of(name: &str) -> u32 {
    let number = name.strip_prefix("boot-").and_then(|rest| rest.split('.').next());
    number.and_then(|number| number.parse().ok()).unwrap_or(0)
}
