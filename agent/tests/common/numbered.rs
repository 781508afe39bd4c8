//! A stream of frames that carry their own number, and what may become of it.

use std::collections::{BTreeMap, HashMap};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Frame, Motion, Runtime};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::note::LinkLoss;
use underbrush_protocol::reading::unpack;
use underbrush_protocol::wire_units::{HourMeterRaw, SpeedRaw, TurnRateRaw};

/// Frame number `n` of the stream: two kinds in turn, the number in the raw values.
pub(crate) fn numbered(n: u32) -> Frame {
    if n.is_multiple_of(2) {
        let key_on = Some(HourMeterRaw(n));
        return Frame::Runtime(Runtime { key_on, brush_on: None, traction: None });
    }
    let speed = SpeedRaw((n & 0x7fff) as i16);
    Frame::Motion(Motion { speed, turn_rate: Some(TurnRateRaw((n >> 15) as i16)) })
}

/// Raw values by channel of these frames, of the first `count` readings.
pub(crate) fn raws_of(
    frames: impl Iterator<Item = u32>,
    count: usize,
) -> BTreeMap<Channel, Vec<i32>> {
    let mut rows: BTreeMap<Channel, Vec<i32>> = BTreeMap::new();
    for (channel, raw) in frames.flat_map(|n| unpack(&numbered(n)).readings).take(count) {
        rows.entry(channel).or_default().push(raw);
    }
    rows
}

/// How many readings these frames give.
pub(crate) fn readings_of(frames: impl Iterator<Item = u32>) -> usize {
    frames.map(|n| unpack(&numbered(n)).readings.len()).sum()
}

/// Wire bytes of the frames `0..count` of one bridge, `period_ms` apart.
pub(crate) fn wire(count: u32, period_ms: u32) -> Vec<Vec<u8>> {
    let mut encoder = Encoder::default();
    (0..count).map(|n| encoder.encode(1_000 + n * period_ms, &numbered(n)).to_vec()).collect()
}

/// What a link must make of bytes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Verdict {
    /// Numbers of the frames taken, in order.
    pub(crate) taken: Vec<u32>,
    pub(crate) lost: u32,
    pub(crate) damaged: u32,
    pub(crate) doubled: u32,
}

impl Verdict {
    /// The same as the agent counts it.
    pub(crate) fn losses(&self) -> LinkLoss {
        LinkLoss {
            frames: self.taken.len() as u32,
            lost: self.lost,
            damaged: self.damaged,
            doubled: self.doubled,
            ..LinkLoss::default()
        }
    }
}

/// Judges `stream` without decoding anything: what stands between two zero bytes is one
/// of the packets that were sent, to the last byte, or it is damaged. Taken is a packet
/// made after all taken before. Good for packets at most 64 places out of order.
pub(crate) fn judge(sent: &[Vec<u8>], stream: &[u8]) -> Verdict {
    let by_bytes: HashMap<&[u8], u32> =
        (0..).zip(sent).map(|(n, packet)| (&packet[..packet.len() - 1], n)).collect();
    let mut verdict = Verdict::default();
    let end = stream.iter().rposition(|byte| *byte == 0).map_or(0, |zero| zero + 1);
    for piece in stream[..end].split(|byte| *byte == 0).filter(|piece| !piece.is_empty()) {
        match (by_bytes.get(piece), verdict.taken.last()) {
            (None, _) => verdict.damaged += 1,
            (Some(n), Some(last)) if n <= last => verdict.doubled += 1,
            (Some(n), last) => {
                // Packets before the first are not known to have been made.
                verdict.lost += last.map_or(0, |last| n - last - 1);
                verdict.taken.push(*n);
            }
        }
    }
    verdict
}
