//! The text of `candump`: one frame a line, in two forms.
//!
//! ```text
//! (seconds.fraction) interface id#data       log form (-L): pairs of hex digits, `.` between is allowed
//! (seconds.fraction) interface id#Rn         remote, n: length, may be left out
//! (seconds.fraction) interface id##fdata     FD; f: flags, one hex digit
//! (stamp)  interface  RX B -  id   [n]  AA BB    console form; stamp and `RX B -` may be left out
//! ```
//!
//! 3 digits of id: 11 bits. 8 digits: 29 bits, or an error frame where bit 29 is
//! set. In the log form 8 data bytes may be followed by `_` and the true length code,
//! and a last word `R` or `T` (direction) is allowed. A console stamp may be a date and
//! a time; what follows the data there (letters, ERRORFRAME) is not read, and lines
//! that begin with a tab explain an error frame. Stamps of `-t d`, differences from
//! the line before, look like all others: such a file seems to run back all the time.
//! Source: can-utils, `lib.h` (`parse_canframe`), `lib.c` and `candump.c`; commit 95aae6b.

use super::reader::{Said, Taken};
use super::words::{Words, hex, hex_byte, nanos, nibble};
use super::{CLASSIC_MAX, FD_MAX, can_id, data_frame};
use crate::decode::{CanFrame, CanId};

const ERROR_FLAG: u32 = 0x2000_0000;
/// The kernel's names of interfaces are shorter (`IFNAMSIZ`).
const NAME_MAX: usize = 16;

/// What is known from the lines before.
#[derive(Debug, Default)]
pub(super) struct Candump {
    /// Interfaces in the order of their first frames.
    interfaces: Vec<Vec<u8>>,
    /// The place of the newest one among them.
    newest: usize,
}

impl Candump {
    /// Reads one line, without its end. The payload goes to `data`.
    pub(super) fn line<'a>(
        &mut self,
        line: &[u8],
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Said<'a>, &'static str> {
        if line.first() == Some(&b'\t') {
            return Ok(Said::Other);
        }
        let mut words = Words(line);
        let first = words.next().ok_or("the line is empty")?;
        let (stamp_ns, interface) = if first.first() == Some(&b'(') {
            let stamp = parse_stamp(first, &mut words);
            let stamp = stamp.ok_or("it does not begin with a stamp like (1.000000)")?;
            (Some(stamp), words.next().ok_or("it ends before the interface")?)
        } else {
            (None, first)
        };
        let frame = words.next().ok_or("it ends before the frame")?;
        let frame = match memchr::memchr(b'#', frame) {
            Some(at) if stamp_ns.is_some() => {
                match (words.next(), words.next()) {
                    (None | Some(b"R" | b"T"), None) => {}
                    _ => return Err("something follows the frame"),
                }
                let (id, rest) = frame.split_at(at);
                log_frame(id, rest.get(1..).unwrap_or(&[]), data)?
            }
            Some(_) => return Err("it has no stamp"),
            None => console_frame(frame, &mut words, data)?,
        };
        let bus = self.bus(interface).ok_or("it has no name of an interface")?;
        Ok(Said::Frame(Taken { stamp_ns, bus, frame }))
    }

    fn bus(&mut self, name: &[u8]) -> Option<u8> {
        if self.interfaces.get(self.newest).is_none_or(|newest| newest != name) {
            let place = self.interfaces.iter().position(|known| known == name);
            self.newest = match place {
                Some(place) => place,
                None if name.len() > NAME_MAX => return None,
                // All further ones count as the last.
                None if self.interfaces.len() > usize::from(u8::MAX) => usize::from(u8::MAX),
                None => {
                    self.interfaces.push(name.to_vec());
                    self.interfaces.len() - 1
                }
            };
        }
        u8::try_from(self.newest).ok()
    }
}

/// `(seconds.fraction)`, or `(year-month-day hours:minutes:seconds.fraction)` in two words.
fn parse_stamp(first: &[u8], words: &mut Words<'_>) -> Option<i64> {
    let word = first.strip_prefix(b"(")?;
    if let Some(word) = word.strip_suffix(b")") {
        return if word.contains(&b'.') { nanos(word) } else { None };
    }
    let time = words.next()?.strip_suffix(b")")?;
    let date = chrono::NaiveDate::parse_from_str(std::str::from_utf8(word).ok()?, "%Y-%m-%d");
    let time = chrono::NaiveTime::parse_from_str(std::str::from_utf8(time).ok()?, "%H:%M:%S%.f");
    date.ok()?.and_time(time.ok()?).and_utc().timestamp_nanos_opt()
}

/// An identifier, or `None` for an error frame.
fn parse_id(digits: &[u8]) -> Result<Option<CanId>, &'static str> {
    let number = hex(digits).ok_or("the id is not hexadecimal")?;
    match digits.len() {
        8 if number & ERROR_FLAG != 0 => Ok(None),
        3 | 8 => match can_id(number, digits.len() == 8) {
            None => Err("the id is out of range"),
            some => Ok(some),
        },
        _ => Err("an id has 3 or 8 digits"),
    }
}

fn log_frame<'a>(
    id: &[u8],
    rest: &[u8],
    data: &'a mut [u8; FD_MAX],
) -> Result<CanFrame<'a>, &'static str> {
    let Some(id) = parse_id(id)? else {
        parse_data(rest, CLASSIC_MAX, data)?;
        return Ok(CanFrame::Error);
    };
    match rest {
        [b'R', length @ ..] => match length {
            [] | [b'0'..=b'8'] | [b'8', b'_', b'9' | b'A'..=b'F' | b'a'..=b'f'] => {
                Ok(CanFrame::Remote)
            }
            _ => Err("a remote frame has a length of 0 to 8"),
        },
        [b'#', b'#', ..] => Err("it is a CAN XL frame"),
        [b'#', flags, fd @ ..] if nibble(*flags).is_some() => {
            let len = parse_data(fd, FD_MAX, data)?;
            Ok(data_frame(id, data, len))
        }
        [b'#', ..] => Err("an FD frame begins with one digit of flags"),
        classic => {
            let len = parse_data(classic, CLASSIC_MAX, data)?;
            Ok(data_frame(id, data, len))
        }
    }
}

fn parse_data(text: &[u8], most: usize, data: &mut [u8; FD_MAX]) -> Result<usize, &'static str> {
    let mut rest = text;
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
                let byte = hex_byte(*high, *low).ok_or("the data are not hexadecimal")?;
                if len == most {
                    return Err("there are more data than a frame holds");
                }
                // len < most <= FD_MAX
                data[len] = byte;
                len += 1;
                rest = after;
            }
            [_] => return Err("the data have half a byte"),
        }
    }
}

/// From the id on, or from `RX` or `TX` and two flags before it.
fn console_frame<'a>(
    first: &[u8],
    words: &mut Words<'_>,
    data: &'a mut [u8; FD_MAX],
) -> Result<CanFrame<'a>, &'static str> {
    const SHORT: &str = "it ends before the frame";
    let mut id = first;
    if matches!(first, b"RX" | b"TX") {
        for flag in [b'B', b'E'] {
            match words.next().ok_or(SHORT)? {
                [sign] if *sign == flag || *sign == b'-' => {}
                _ => return Err("no flags `B` or `-`, `E` or `-` follow the direction"),
            }
        }
        id = words.next().ok_or(SHORT)?;
    }
    let id = parse_id(id)?;
    let len = match words.next().ok_or("it ends before the length")? {
        [b'[', digit @ b'0'..=b'8', b']'] => usize::from(digit - b'0'),
        [b'[', tens @ b'0'..=b'6', ones @ b'0'..=b'9', b']'] => {
            usize::from(tens - b'0') * 10 + usize::from(ones - b'0')
        }
        _ => return Err("no length like [8] follows the id"),
    };
    let bytes = data.get_mut(..len).ok_or("the length is more than a frame holds")?;
    let mut after = words.clone();
    if after.next() == Some(b"remote") && after.next() == Some(b"request") {
        return Ok(CanFrame::Remote);
    }
    for byte in bytes {
        let [high, low] = words.next().ok_or("there are fewer data than its length")? else {
            return Err("the data are no pairs of hexadecimal digits");
        };
        *byte = hex_byte(*high, *low).ok_or("the data are no pairs of hexadecimal digits")?;
    }
    Ok(id.map_or(CanFrame::Error, |id| data_frame(id, data, len)))
}

#[cfg(test)]
mod tests {
    use super::*;

    type Parsed = (Option<i64>, u8, Option<(CanId, Vec<u8>)>, bool);

    fn parsed(line: &str) -> Result<Parsed, &'static str> {
        let mut data = [0; 64];
        match Candump::default().line(line.as_bytes(), &mut data)? {
            Said::Frame(taken) => {
                let frame = match taken.frame {
                    CanFrame::Data { id, data } => Some((id, data.to_vec())),
                    CanFrame::Remote | CanFrame::Error => None,
                };
                Ok((taken.stamp_ns, taken.bus, frame, taken.frame == CanFrame::Remote))
            }
            Said::Other => Err("other"),
        }
    }

    // Source: can-utils `lib.h` and the socketcan crate's `CanDumpLogFormat.md`; the
    // values were computed with python-can 4.6.1.
    #[test]
    fn published_lines() {
        let data = |id, bytes: &[u8]| Some((id, bytes.to_vec()));
        let fd = [0, 0x11, 0x22, 0x33, 0x44, 0x55, 0x66, 0x77, 0x88, 0x99, 0xAA, 0xBB];
        let eight = [0x11, 0x22, 0x33, 0x44, 0x55, 0x66, 0x77, 0x88];
        let std = CanId::Standard;
        for (line, ns, frame, remote) in [
            (
                "(1735270496.916858) can0 110#00112233",
                1_735_270_496_916_858_000,
                data(std(0x110), &[0, 0x11, 0x22, 0x33]),
                false,
            ),
            ("(1735279048.349278) can1 110#R4", 1_735_279_048_349_278_000, None, true),
            ("(1469439874.299654) can1 104#R", 1_469_439_874_299_654_000, None, true),
            (
                "(1469439874.299654) can1 104#",
                1_469_439_874_299_654_000,
                data(std(0x104), &[]),
                false,
            ),
            (
                "(1735270588.936508) can0 120##500112233445566778899AABB",
                1_735_270_588_936_508_000,
                data(std(0x120), &fd),
                false,
            ),
            (
                "(0.000000) can0 18FEF100#FF0005FFFFFFFFFF",
                0,
                data(CanId::Extended(0x18FE_F100), &[0xFF, 0, 5, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF]),
                false,
            ),
            ("(1.5) vcan0 123#1122334455667788_E", 1_500_000_000, data(std(0x123), &eight), false),
            ("(1.000000001) can0 32345678#112233", 1_000_000_001, None, false),
            ("(1.0) can0 123#11.22.33 T", 1_000_000_000, data(std(0x123), &eight[..3]), false),
        ] {
            assert_eq!(parsed(line), Ok((Some(ns), 0, frame, remote)), "{line}");
        }
    }

    // Source: the forms that can-utils `lib.c` (`sprint_long_canframe`) and `candump.c`
    // print, read there; the date by `date -u -d '2026-11-25 22:10:51' +%s`.
    #[test]
    fn console_lines() {
        let data = |id, bytes: &[u8]| Some((id, bytes.to_vec()));
        let std = CanId::Standard;
        let second = Some(1_000_000_000);
        for (line, stamp, frame, remote) in [
            ("  can0  123   [3]  11 22 33", None, data(std(0x123), &[0x11, 0x22, 0x33]), false),
            (" (1.000000)  can0       123   [0] ", second, data(std(0x123), &[]), false),
            (" (001.000000)  can0  123   [4]  remote request", second, None, true),
            (
                " (2026-11-25 22:10:51.123456)  can0  18FEF100   [2]  FF 00   '..'",
                Some(1_795_644_651_123_456_000),
                data(CanId::Extended(0x18FE_F100), &[0xFF, 0]),
                false,
            ),
            ("  can0  20000004   [8]  00 01 00 00 00 00 00 00   ERRORFRAME", None, None, false),
            (
                " (1.000000)  can0  RX B -  123  [12]  00 01 02 03 04 05 06 07 08 09 0A 0B",
                second,
                data(std(0x123), &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]),
                false,
            ),
            ("  can0  TX - -  123   [1]  AA", None, data(std(0x123), &[0xAA]), false),
        ] {
            assert_eq!(parsed(line), Ok((stamp, 0, frame, remote)), "{line}");
        }
        assert_eq!(parsed("\tcontroller-problem{}{rx-overflow}"), Err("other"));
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
            "(1.0) can0 00000123###00.11",
            "(1.0) an_interface_with_a_long_name 123#11",
            "can0 123#11",
            "(2026-11-25) can0 123#11",
            "(2026-13-25 00:00:00.0) can0 123#11",
            "can0 123",
            "can0 123 [2] 11",
            "can0 123 [9]",
            "can0 123 [65]",
            "can0 123 [2] 11 2",
            "can0 123 [2] 11 2G",
            "can0 RX B 123 [0]",
            "can0 123 [1] 10101010",
        ] {
            assert!(parsed(line).is_err(), "{line}");
        }
    }

    #[test]
    fn interfaces_are_numbered_as_they_come() {
        let mut candump = Candump::default();
        let mut bus = |name: &str| {
            let line = format!("(1.0) {name} 123#");
            match candump.line(line.as_bytes(), &mut [0; 64]) {
                Ok(Said::Frame(taken)) => taken.bus,
                _ => panic!("{line}"),
            }
        };
        assert_eq!([bus("can1"), bus("can0"), bus("can1"), bus("vcan0")], [0, 1, 0, 2]);
        for number in 0..300 {
            bus(&format!("x{number}"));
        }
        assert_eq!([bus("x299"), bus("can0")], [255, 1]);
    }
}
