//! Bytes as bits on a serial line, and what a receiver of another speed makes of them.
//!
//! * Line: 1 when idle. A byte with 8 data bits, no parity and 1 stop bit (8N1) is a start
//!   bit 0, the data bits with the lowest first, a stop bit 1, each 1/speed long: the
//!   start/stop character structure of ISO 1177 and ITU-T V.4 (from memory).
//! * Receiver: waits for a fall of the line, looks again half a bit of *its own* speed
//!   later, and if the line is still 0 takes the level in the middle of each of the next 8
//!   bits, as UARTs do since the 8250 (from memory). It passes the byte on also when the
//!   stop bit is 0: a tty without INPCK does (termios(3)).

/// The levels of a line that sends `bytes` without a pause.
fn levels(bytes: &[u8]) -> Vec<bool> {
    let byte_levels = |byte: &u8| {
        let data = (0..8).map(|bit| byte >> bit & 1 == 1).collect::<Vec<_>>();
        [vec![false], data, vec![true]].concat()
    };
    let mut line: Vec<bool> = vec![true; 3];
    line.extend(bytes.iter().flat_map(byte_levels));
    line.extend([true; 12]);
    line
}

/// What a receiver at `receiver_baud` gets of `bytes` sent at `sender_baud`.
pub(crate) fn received(bytes: &[u8], sender_baud: f64, receiver_baud: f64) -> Vec<u8> {
    let line = levels(bytes);
    // Time in bits of the sender.
    let own_bit = sender_baud / receiver_baud;
    let level = |at: f64| line.get(at as usize).copied().unwrap_or(true);
    let fall_after = |at: f64| {
        (at.ceil() as usize..line.len()).find(|bit| !line[*bit] && *bit > 0 && line[*bit - 1])
    };
    let mut got = Vec::new();
    let mut at = 0.0;
    while let Some(fall) = fall_after(at) {
        let middle = fall as f64 + own_bit / 2.0;
        if level(middle) {
            at = middle;
            continue;
        }
        let data = (1..=8).map(|bit| u8::from(level(middle + f64::from(bit) * own_bit)));
        got.push(data.enumerate().map(|(bit, level)| level << bit).sum());
        at = middle + 9.0 * own_bit;
    }
    got
}
