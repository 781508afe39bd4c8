//! The text of `candump -L`: one frame a line.
//!
//! ```text
//! (seconds.fraction) interface id#data       data: pairs of hex digits, `.` between is allowed
//! (seconds.fraction) interface id#Rn         remote, n: length, may be left out
//! (seconds.fraction) interface id##fdata     FD; f: flags, one hex digit
//! ```
//!
//! 3 digits of id: 11 bits. 8 digits: 29 bits, or an error frame where bit 29 is
//! set. 8 data bytes may be followed by `_` and the true length code. A last word
//! `R` or `T` (direction) is allowed. Source: can-utils, `lib.h` (`parse_canframe`)
//! and `candump.c`; commit 95aae6b.

use crate::decode::{CanFrame, CanId, CanIntake};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

const ERROR_FLAG: u32 = 0x2000_0000;
const EXTENDED_MAX: u32 = 0x1FFF_FFFF;
const CLASSIC_MAX: usize = 8;
const FD_MAX: usize = 64;
/// Longer than any frame's line; the rest of such a line is skipped.
const LINE_MAX: usize = 512;
/// This many malformed lines are told one by one; all are counted.
const TOLD_MAX: u64 = 10;
/// Stamps before 2001-09-09 count from the capture's start, not from 1970.
const EARLIEST_UTC_MS: i64 = 1_000_000_000_000;
/// Stamps of a capture come from its computer's clock.
const STAMP_UNCERTAINTY_MS: u32 = 2_000;
/// A stamp that falls back by more is a clock that was set.
const CLOCK_SET_MS: i64 = 1_000;

/// One line, understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line<'a> {
    /// Stamp in ns.
    pub stamp_ns: i128,
    /// Interface name.
    pub interface: &'a str,
    /// The frame.
    pub frame: CanFrame<'a>,
}

/// Reads one line, without its end. The payload goes to `data`.
pub fn parse_line<'a>(line: &'a str, data: &'a mut [u8; FD_MAX]) -> Result<Line<'a>, &'static str> {
    let mut words = line.split_ascii_whitespace();
    let stamp = words.next().ok_or("the line is empty")?;
    let stamp_ns = parse_stamp(stamp).ok_or("it does not begin with a stamp like (1.000000)")?;
    let interface = words.next().ok_or("it ends before the interface")?;
    let frame = words.next().ok_or("it ends before the frame")?;
    match (words.next(), words.next()) {
        (None | Some("R" | "T"), None) => {}
        _ => return Err("something follows the frame"),
    }
    Ok(Line { stamp_ns, interface, frame: parse_frame(frame, data)? })
}

fn parse_stamp(word: &str) -> Option<i128> {
    let (seconds, fraction) = word.strip_prefix('(')?.strip_suffix(')')?.split_once('.')?;
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    if !digits(seconds) || !digits(fraction) || seconds.len() > 12 || fraction.len() > 9 {
        return None;
    }
    let scale = 10_i128.pow(9 - fraction.len() as u32);
    Some(seconds.parse::<i128>().ok()? * 1_000_000_000 + fraction.parse::<i128>().ok()? * scale)
}

fn parse_frame<'a>(word: &str, data: &'a mut [u8; FD_MAX]) -> Result<CanFrame<'a>, &'static str> {
    let (id, rest) = word.split_once('#').ok_or("the frame has no `#`")?;
    if !id.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Err("the id is not hexadecimal");
    }
    let number = u32::from_str_radix(id, 16).map_err(|_| "the id is not hexadecimal")?;
    let id = match id.len() {
        3 if number <= 0x7FF => CanId::Standard(number as u16),
        8 if number & ERROR_FLAG != 0 => {
            parse_data(rest, CLASSIC_MAX, data)?;
            return Ok(CanFrame::Error);
        }
        8 if number <= EXTENDED_MAX => CanId::Extended(number),
        3 | 8 => return Err("the id is out of range"),
        _ => return Err("an id has 3 or 8 digits"),
    };
    if let Some(length) = rest.strip_prefix('R') {
        return match length.as_bytes() {
            [] | [b'0'..=b'8'] | [b'8', b'_', b'9' | b'A'..=b'F' | b'a'..=b'f'] => {
                Ok(CanFrame::Remote)
            }
            _ => Err("a remote frame has a length of 0 to 8"),
        };
    }
    let len = match rest.strip_prefix('#') {
        Some(fd) => {
            let flags = fd.as_bytes().first().filter(|flag| flag.is_ascii_hexdigit());
            flags.ok_or("an FD frame begins with one digit of flags")?;
            // The flags are one ASCII byte.
            parse_data(fd.get(1..).unwrap_or(""), FD_MAX, data)?
        }
        None => parse_data(rest, CLASSIC_MAX, data)?,
    };
    Ok(CanFrame::Data { id, data: data.get(..len).unwrap_or(&[]) })
}

fn parse_data(text: &str, most: usize, data: &mut [u8; FD_MAX]) -> Result<usize, &'static str> {
    let nibble = |b: u8| char::from(b).to_digit(16).map(|d| d as u8);
    let mut rest = text.as_bytes();
    let mut len = 0;
    loop {
        match rest {
            [] => return Ok(len),
            [b'.', after @ ..] if len > 0 => rest = after,
            [b'_', code] if most == CLASSIC_MAX && len == CLASSIC_MAX => {
                return match nibble(*code) {
                    Some(9..=15) => Ok(len),
                    _ => Err("the length code after `_` is not 9 to F"),
                };
            }
            [high, low, after @ ..] => {
                let (Some(high), Some(low)) = (nibble(*high), nibble(*low)) else {
                    return Err("the data are not hexadecimal");
                };
                if len == most {
                    return Err("there are more data than a frame holds");
                }
                // len < most <= FD_MAX
                data[len] = high << 4 | low;
                len += 1;
                rest = after;
            }
            [_] => return Err("the data have half a byte"),
        }
    }
}

/// Bytes of a candump file to log entries. Pure.
#[derive(Debug)]
pub struct CandumpIntake {
    can: CanIntake,
    line: Vec<u8>,
    overlong: bool,
    number: u64,
    clock: Option<StampClock>,
}

/// Stamps to log times.
#[derive(Debug)]
struct StampClock {
    /// Stamp and log time that belong together, in ms.
    stamp_ms: i64,
    at: BootMs,
    last_ms: i64,
}

impl CandumpIntake {
    /// An intake at the first byte of a file.
    pub fn new(can: CanIntake) -> Self {
        Self { can, line: Vec::new(), overlong: false, number: 0, clock: None }
    }

    /// Takes the next bytes of the file.
    pub fn bytes(&mut self, bytes: &[u8], out: &mut Vec<Entry>) {
        for piece in bytes.split_inclusive(|b| *b == b'\n') {
            let (piece, ends) = match piece.split_last() {
                Some((b'\n', rest)) => (rest, true),
                _ => (piece, false),
            };
            let room = LINE_MAX - self.line.len();
            self.overlong |= piece.len() > room;
            self.line.extend_from_slice(&piece[..piece.len().min(room)]);
            if ends {
                self.end_line(out);
            }
        }
    }

    /// The file has ended; its last line may lack an end.
    pub fn source_ended(&mut self, out: &mut Vec<Entry>) {
        if !self.line.is_empty() {
            self.end_line(out);
        }
        self.can.finish(out);
    }

    /// Counts and the newest time.
    pub fn can(&self) -> &CanIntake {
        &self.can
    }

    fn end_line(&mut self, out: &mut Vec<Entry>) {
        self.number += 1;
        let line = std::mem::take(&mut self.line);
        let overlong = std::mem::take(&mut self.overlong);
        let trimmed = line.trim_ascii();
        if !trimmed.is_empty() {
            let understood = if overlong {
                Err("it is longer than any frame")
            } else {
                self.frame_line(trimmed, out)
            };
            if let Err(reason) = understood {
                self.malformed(reason);
            }
        }
        self.line = line;
        self.line.clear();
    }

    fn malformed(&mut self, reason: &str) {
        self.can.malformed_line();
        let count = self.can.counts().malformed_lines;
        if count <= TOLD_MAX {
            tracing::warn!(line = self.number, reason, "malformed line left out");
        }
        if count == TOLD_MAX {
            tracing::warn!("further malformed lines are only counted");
        }
    }

    fn frame_line(&mut self, line: &[u8], out: &mut Vec<Entry>) -> Result<(), &'static str> {
        let text = std::str::from_utf8(line).map_err(|_| "it is not text")?;
        let mut data = [0; FD_MAX];
        let line = parse_line(text, &mut data)?;
        let at = self.place((line.stamp_ns / 1_000_000) as i64, out);
        self.can.frame(at, &line.frame, out);
        Ok(())
    }

    /// Log time of a stamp; the first one, and one after the clock was set, give a clock fix.
    fn place(&mut self, stamp_ms: i64, out: &mut Vec<Entry>) -> BootMs {
        if let Some(clock) = &mut self.clock {
            let back_ms = clock.last_ms - stamp_ms;
            if back_ms <= CLOCK_SET_MS {
                if back_ms > 0 {
                    self.can.backward_time();
                } else {
                    clock.last_ms = stamp_ms;
                }
                // Small steps back are held at the time before.
                let step = clock.last_ms - clock.stamp_ms;
                return clock.at.plus(u64::try_from(step).unwrap_or(0));
            }
            self.can.backward_time();
        }
        let at = self.can.last();
        self.clock = Some(StampClock { stamp_ms, at, last_ms: stamp_ms });
        if stamp_ms >= EARLIEST_UTC_MS {
            let fix = ClockFix {
                utc: UtcMs(stamp_ms),
                source: ClockSource::Capture,
                uncertainty_ms: STAMP_UNCERTAINTY_MS,
            };
            self.can.note(at, Note::ClockFix(fix), out);
        }
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Parsed = (i128, String, Option<(CanId, Vec<u8>)>, bool);

    fn parsed(line: &str) -> Result<Parsed, &'static str> {
        let mut data = [0; 64];
        parse_line(line, &mut data).map(|l| {
            let frame = match l.frame {
                CanFrame::Data { id, data } => Some((id, data.to_vec())),
                CanFrame::Remote | CanFrame::Error => None,
            };
            (l.stamp_ns, l.interface.to_owned(), frame, l.frame == CanFrame::Remote)
        })
    }

    // Source: can-utils `lib.h` and the socketcan crate's `CanDumpLogFormat.md`; the
    // values were computed with python-can 4.6.1.
    #[test]
    fn published_lines() {
        let data = |id, bytes: &[u8]| Some((id, bytes.to_vec()));
        for (line, ns, interface, frame, remote) in [
            (
                "(1735270496.916858) can0 110#00112233",
                1_735_270_496_916_858_000,
                "can0",
                data(CanId::Standard(0x110), &[0, 0x11, 0x22, 0x33]),
                false,
            ),
            ("(1735279048.349278) can1 110#R4", 1_735_279_048_349_278_000, "can1", None, true),
            ("(1469439874.299654) can1 104#R", 1_469_439_874_299_654_000, "can1", None, true),
            (
                "(1469439874.299654) can1 104#",
                1_469_439_874_299_654_000,
                "can1",
                data(CanId::Standard(0x104), &[]),
                false,
            ),
            (
                "(1735270588.936508) can0 120##500112233445566778899AABB",
                1_735_270_588_936_508_000,
                "can0",
                data(
                    CanId::Standard(0x120),
                    &[0, 0x11, 0x22, 0x33, 0x44, 0x55, 0x66, 0x77, 0x88, 0x99, 0xAA, 0xBB],
                ),
                false,
            ),
            (
                "(0.000000) can0 18FEF100#FF0005FFFFFFFFFF",
                0,
                "can0",
                data(CanId::Extended(0x18FE_F100), &[0xFF, 0, 5, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF]),
                false,
            ),
            (
                "(1.5) vcan0 123#1122334455667788_E",
                1_500_000_000,
                "vcan0",
                data(CanId::Standard(0x123), &[0x11, 0x22, 0x33, 0x44, 0x55, 0x66, 0x77, 0x88]),
                false,
            ),
            ("(1.000000001) can0 32345678#112233", 1_000_000_001, "can0", None, false),
            (
                "(1.0) can0 123#11.22.33 T",
                1_000_000_000,
                "can0",
                data(CanId::Standard(0x123), &[0x11, 0x22, 0x33]),
                false,
            ),
        ] {
            assert_eq!(parsed(line), Ok((ns, interface.to_owned(), frame, remote)), "{line}");
        }
    }

    #[test]
    fn malformed_lines_say_why() {
        for line in [
            "hello",
            "(1.0)",
            "(1.0) can0",
            "(x.0) can0 123#",
            "(-1.0) can0 123#",
            "1.0 can0 123#",
            "(1.0) can0 123",
            "(1.0) can0 12#",
            "(1.0) can0 FFF#",
            "(1.0) can0 +23#",
            "(1.0) can0 123#1",
            "(1.0) can0 123#1G",
            "(1.0) can0 123#112233445566778899",
            "(1.0) can0 123#R9",
            "(1.0) can0 123##",
            "(1.0) can0 123##G11",
            "(1.0) can0 123#.11",
            "(1.0) can0 123#11_9",
            "(1.0) can0 123#1122334455667788_8",
            "(1.0) can0 C2345678#",
            "(1.0) can0 123#11 X",
            "(1.0) can0 123#11 R R",
            "(9999999999999.0) can0 123#",
        ] {
            assert!(parsed(line).is_err(), "{line}");
        }
    }
}
