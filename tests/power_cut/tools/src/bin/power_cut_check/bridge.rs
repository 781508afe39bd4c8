//! What the bridge of these tests sends: every value tells its place in the stream.
//!
//! Frame number n, written again in `stream.py`:
//!
//! | n mod 20 | frame | values |
//! |---|---|---|
//! | 7 | Runtime | key-on meter n, brush-on meter n + 1 |
//! | 13 | Power | voltage: low 16 bits of n; current: next 15 bits |
//! | 10, where n mod 100 = 10 | Mark | tag n |
//! | else | Motion | speed: low 16 bits of n, as signed; turn rate: next 15 bits |

/// What frame `n` puts into the log.
pub(crate) enum Frame {
    Readings([(u8, i32); 2]),
    Mark(u64),
}

const SPEED: u8 = 1;
const TURN_RATE: u8 = 2;
const VOLTAGE: u8 = 20;
const CURRENT: u8 = 21;
const KEY_ON: u8 = 24;
const BRUSH_ON: u8 = 25;

/// Frame number `n`, which is below 2^31.
pub(crate) fn frame(n: u32) -> Frame {
    let low = n & 0xFFFF;
    let high = (n >> 16) as i32;
    match n % 20 {
        7 => Frame::Readings([(KEY_ON, n as i32), (BRUSH_ON, n as i32 + 1)]),
        13 => Frame::Readings([(VOLTAGE, low as i32), (CURRENT, high)]),
        10 if n % 100 == 10 => Frame::Mark(n.into()),
        _ => Frame::Readings([(SPEED, i32::from(low as u16 as i16)), (TURN_RATE, high)]),
    }
}
