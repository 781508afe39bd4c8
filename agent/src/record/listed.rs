//! Lists of archives with their checksums, as plain text.
//!
//! Two files have this form: `copied.list` in the log directory says which archives
//! have a verified copy elsewhere, `offload.list` beside a copy says what is in it.
//!
//! ```text
//! underbrush list 1
//! boot-00000012.part-0001.archive 123456 e3069283 2026-11-23T22:00:00.000Z 0123456789abcdef 1a2b3c4d
//! ```
//!
//! In each line: name, length in bytes, CRC-32C of the whole file, the time it ends
//! (`-` if unknown), the number of the place of the copy (made up when the place is first
//! used), all numbers but the length in hexadecimal; then CRC-32C of the line before the
//! last space. A line whose checksum does not hold is not believed, and the lines around
//! it are. The list says what was so; who removes an archive compares the archive with it.

use super::name::{FileUse, LogName};
use super::plain::{PIECE, PlainFiles};
use super::storage::Appender;
use chrono::{DateTime, SecondsFormat};
use std::fmt::Write;
use std::io::{self, ErrorKind};
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::time::UtcMs;

/// The list of copies in a log directory.
pub const COPIED_LIST: &str = "copied.list";
/// First line.
const TITLE: &str = "underbrush list 1";
/// Longer lists are not read: some 80,000 lines.
const LONGEST: u64 = 8 << 20;

/// One line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Listed {
    /// An archive.
    pub name: LogName,
    /// Its length.
    pub bytes: u64,
    /// CRC-32C of the whole file.
    pub crc: u32,
    /// When it ends.
    pub end: Option<UtcMs>,
    /// Where the copy is.
    pub place: u64,
}

impl Listed {
    fn parse(line: &str) -> Option<Self> {
        let mut words = open_line(line)?.split(' ');
        let name = LogName::parse(words.next()?).filter(|name| name.kind == FileUse::Archive)?;
        let bytes = words.next()?.parse().ok()?;
        let crc = u32::from_str_radix(words.next()?, 16).ok()?;
        let end = match words.next()? {
            "-" => None,
            date => Some(UtcMs(DateTime::parse_from_rfc3339(date).ok()?.timestamp_millis())),
        };
        let place = u64::from_str_radix(words.next()?, 16).ok()?;
        words.next().is_none().then_some(Self { name, bytes, crc, end, place })
    }

    fn line(&self) -> String {
        let Self { name, bytes, crc, end, place } = self;
        let date = end.and_then(|utc| DateTime::from_timestamp_millis(utc.0));
        let date = date.map_or_else(
            || "-".to_owned(),
            |date| date.to_rfc3339_opts(SecondsFormat::Millis, true),
        );
        close_line(&format!("{name} {bytes} {crc:08x} {date} {place:016x}"))
    }
}

/// `text`, its checksum and the end of the line.
pub(crate) fn close_line(text: &str) -> String {
    format!("{text} {:08x}\n", log_crc(&[text.as_bytes()]))
}

/// The text of a line whose checksum holds.
pub(crate) fn open_line(line: &str) -> Option<&str> {
    let (text, crc) = line.rsplit_once(' ')?;
    (format!("{:08x}", log_crc(&[text.as_bytes()])) == crc).then_some(text)
}

/// A list as it was read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ListFile {
    /// Lines that are no archives but whose checksum holds.
    pub(crate) remarks: Vec<String>,
    /// What it lists.
    pub lines: Vec<Listed>,
    /// Lines that are not believed.
    pub bad_lines: usize,
}

impl ListFile {
    /// Reads the text of a list.
    pub fn parse(bytes: &[u8]) -> Self {
        let mut list = Self::default();
        let mut lines = bytes.split(|b| *b == b'\n');
        let titled = lines.next() == Some(TITLE.as_bytes());
        for line in lines.filter(|line| !line.is_empty()) {
            let text = std::str::from_utf8(line).ok().filter(|_| titled);
            if let Some(listed) = text.and_then(Listed::parse) {
                list.lines.push(listed);
            } else if let Some(remark) = text.and_then(open_line) {
                list.remarks.push(remark.to_owned());
            } else {
                list.bad_lines += 1;
            }
        }
        list.bad_lines += usize::from(!titled && list.bad_lines == 0 && !bytes.is_empty());
        list
    }

    /// Its text.
    pub fn text(&self) -> String {
        let mut text = format!("{TITLE}\n");
        for remark in &self.remarks {
            text.push_str(&close_line(remark));
        }
        for line in &self.lines {
            // Writing to a text cannot fail.
            let _ = text.write_str(&line.line());
        }
        text
    }

    /// Reads a list file; one that is not there is empty, one that is no plain file or is
    /// too long counts as a bad line.
    pub fn read(files: &impl PlainFiles, name: &str) -> io::Result<Self> {
        match files.plain_size(name) {
            Ok(Some(size)) if size <= LONGEST => {}
            Ok(_) => return Ok(Self { bad_lines: 1, ..Self::default() }),
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(error),
        }
        let mut bytes = Vec::new();
        loop {
            let piece = files.read_at(name, bytes.len() as u64, PIECE)?;
            if piece.is_empty() || bytes.len() as u64 > LONGEST {
                return Ok(Self::parse(&bytes));
            }
            bytes.extend_from_slice(&piece);
        }
    }

    /// Replaces a list file in one step; whoever calls holds the lock of the list.
    pub(crate) fn write(&self, files: &impl PlainFiles, name: &str) -> io::Result<()> {
        let unfinished = format!("{name}.part");
        match files.remove(&unfinished) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let written = self.write_as(files, &unfinished).and_then(|()| {
            files.rename(&unfinished, name)?;
            files.sync_dir()
        });
        if written.is_err() {
            // Best effort: on a full disk this gives its room back.
            let _ = files.remove(&unfinished);
        }
        written
    }

    fn write_as(&self, files: &impl PlainFiles, name: &str) -> io::Result<()> {
        let mut out = Appender::new(files.create(name)?);
        out.append(self.text().as_bytes())?;
        out.sync()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> ListFile {
        let line = |part, end| Listed {
            name: LogName { boot: 12, part, kind: FileUse::Archive },
            bytes: 123_456,
            crc: 0xE306_9283,
            end,
            place: 0xFEDC_BA98_7654_3210,
        };
        // 1795586400 s: 2026-11-25T06:00:00Z by `date -u -d @1795586400` (GNU coreutils).
        let lines = vec![line(1, Some(UtcMs(1_795_586_400_000))), line(2, None), line(3, None)];
        ListFile { remarks: vec!["machine S-7".to_owned()], lines, bad_lines: 0 }
    }

    #[test]
    fn written_lists_are_read_back() {
        let text = sample().text();
        assert!(text.starts_with("underbrush list 1\nmachine S-7 "), "{text}");
        let line = "\nboot-00000012.part-0001.archive 123456 e3069283 2026-11-25T06:00:00.000Z fedcba9876543210 ";
        assert!(text.contains(line), "{text}");
        assert_eq!(ListFile::parse(text.as_bytes()), sample());
        assert_eq!(ListFile::parse(b""), ListFile::default());
    }

    #[test]
    fn no_changed_byte_is_believed() {
        let whole = sample();
        let text = whole.text().into_bytes();
        let title = TITLE.len() + 1;
        for at in 0..text.len() {
            for flip in [1, 0x10, 0x80] {
                let mut bad = text.clone();
                bad[at] ^= flip;
                let list = ListFile::parse(&bad);
                assert!(list.bad_lines > 0, "byte {at}");
                assert!(list.lines.iter().all(|line| whole.lines.contains(line)), "byte {at}");
                let lost = whole.lines.len() - list.lines.len();
                assert!(at < title || lost <= 2, "byte {at}: {lost} lines lost");
            }
        }
    }

    #[test]
    fn a_cut_list_gives_its_whole_lines() {
        let whole = sample();
        let text = whole.text();
        for cut in TITLE.len() + 1..text.len() {
            let list = ListFile::parse(&text.as_bytes()[..cut]);
            let complete = text[..cut].matches('\n').count().saturating_sub(2);
            // A line without its end is whole too.
            assert!((complete..=complete + 1).contains(&list.lines.len()), "cut at {cut}");
            assert_eq!(list.lines, whole.lines[..list.lines.len()], "cut at {cut}");
        }
        let names = ["boot-00000012.part-0001.journal", "../boot-00000012.part-0001.archive", "x"];
        for name in names {
            let line = close_line(&format!("{name} 1 00000000 - 0000000000000000"));
            assert!(Listed::parse(line.trim_end()).is_none(), "{name}");
        }
    }
}
