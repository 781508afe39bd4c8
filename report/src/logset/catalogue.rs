//! Which files there are, whose they are, and when they were written.

use super::clock_map::{BEST_RANK, ClockMap, ClockVerdict};
use super::files::Stamp;
use super::order::{self, Undated};
use super::verify::cut_at_birth;
use crate::cores::share_out;
use crate::duration;
use crate::findings::{Problem, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use underbrush_protocol::archive::{BlockEntry, Index, Reader};
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

/// More than the longest header.
const HEAD_BYTES: u64 = 600;
/// Read at once at the end of an archive: mostly all of its index.
const TAIL_BYTES: u64 = 4096;
/// Most room that is made before any byte is read.
const ROOM_BYTES: u64 = 64 * 1024;

/// Why no log could be opened at all.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The directory cannot be read.
    #[error("{0}: {1}; give the directory that the agent writes, or a copy of it")]
    Directory(PathBuf, #[source] std::io::Error),
    /// There is no log file in it.
    #[error("{0}: no .journal or .archive file in it; is it the directory that the agent writes?")]
    Empty(PathBuf),
    /// Files are there, but none for this machine could be read.
    #[error("{path}: none of {files} log files can be used: {first}")]
    Nothing {
        /// The directory.
        path: PathBuf,
        /// How many files it has.
        files: usize,
        /// What is wrong with the first.
        first: String,
    },
}

/// What the caller knows better than the logs.
#[derive(Clone, Debug, Default)]
pub struct OpenSettings {
    /// Id of the machine whose logs count.
    pub machine: String,
    /// UTC at the power-on of these boots, given by a person.
    pub boot_starts: BTreeMap<u32, UtcMs>,
    /// Ids of other machines whose logs may lie in the same folder; those of any other
    /// machine are told.
    pub others: Vec<String>,
}

/// One file of a boot.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) path: PathBuf,
    pub(super) kind: FileKind,
    pub(super) header: Header,
    /// Blocks of an archive; a journal has one entry that spans it.
    pub(super) blocks: Vec<BlockEntry>,
    damaged: bool,
    pub(super) stamp: Stamp,
}

/// All files of one power-on of the board.
#[derive(Clone, Debug)]
pub struct BootLog {
    /// Its number.
    pub boot: u32,
    pub(super) parts: Vec<Part>,
    clock: Option<ClockMap>,
    /// Set where `clock` is not.
    undated: Option<Undated>,
    /// UTC at its power-on by fixes that were not used and are as good, in ms.
    rivals: Vec<i64>,
    /// A person said when it was.
    given: bool,
    first: BootMs,
    last: BootMs,
}

impl BootLog {
    /// First and last entry, if the boot could be dated.
    pub fn utc_span(&self) -> Option<(UtcMs, UtcMs)> {
        self.clock.as_ref().map(|c| (c.utc(self.first), c.utc(self.last)))
    }

    /// Its clock against UTC; `None` if it is undated.
    pub fn clock(&self) -> Option<&ClockMap> {
        self.clock.as_ref()
    }

    /// Why it could not be dated.
    pub fn undated(&self) -> Option<Undated> {
        self.undated
    }

    /// How far its date is to be trusted.
    pub(super) fn trust(&self) -> u8 {
        if self.given { BEST_RANK + 1 } else { self.clock.as_ref().map_or(0, ClockMap::rank) }
    }

    /// Takes the date away that its clock claims.
    pub(super) fn disbelieve(&mut self) {
        if let Some((begin, end)) = self.utc_span() {
            self.undated = Some(Undated::OutOfOrder(begin, end));
            self.clock = None;
        }
    }

    /// First and last entry by fixes that were not used.
    pub(super) fn rival_spans(&self) -> impl Iterator<Item = (UtcMs, UtcMs)> {
        let utc = |offset: i64, at: BootMs| UtcMs(offset.saturating_add_unsigned(at.0));
        self.rivals.iter().map(move |offset| (utc(*offset, self.first), utc(*offset, self.last)))
    }

    /// Names of its files that hold something between two instants.
    pub fn files_between(&self, from: BootMs, to: BootMs) -> impl Iterator<Item = String> {
        let touches = move |b: &BlockEntry| b.last >= from && b.first < to;
        let parts = self.parts.iter().filter(move |part| part.blocks.iter().any(touches));
        parts.map(|part| part.path.file_name().unwrap_or_default().to_string_lossy().into_owned())
    }

    /// Length of its record in ms.
    pub fn length_ms(&self) -> u64 {
        self.last.since(self.first)
    }
}

/// The logs of one machine.
#[derive(Clone, Debug)]
pub struct LogSet {
    /// Boots by number.
    pub boots: Vec<BootLog>,
    /// Problems that concern files as a whole, with the boot they belong to where known.
    pub problems: Vec<(Option<u32>, Problem)>,
}

impl LogSet {
    /// A machine without any log, for the reason that is told.
    pub fn empty(reason: String) -> Self {
        Self {
            boots: Vec::new(),
            problems: vec![(None, Problem { data_lost: false, message: reason })],
        }
    }

    /// The first and the last instant that a dated log covers.
    pub fn utc_span(&self) -> Option<(UtcMs, UtcMs)> {
        let spans = || self.boots.iter().filter_map(BootLog::utc_span);
        let first = spans().map(|(first, _)| first).min()?;
        Some((first, spans().map(|(_, last)| last).max()?))
    }

    /// Opens all log files in `directory`; where it has none itself, those in the folders in it.
    pub fn open(directory: &Path, settings: &OpenSettings) -> Result<Self, LogError> {
        let paths = log_paths(directory)?;
        let mut building = Building { settings, problems: Vec::new(), boots: BTreeMap::new() };
        for (path, opened) in paths.iter().map(|(path, _)| path).zip(open_all(&paths)) {
            building.add(path, opened);
        }
        let set = building.finish();
        if set.boots.is_empty() {
            let first = set.problems.first().map_or("they are empty", |(_, p)| &p.message);
            return Err(LogError::Nothing {
                path: directory.to_owned(),
                files: paths.len(),
                first: first.to_owned(),
            });
        }
        Ok(set)
    }

    /// What of boots that are not in `span` may belong there.
    pub fn doubts(&self, span: Span) -> Vec<Problem> {
        order::doubts(&self.boots, span)
    }
}

/// The log files in `directory`, or where it has none in the folders in it, sorted by name; an
/// error if there are none.
pub(super) fn log_paths(directory: &Path) -> Result<Vec<(PathBuf, FileKind)>, LogError> {
    let mut paths = Vec::new();
    let mut folders = Vec::new();
    for path in entries(directory)? {
        match file_kind(&path) {
            Some(kind) => paths.push((path, kind)),
            None if path.is_dir() && path.file_name().is_some_and(|n| n != "lost+found") => {
                folders.push(path);
            }
            None => {}
        }
    }
    if paths.is_empty() {
        for folder in folders {
            let here = entries(&folder)?;
            paths.extend(here.into_iter().filter_map(|p| file_kind(&p).map(|kind| (p, kind))));
        }
    }
    paths.sort_by(|a, b| a.0.cmp(&b.0));
    if paths.is_empty() {
        return Err(LogError::Empty(directory.to_owned()));
    }
    Ok(paths)
}

fn entries(directory: &Path) -> Result<Vec<PathBuf>, LogError> {
    let fail = |e| LogError::Directory(directory.to_owned(), e);
    let found = std::fs::read_dir(directory).map_err(fail)?;
    Ok(found.filter_map(|entry| entry.ok().map(|e| e.path())).collect())
}

fn file_kind(path: &Path) -> Option<FileKind> {
    match path.extension()?.to_str()? {
        "journal" => Some(FileKind::Journal),
        "archive" => Some(FileKind::Archive),
        _ => None,
    }
}

struct Building<'a> {
    settings: &'a OpenSettings,
    problems: Vec<(Option<u32>, Problem)>,
    boots: BTreeMap<u32, BTreeMap<u32, PartWithFixes>>,
}

type Fixes = Vec<(BootMs, ClockFix)>;
type PartWithFixes = (Part, Fixes);

struct Opened {
    part: Part,
    fixes: Fixes,
    problems: Vec<Problem>,
}

fn lost(message: String) -> Problem {
    Problem { data_lost: true, message }
}

impl Building<'_> {
    fn add(&mut self, path: &Path, opened: Result<Opened, Problem>) {
        let name = name_of(path);
        let opened = match opened {
            Ok(opened) => opened,
            Err(problem) => return self.problems.push((None, problem)),
        };
        let Identity { machine, boot, segment, .. } = opened.part.header.identity.clone();
        if machine != self.settings.machine {
            if self.settings.others.contains(&machine) {
                return;
            }
            let wanted = &self.settings.machine;
            let message = format!(
                "{name} is of machine `{machine}`, not `{wanted}`: left out. Give its own machine file to see it."
            );
            return self.problems.push((None, Problem { data_lost: false, message }));
        }
        self.problems.extend(opened.problems.into_iter().map(|p| (Some(boot), p)));
        let parts = self.boots.entry(boot).or_default();
        let Some((held, _)) = parts.get(&segment) else {
            parts.insert(segment, (opened.part, opened.fixes));
            return;
        };
        let sealed_copy = held.kind != opened.part.kind;
        if !sealed_copy {
            let other = held.path.file_name().unwrap_or_default().to_string_lossy();
            let message = format!(
                "{name} holds the same part (power-on {boot}, part {segment}) as {other}: counted once."
            );
            self.problems.push((Some(boot), Problem { data_lost: false, message }));
        }
        // A journal beside its own archive is left when power goes between sealing and deleting.
        if held.damaged && !opened.part.damaged {
            parts.insert(segment, (opened.part, opened.fixes));
        }
    }

    fn finish(mut self) -> LogSet {
        let mut boots: Vec<BootLog> = std::mem::take(&mut self.boots)
            .into_iter()
            .filter_map(|(boot, parts)| self.boot(boot, parts.into_values().collect()))
            .collect();
        let told = order::believe(&mut boots);
        self.problems.extend(told.into_iter().map(|(boot, problem)| (Some(boot), problem)));
        LogSet { boots, problems: self.problems }
    }

    fn boot(&mut self, boot: u32, parts: Vec<PartWithFixes>) -> Option<BootLog> {
        let mut fixes: Vec<_> = parts.iter().flat_map(|(_, fixes)| fixes.clone()).collect();
        let parts: Vec<Part> = parts.into_iter().map(|(part, _)| part).collect();
        let segments: BTreeSet<u32> = parts.iter().map(|p| p.header.identity.segment).collect();
        if let (Some(first), Some(last)) = (segments.first(), segments.last()) {
            let missing =
                (last - first + 1) as usize - segments.len() + (*first as usize).saturating_sub(1);
            if missing > 0 {
                let message =
                    format!("{missing} of {last} log files of power-on {boot} are missing.");
                self.problems.push((Some(boot), lost(message)));
            }
        }
        let first = parts.iter().flat_map(|p| &p.blocks).map(|b| b.first).min()?;
        let last = parts.iter().flat_map(|p| &p.blocks).map(|b| b.last).max()?;
        let given = self.settings.boot_starts.get(&boot);
        if let Some(utc) = given {
            let fix = ClockFix { utc: *utc, source: ClockSource::Operator, uncertainty_ms: 60_000 };
            fixes = vec![(BootMs(0), fix)];
        }
        let verdict = ClockMap::from_fixes(&fixes);
        self.tell_of_clock(boot, fixes.len(), &verdict);
        let undated = match (&verdict.map, fixes.first()) {
            (Some(_), _) => None,
            (None, Some((_, fix))) => Some(Undated::Impossible(fix.utc)),
            (None, None) => Some(Undated::NeverLearned),
        };
        let (clock, rivals, given) = (verdict.map, verdict.rivals, given.is_some());
        Some(BootLog { boot, parts, clock, undated, rivals, given, first, last })
    }

    fn tell_of_clock(&mut self, boot: u32, fixes: usize, verdict: &ClockVerdict) {
        if let Some((count, ms)) = verdict.contradicting {
            let message = format!(
                "The board's clock jumped in power-on {boot}: {count} of {fixes} time fixes are off by up to {}; the times that agree were used.",
                duration::in_words(ms.unsigned_abs())
            );
            self.problems.push((Some(boot), Problem { data_lost: false, message }));
        }
        if verdict.impossible > 0 {
            let message = format!(
                "{} time fixes in power-on {boot} are before 2025 or after 2100 and were not believed.",
                verdict.impossible
            );
            self.problems.push((Some(boot), Problem { data_lost: false, message }));
        }
    }
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// Opens all of them on all cores: of a year there are thousands. In order of `paths`.
fn open_all(paths: &[(PathBuf, FileKind)]) -> Vec<Result<Opened, Problem>> {
    let one = |number: usize| {
        let (path, _) = paths.get(number)?;
        Some((number, open_file(path, &name_of(path))))
    };
    let opened = share_out(paths.len(), |numbers| numbers.filter_map(one).collect::<Vec<_>>());
    let mut opened: Vec<_> = opened.into_iter().flatten().collect();
    opened.sort_by_key(|(number, _)| *number);
    opened.into_iter().map(|(_, opened)| opened).collect()
}

fn open_file(path: &Path, name: &str) -> Result<Opened, Problem> {
    let broken = |what: String| lost(format!("{name}: {what}. Its data are not on this sheet."));
    let kind = file_kind(path).ok_or_else(|| broken("not a log file".to_owned()))?;
    let mut file = File::open(path).map_err(|e| broken(e.to_string()))?;
    let stamp = Stamp::of(&file.metadata().map_err(|e| broken(e.to_string()))?);
    let len = stamp.length;
    let head = read_range(&mut file, 0, HEAD_BYTES.min(len)).map_err(|e| broken(e.to_string()))?;
    let header = match Header::read(kind, &head) {
        Ok(header) => header,
        Err(error) if kind == FileKind::Journal => {
            let bytes = read_range(&mut file, 0, len).map_err(|e| broken(e.to_string()))?;
            if cut_at_birth(&error, &bytes) {
                let message =
                    format!("{name}: the power went when it was begun; it holds nothing.");
                return Err(Problem { data_lost: false, message });
            }
            return Err(broken(error.to_string()));
        }
        Err(error) => return Err(broken(error.to_string())),
    };
    match kind {
        FileKind::Journal => {
            let bytes = read_range(&mut file, 0, len).map_err(|e| broken(e.to_string()))?;
            Ok(open_journal(path, name, header, &bytes, stamp))
        }
        FileKind::Archive => {
            open_archive(path, name, header, &mut file, stamp).map_err(|e| broken(e.to_string()))
        }
    }
}

pub(super) fn read_range(file: &mut File, from: u64, len: u64) -> std::io::Result<Vec<u8>> {
    file.seek(SeekFrom::Start(from))?;
    // A length may be a lie: room for more is made as bytes come.
    let mut bytes = Vec::with_capacity(len.min(ROOM_BYTES) as usize);
    file.take(len).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn open_archive(
    path: &Path,
    name: &str,
    header: Header,
    file: &mut File,
    stamp: Stamp,
) -> std::io::Result<Opened> {
    let len = stamp.length;
    let tail_at = len.saturating_sub(TAIL_BYTES);
    let tail = read_range(file, tail_at, TAIL_BYTES)?;
    let part = |blocks, damaged, header| Part {
        path: path.to_owned(),
        kind: FileKind::Archive,
        header,
        blocks,
        damaged,
        stamp,
    };
    if let Some(at) = Index::offset(&tail, header.salt).filter(|at| *at < len) {
        let index = match at.checked_sub(tail_at).and_then(|at| tail.get(at as usize..)) {
            Some(bytes) => Index::read(bytes, header.salt),
            None => Index::read(&read_range(file, at, len - at)?, header.salt),
        };
        if let Some(index) = index {
            let part = part(index.blocks, false, header);
            return Ok(Opened { part, fixes: index.clock_fixes, problems: Vec::new() });
        }
    }
    let bytes = read_range(file, 0, len)?;
    let mut problems = Vec::new();
    let (mut blocks, mut fixes) = (Vec::new(), Vec::new());
    if let Ok(reader) = Reader::open(&bytes) {
        blocks.clone_from(&reader.index().blocks);
        fixes.clone_from(&reader.index().clock_fixes);
        let skipped: usize = reader.damage().ranges.iter().map(|r| r.end - r.start).sum();
        let first = reader.damage().ranges.first().map_or(0, |r| r.start);
        problems.push(lost(format!(
            "{name}: the index at its end is missing; {} blocks were found by searching, {skipped} bytes from byte {first} on are damaged.",
            blocks.len()
        )));
    }
    Ok(Opened { part: part(blocks, true, header), fixes, problems })
}

fn open_journal(path: &Path, name: &str, header: Header, bytes: &[u8], stamp: Stamp) -> Opened {
    let mut fixes = Vec::new();
    let mut span: Option<(BootMs, BootMs)> = None;
    let mut rows = 0;
    let found = journal::scan(bytes, header.len, header.salt, |entry| {
        let at = entry.at();
        span = Some(span.map_or((at, at), |(first, last)| (first.min(at), last.max(at))));
        match entry {
            Entry::Note(at, Note::ClockFix(fix)) => fixes.push((at, fix)),
            Entry::Note(..) => {}
            Entry::Reading(_) => rows += 1,
        }
    });
    let mut problems = Vec::new();
    if !found.damaged.is_empty() {
        let bytes: usize = found.damaged.iter().map(|r| r.end - r.start).sum();
        problems.push(lost(format!(
            "{name}: {bytes} bytes from byte {} on are damaged; {} batches of about a second are lost.",
            found.damaged[0].start, found.missing_batches
        )));
    }
    if found.entries.unknown_notes > 0 {
        let message = format!(
            "{name}: {} notes are of a kind that this program does not know; update it.",
            found.entries.unknown_notes
        );
        problems.push(Problem { data_lost: false, message });
    }
    let len = bytes.len() as u32;
    let blocks = span.map(|(first, last)| BlockEntry { offset: 0, len, first, last, rows });
    let part = Part {
        path: path.to_owned(),
        kind: FileKind::Journal,
        header,
        blocks: blocks.into_iter().collect(),
        damaged: !found.damaged.is_empty(),
        stamp,
    };
    Opened { part, fixes, problems }
}
