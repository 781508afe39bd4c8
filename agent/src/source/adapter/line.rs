//! What a CAN adapter of the common ASCII protocol says. Pure: bytes in, words out.
//!
//! ```text
//! tiiildd..    data, 11 bits: id (3 hex digits), length (0 to 8), bytes (2 hex digits each)
//! Tiiiiiiiildd..   data, 29 bits: id of 8 digits; riiil, Riiiiiiiil: remote, no bytes
//! d D b B      data of CAN FD (b, B: with a switch of the bit rate); the length is a length code
//! ..ssss       after any frame perhaps its time, 4 hex digits: ms, 0 to EA5F (59,999), then again 0
//! Vhhss        version; Naaaa: serial number; Fxx: status flags
//! sxrrrttt     state a, w, p, b (active, warning, passive, off), counts of errors
//! enll..       n errors, a letter each; o: frames were lost
//! (nothing), z, Z   done;   BEL instead of CR   refused
//! ```
//!
//! Each ends by CR. Source: Linux, `drivers/net/can/slcan/slcan-core.c`; FD frames: python-can
//! 4.6.1, `can/interfaces/slcan.py`; times, flags and version: the common description of the
//! protocol, from memory.

use crate::decode::{CanFrame, CanId};

/// A `B` frame of 64 bytes with a time has 142 characters.
const LINE_MAX: usize = 160;
const FD_MAX: usize = 64;
const CR: u8 = b'\r';
const BEL: u8 = 7;

/// One thing that an adapter said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdapterSaid<'a> {
    /// A frame was on the bus.
    Frame {
        /// It.
        frame: CanFrame<'a>,
        /// The adapter's time of it in ms, which begins again after a minute.
        stamp_ms: Option<u16>,
    },
    /// The bus had an error; whether frames were lost by it.
    BusError {
        /// The adapter could not take frames as fast as they came.
        overrun: bool,
    },
    /// A command was carried out.
    Done,
    /// A command was refused.
    Refused,
    /// Its status flags.
    Flags(u8),
    /// Version, serial number or state, as it stands.
    Told(&'a [u8]),
    /// Characters that are none of these, left out.
    Damaged(&'static str),
}

/// Cuts what an adapter sends into lines and reads them.
#[derive(Clone, Debug, Default)]
pub struct AdapterReader {
    /// A line whose end is still to come.
    begun: Vec<u8>,
    overlong: bool,
}

impl AdapterReader {
    /// Takes the next bytes.
    pub fn push(&mut self, bytes: &[u8], each: &mut impl FnMut(AdapterSaid<'_>)) {
        let mut rest = bytes;
        while let Some(end) = memchr::memchr2(CR, BEL, rest) {
            let (line, after) = rest.split_at(end);
            if self.begun.is_empty() && !self.overlong && line.len() <= LINE_MAX {
                give(line, after.first() == Some(&BEL), each);
            } else {
                self.begin(line);
                if std::mem::take(&mut self.overlong) {
                    each(AdapterSaid::Damaged("longer than any frame"));
                } else {
                    give(&self.begun, after.first() == Some(&BEL), each);
                }
                self.begun.clear();
            }
            rest = after.get(1..).unwrap_or(&[]);
        }
        self.begin(rest);
    }

    /// Forgets a line that was begun.
    pub fn restart(&mut self) {
        *self = Self::default();
    }

    fn begin(&mut self, piece: &[u8]) {
        let room = LINE_MAX.saturating_sub(self.begun.len());
        self.overlong |= piece.len() > room;
        self.begun.extend_from_slice(piece.get(..room).unwrap_or(piece));
    }
}

fn give(line: &[u8], bell: bool, each: &mut impl FnMut(AdapterSaid<'_>)) {
    // Some adapters put a line feed behind the CR.
    let line = line.strip_prefix(b"\n").unwrap_or(line);
    if bell {
        if !line.is_empty() {
            each(AdapterSaid::Damaged("it breaks off"));
        }
        return each(AdapterSaid::Refused);
    }
    let mut data = [0; FD_MAX];
    each(read(line, &mut data).unwrap_or_else(AdapterSaid::Damaged));
}

fn read<'a>(line: &'a [u8], data: &'a mut [u8; FD_MAX]) -> Result<AdapterSaid<'a>, &'static str> {
    let Some((kind, rest)) = line.split_first() else { return Ok(AdapterSaid::Done) };
    match kind {
        b't' | b'T' | b'r' | b'R' | b'd' | b'D' | b'b' | b'B' => frame(*kind, rest, data),
        b'z' | b'Z' if rest.is_empty() => Ok(AdapterSaid::Done),
        b'F' if rest.len() == 2 => Ok(AdapterSaid::Flags(hex(rest)? as u8)),
        b'V' | b'v' | b'N' if rest.iter().all(u8::is_ascii_graphic) => Ok(AdapterSaid::Told(line)),
        b's' => match rest.split_first() {
            Some((b'a' | b'w' | b'p' | b'b', counts))
                if counts.len() == 6 && counts.iter().all(u8::is_ascii_digit) =>
            {
                Ok(AdapterSaid::Told(line))
            }
            _ => Err("no state"),
        },
        b'e' => match rest.split_first() {
            Some((count @ b'1'..=b'8', errors))
                if errors.len() == usize::from(count - b'0')
                    && errors.iter().all(|e| b"abBcfoOs".contains(e)) =>
            {
                Ok(AdapterSaid::BusError { overrun: errors.contains(&b'o') })
            }
            _ => Err("no errors"),
        },
        _ => Err("neither a frame nor an answer"),
    }
}

fn frame<'a>(
    kind: u8,
    rest: &[u8],
    data: &'a mut [u8; FD_MAX],
) -> Result<AdapterSaid<'a>, &'static str> {
    const SHORT: &str = "it ends before the frame";
    let digits = if kind.is_ascii_uppercase() { 8 } else { 3 };
    let (id, rest) = rest.split_at_checked(digits).ok_or(SHORT)?;
    let id = match (hex(id)?, digits) {
        (id, 3) if id <= 0x7FF => CanId::Standard(id as u16),
        (id, 8) if id <= 0x1FFF_FFFF => CanId::Extended(id),
        _ => return Err("the id is out of range"),
    };
    let (code, rest) = rest.split_first().ok_or(SHORT)?;
    let code = nibble(*code)?;
    let fd = matches!(kind, b'd' | b'D' | b'b' | b'B');
    if !fd && code > 8 {
        return Err("the length is not 0 to 8");
    }
    let remote = matches!(kind, b'r' | b'R');
    let len = if remote { 0 } else { crate::decode::length_of_code(code) };
    let (bytes, stamp) =
        rest.split_at_checked(2 * len).ok_or("there are fewer data than its length")?;
    for (to, from) in data.iter_mut().zip(bytes.as_chunks::<2>().0) {
        *to = nibble(from[0])? << 4 | nibble(from[1])?;
    }
    let stamp_ms = match stamp.len() {
        0 => None,
        4 => Some(hex(stamp)? as u16),
        _ => return Err("something follows the frame"),
    };
    let data = data.get(..len).unwrap_or(&[]);
    let frame = if remote { CanFrame::Remote } else { CanFrame::Data { id, data } };
    Ok(AdapterSaid::Frame { frame, stamp_ms })
}

/// Up to 8 hexadecimal digits.
fn hex(digits: &[u8]) -> Result<u32, &'static str> {
    digits.iter().try_fold(0, |value, digit| Ok(value << 4 | u32::from(nibble(*digit)?)))
}

fn nibble(digit: u8) -> Result<u8, &'static str> {
    match digit {
        b'0'..=b'9' => Ok(digit - b'0'),
        b'A'..=b'F' => Ok(digit - b'A' + 10),
        b'a'..=b'f' => Ok(digit - b'a' + 10),
        _ => Err("it is not hexadecimal"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(bytes: &[u8]) -> Vec<String> {
        let mut said = Vec::new();
        AdapterReader::default().push(bytes, &mut |s| {
            said.push(match s {
                AdapterSaid::Frame { frame: CanFrame::Data { id, data }, stamp_ms } => {
                    format!("{id:X?} {data:02X?} {stamp_ms:?}")
                }
                other => format!("{other:?}"),
            });
        });
        said
    }

    // Source: the examples in the comments of `slcan-core.c`; that of its longest line.
    #[test]
    fn published_lines() {
        assert_eq!(
            said(b"t1230\rt4563112233\rT12ABCDEF2AA55\rr1230\rT1111222281122334455667788EA5F\r"),
            [
                "Standard(123) [] None",
                "Standard(456) [11, 22, 33] None",
                "Extended(12ABCDEF) [AA, 55] None",
                "Frame { frame: Remote, stamp_ms: None }",
                "Extended(11112222) [11, 22, 33, 44, 55, 66, 77, 88] Some(59999)",
            ]
        );
        assert_eq!(
            said(b"sb256256\rsa057033\re1a\re3bcO\re1o\r"),
            [
                "Told([115, 98, 50, 53, 54, 50, 53, 54])",
                "Told([115, 97, 48, 53, 55, 48, 51, 51])",
                "BusError { overrun: false }",
                "BusError { overrun: false }",
                "BusError { overrun: true }",
            ]
        );
    }

    #[test]
    fn answers_and_fd() {
        assert_eq!(
            said(b"\r\x07\r\nz\rZ\rF29\rb7FF9000102030405060708090A0B0010\r"),
            [
                "Done",
                "Refused",
                "Done",
                "Done",
                "Done",
                "Flags(41)",
                "Standard(7FF) [00, 01, 02, 03, 04, 05, 06, 07, 08, 09, 0A, 0B] Some(16)",
            ]
        );
    }

    #[test]
    fn what_is_none_of_it_is_damaged_and_costs_only_itself() {
        for line in [
            "t8000",
            "t12",
            "t123",
            "t1239",
            "t123G",
            "t12310",
            "t123100000",
            "t12310000000",
            "T200000000",
            "T1230",
            "r12",
            "x123",
            "tt1230",
            "F2",
            "FXX",
            "s",
            "sq000000",
            "e0",
            "e2a",
            "e1q",
            "d123911",
            "t123 0",
            "hello",
            "V\x01",
        ] {
            let all = said(format!("t1230\r{line}\rt1231FF\r").as_bytes());
            assert_eq!(all.len(), 3, "{line}");
            assert!(all[1].starts_with("Damaged"), "{line}: {}", all[1]);
            assert_eq!(all[2], "Standard(123) [FF] None");
        }
        let long = [b"t1230\r".to_vec(), vec![b'1'; 5_000], b"\rt1230\r".to_vec()].concat();
        assert_eq!(said(&long).len(), 3);
        let torn = said(b"t123\x07t1230\r");
        assert_eq!(torn[1..], ["Refused", "Standard(123) [] None"]);
    }
}
