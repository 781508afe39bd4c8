//! The ASCII log of measurement programs: a head, then one event a line.
//!
//! ```text
//! date Sat Sep 30 15:06:13.191 2017          local time, no zone
//! base hex  timestamps absolute              or dec; or relative: time since the event before
//!  0.000000 Start of measurement             other events, comments (//), statistics: not read
//!  2.501000 1  64         Tx   d 8 01 02 ..  time in s, channel, id (x at its end: 29 bits),
//!                                            direction, data, length code, bytes; more may follow
//!  2.510001 2  100        Rx   r 8           remote
//!  2.501000 1  ErrorFrame
//!  3.1 CANFD 1 Rx 300 Name 1 0 8 8 11 ..     channel, direction, id, perhaps a name, bit rate
//!                                            switch, error state, length code, length, bytes,
//!                                            duration, length, flags (10 hex: remote); more may follow
//! ```
//!
//! `TxRq` is a wish to send, not yet a frame. A relative time counts from the line before,
//! whatever that was. Source: the samples and the reader of python-can 4.6.1 (`can/io/asc.py`,
//! `test/data/*.asc`); what `relative` means: common practice, from memory.

use super::reader::{Said, Taken};
use super::words::{Words, decimal, hex, hex_byte, nanos};
use super::{CLASSIC_MAX, FD_MAX, can_id, data_frame, length_of_code};
use crate::decode::{CanFrame, CanId};

/// In the flags of a CANFD line.
const REMOTE: u32 = 0x10;

/// What the head and the lines before say.
#[derive(Debug, Default)]
pub(super) struct Asc {
    decimal: bool,
    relative: bool,
    /// Time of the event before.
    last_ns: i64,
    /// The date of the head, as it stands there.
    date: Option<String>,
}

impl Asc {
    /// The beginning as the head says it, once.
    pub(super) fn take_start(&mut self) -> Option<String> {
        self.date.take()
    }

    /// Reads one line, without its end. The payload goes to `data`.
    pub(super) fn line<'a>(
        &mut self,
        line: &[u8],
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Said<'a>, &'static str> {
        let mut words = Words(line);
        let first = words.next().ok_or("the line is empty")?;
        if !first[0].is_ascii_digit() {
            return self.head(first, words);
        }
        let time_ns = nanos(first).ok_or("it does not begin with a time like 1.000000")?;
        let stamp_ns = if self.relative { self.last_ns.saturating_add(time_ns) } else { time_ns };
        self.last_ns = stamp_ns;
        let frame = match words.next() {
            Some(b"CANFD") => self.fd(words, data)?,
            Some(channel) if channel.iter().all(u8::is_ascii_digit) => {
                let frame = self.classic(words, data)?;
                frame.map(|frame| (bus(channel), frame))
            }
            // A status, the start of the measurement, other kinds of buses.
            Some(_) => None,
            None => return Err("it ends after the time"),
        };
        Ok(frame.map_or(Said::Other, |(bus, frame)| {
            Said::Frame(Taken { stamp_ns: Some(stamp_ns), bus, frame })
        }))
    }

    fn head<'a>(&mut self, first: &[u8], mut words: Words<'_>) -> Result<Said<'a>, &'static str> {
        let is = |word: &str| first.eq_ignore_ascii_case(word.as_bytes());
        if is("date") {
            let date = String::from_utf8_lossy(words.0.trim_ascii());
            self.date = Some(date.chars().filter(|c| !c.is_control()).take(60).collect());
        } else if is("base") {
            self.decimal = match words.next() {
                Some(b"hex") => false,
                Some(b"dec") => true,
                _ => return Err("the base is neither hex nor dec"),
            };
            self.relative = match (words.next(), words.next()) {
                (None, _) | (Some(b"timestamps"), Some(b"absolute")) => false,
                (Some(b"timestamps"), Some(b"relative")) => true,
                _ => return Err("the times are neither absolute nor relative"),
            };
        } else if !(first.starts_with(b"//")
            || ["begin", "end", "internal", "no"].into_iter().any(is))
        {
            return Err("it begins neither with a time nor with a word of the head");
        }
        Ok(Said::Other)
    }

    fn classic<'a>(
        &self,
        mut words: Words<'_>,
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Option<CanFrame<'a>>, &'static str> {
        let id = words.next().ok_or("it ends after the channel")?;
        if id.eq_ignore_ascii_case(b"ErrorFrame") {
            return Ok(Some(CanFrame::Error));
        }
        match words.next() {
            Some(b"Rx" | b"Tx") => {}
            // Statistics, assembled messages and the like have no direction here.
            Some(_) => return Ok(None),
            None => return Err("it ends after the id"),
        }
        let id = self.id(id)?;
        match words.next() {
            Some(b"d" | b"D") => {}
            Some(b"r" | b"R") => return Ok(Some(CanFrame::Remote)),
            _ => return Err("neither d nor r follows the direction"),
        }
        let code = words.next().ok_or("it ends before the length")?;
        let code = self.number(code).ok_or("the length is no number")?;
        let len = usize::try_from(code).map_or(CLASSIC_MAX, |code| code.min(CLASSIC_MAX));
        self.bytes(&mut words, data, len)?;
        Ok(Some(data_frame(id, data, len)))
    }

    fn fd<'a>(
        &self,
        mut words: Words<'_>,
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Option<(u8, CanFrame<'a>)>, &'static str> {
        const SHORT: &str = "it ends before the data";
        let channel = words.next().ok_or(SHORT)?;
        decimal(channel).ok_or("the channel is no number")?;
        let bus = bus(channel);
        match words.next().ok_or(SHORT)? {
            b"Rx" | b"Tx" => {}
            b"TxRq" => return Ok(None),
            _ => return Err("neither Rx nor Tx follows the channel"),
        }
        let id = words.next().ok_or(SHORT)?;
        if id.eq_ignore_ascii_case(b"ErrorFrame") {
            return Ok(Some((bus, CanFrame::Error)));
        }
        let id = self.id(id)?;
        let mut switch = words.next().ok_or(SHORT)?;
        if !matches!(switch, b"0" | b"1") {
            switch = words.next().ok_or(SHORT)?;
        }
        let state = words.next().ok_or(SHORT)?;
        if !(matches!(switch, b"0" | b"1") && matches!(state, b"0" | b"1")) {
            return Err("the bit rate switch and the error state are not each 0 or 1");
        }
        let code = self.number(words.next().ok_or(SHORT)?).filter(|code| *code < 16);
        let code = code.ok_or("the length code is not 0 to 15")?;
        let len = decimal(words.next().ok_or(SHORT)?).filter(|len| *len <= FD_MAX as u64);
        let len = len.ok_or("the length is not 0 to 64")? as usize;
        if len > 0 && length_of_code(code as u8) != len {
            return Err("the length is not that of the length code");
        }
        self.bytes(&mut words, data, len)?;
        let flags = words.nth(2).and_then(hex);
        let remote = flags.is_some_and(|flags| flags & REMOTE != 0) || (len == 0 && code != 0);
        Ok(Some((bus, if remote { CanFrame::Remote } else { data_frame(id, data, len) })))
    }

    fn id(&self, word: &[u8]) -> Result<CanId, &'static str> {
        let digits = word.strip_suffix(b"x").or_else(|| word.strip_suffix(b"X"));
        let number = self.number(digits.unwrap_or(word)).ok_or("the id is no number")?;
        can_id(number, digits.is_some()).ok_or("the id is out of range")
    }

    fn bytes(
        &self,
        words: &mut Words<'_>,
        data: &mut [u8; FD_MAX],
        len: usize,
    ) -> Result<(), &'static str> {
        for byte in data.iter_mut().take(len) {
            let word = words.next().ok_or("there are fewer data than its length")?;
            let value = match word {
                [high, low] if !self.decimal => hex_byte(*high, *low),
                _ => self.number(word).and_then(|value| u8::try_from(value).ok()),
            };
            *byte = value.ok_or("the data are no bytes")?;
        }
        Ok(())
    }

    /// A number in the base of the file.
    fn number(&self, word: &[u8]) -> Option<u32> {
        if self.decimal { u32::try_from(decimal(word)?).ok() } else { hex(word) }
    }
}

/// Channels count from 1.
fn bus(channel: &[u8]) -> u8 {
    let channel = decimal(channel).unwrap_or(u64::MAX);
    u8::try_from(channel.saturating_sub(1)).unwrap_or(u8::MAX)
}
