//! The trace text of CAN viewers, versions 1.0 to 2.1: a head of `;` lines, then rows.
//!
//! ```text
//! ;$FILEVERSION=2.1                           without it: 1.0
//! ;$STARTTIME=43008.920986                    days since 1899-12-30, local time, no zone
//! ;$COLUMNS=N,O,T,B,I,d,R,L,D                 from 2.0 on
//! 1.0      1)      1841      0001  8  01 02 ..    number, ms, id, length, bytes
//! 1.1      1)      1059.9 Rx 0300  7  ..          + direction (or Warng, Error)
//! 1.2      1)      1059.9 1 Rx 0300  7  ..        + bus
//! 1.3      1)      1059.9 1 Rx 0300 - 7  ..       + reserved
//! 2.1      1       1059.900 DT 1 0300 Rx - 7  ..  by its columns
//! ```
//!
//! Columns: N number, O ms, T type, B bus, I id, d direction, R reserved, l length, L length
//! code, D bytes. Types: DT data, FD FB FE BI data of CAN FD, RR remote, ER error frame; ST, EC,
//! EV are no frames. An id of 4 digits has 11 bits, a longer one 29; FFFFFFFF is a word of the
//! viewer itself. Source: the heads of the samples in python-can 4.6.1 (`test/data/*.trc`) and
//! its reader (`can/io/trc.py`); 1.2: the published description of the format, from memory.

use super::reader::{Said, Taken};
use super::words::{Words, decimal, hex, hex_byte, nanos};
use super::{CLASSIC_MAX, FD_MAX, can_id, data_frame, length_of_code};
use crate::decode::CanFrame;

/// More columns than any version has.
const COLUMNS_MAX: usize = 16;

/// What the head says.
#[derive(Debug)]
pub(super) struct Trc {
    /// Letters of the columns; small `t` stands for the type of version 1.
    columns: Vec<u8>,
    start: Option<String>,
}

impl Default for Trc {
    fn default() -> Self {
        Self { columns: b"NOIlD".to_vec(), start: None }
    }
}

/// The columns of a row that matter.
#[derive(Default)]
struct Row<'a> {
    stamp_ns: i64,
    kind: &'a [u8],
    bus: u8,
    id: &'a [u8],
    /// Length of the data in bytes.
    len: usize,
}

impl Trc {
    /// The beginning as the head says it, once.
    pub(super) fn take_start(&mut self) -> Option<String> {
        self.start.take()
    }

    /// Reads one line, without its end. The payload goes to `data`.
    pub(super) fn line<'a>(
        &mut self,
        line: &[u8],
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Said<'a>, &'static str> {
        let line = line.trim_ascii_start();
        if let Some(head) = line.strip_prefix(b";") {
            self.head(head)?;
            return Ok(Said::Other);
        }
        let mut words = Words(line);
        let mut row = Row::default();
        let (mut has_id, mut has_len) = (false, false);
        for column in &self.columns {
            if *column == b'D' {
                break;
            }
            let word = words.next().ok_or("it has fewer columns than the head says")?;
            match column {
                b'N' => {
                    let number = word.strip_suffix(b")").unwrap_or(word);
                    decimal(number).ok_or("it does not begin with a number")?;
                }
                // In ms.
                b'O' => row.stamp_ns = nanos(word).ok_or("the time is no number")? / 1_000,
                b'T' | b't' => {
                    row.kind = word;
                    if matches!(word, b"ST" | b"EC" | b"EV" | b"Warng") {
                        return Ok(Said::Other);
                    }
                }
                b'B' => row.bus = bus(word),
                b'I' => (row.id, has_id) = (word, true),
                b'l' => {
                    let len = decimal(word).filter(|len| *len <= FD_MAX as u64);
                    (row.len, has_len) = (len.ok_or("the length is not 0 to 64")? as usize, true);
                }
                b'L' => {
                    let code = decimal(word).filter(|code| *code < 16);
                    let code = code.ok_or("the length code is not 0 to 15")?;
                    (row.len, has_len) = (length_of_code(code as u8), true);
                }
                _ => {}
            }
            // Rows of errors have no regular rest.
            if matches!(row.kind, b"ER" | b"Error") && !row.kind.is_empty() {
                break;
            }
        }
        let error = matches!(row.kind, b"ER" | b"Error");
        if !(error || has_id && has_len) {
            return Err("the head names no columns of id and length");
        }
        if row.id == b"FFFFFFFF" {
            return Ok(Said::Other);
        }
        let (stamp_ns, bus) = (Some(row.stamp_ns), row.bus);
        let frame = if error { CanFrame::Error } else { row.frame(words, data)? };
        Ok(Said::Frame(Taken { stamp_ns, bus, frame }))
    }

    fn head(&mut self, head: &[u8]) -> Result<(), &'static str> {
        if let Some(version) = head.strip_prefix(b"$FILEVERSION=") {
            self.columns = match version.trim_ascii() {
                b"1.0" => b"NOIlD".to_vec(),
                b"1.1" => b"NOtIlD".to_vec(),
                b"1.2" => b"NOBtIlD".to_vec(),
                b"1.3" => b"NOBtIRLD".to_vec(),
                b"2.0" | b"2.1" => self.columns.clone(),
                _ => return Err("this version of the format is not known"),
            };
        } else if let Some(columns) = head.strip_prefix(b"$COLUMNS=") {
            let letters: Vec<u8> = columns
                .trim_ascii()
                .split(|b| *b == b',')
                .filter_map(|c| c.first().copied())
                .collect();
            if letters.len() > COLUMNS_MAX {
                return Err("there are more columns than the format has");
            }
            self.columns = letters;
        } else if let Some(days) = head.strip_prefix(b"$STARTTIME=") {
            let days = nanos_of_days(days.trim_ascii()).ok_or("the start is no number of days")?;
            self.start = Some(days);
        }
        Ok(())
    }
}

/// Days since 1899-12-30 as date and time.
fn nanos_of_days(days: &[u8]) -> Option<String> {
    const MS_PER_DAY: f64 = 86_400_000.0;
    let days: f64 = std::str::from_utf8(days).ok()?.parse().ok()?;
    // To the year 9999.
    let ms = (0.0..2_958_466.0).contains(&days).then(|| (days * MS_PER_DAY).round() as i64)?;
    let epoch = chrono::NaiveDate::from_ymd_opt(1899, 12, 30)?.and_hms_opt(0, 0, 0)?;
    let start = epoch.checked_add_signed(chrono::TimeDelta::milliseconds(ms))?;
    Some(start.format("%Y-%m-%dT%H:%M:%S").to_string())
}

impl Row<'_> {
    fn frame<'a>(
        &self,
        mut words: Words<'_>,
        data: &'a mut [u8; FD_MAX],
    ) -> Result<CanFrame<'a>, &'static str> {
        let fd = match self.kind {
            b"" | b"DT" | b"RR" | b"Rx" | b"Tx" => false,
            b"FD" | b"FB" | b"FE" | b"BI" => true,
            _ => return Err("the type of the row is not known"),
        };
        let number = hex(self.id).ok_or("the id is not hexadecimal")?;
        let id = can_id(number, self.id.len() > 4).ok_or("the id is out of range")?;
        // A classic length code above 8 means 8 bytes.
        let len = if fd { self.len } else { self.len.min(CLASSIC_MAX) };
        let mut after = words.clone();
        if self.kind == b"RR" || after.next() == Some(b"RTR") {
            return Ok(CanFrame::Remote);
        }
        for byte in data.iter_mut().take(len) {
            let [high, low] = words.next().ok_or("there are fewer data than its length")? else {
                return Err("the data are no pairs of hexadecimal digits");
            };
            *byte = hex_byte(*high, *low).ok_or("the data are no pairs of hexadecimal digits")?;
        }
        Ok(data_frame(id, data, len))
    }
}

/// Buses count from 1.
fn bus(word: &[u8]) -> u8 {
    let bus = decimal(word).unwrap_or(1);
    u8::try_from(bus.saturating_sub(1)).unwrap_or(u8::MAX)
}
