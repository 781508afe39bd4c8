//! What was heard on a bus, and one identifier's part of it.

use crate::decode::CanId;
use std::collections::BTreeMap;

/// The most frames that are kept: an hour of a busy bus. What comes later is counted.
const MOST_FRAMES: usize = 4_000_000;
/// Of one identifier, this many payloads are judged; with more, every second, third... one.
const MOST_PAYLOADS: usize = 20_000;
/// An identifier heard less often says too little.
const LEAST_PAYLOADS: usize = 20;

/// One data frame; of a longer one its first 8 bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    /// Time since the recording began, in us.
    pub at_us: u64,
    /// Identifier.
    pub id: CanId,
    /// Payload; 0 behind its end.
    pub data: [u8; 8],
    /// Bytes of payload, at most 8.
    pub len: u8,
}

/// All that was heard.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recording {
    /// In the order they came.
    pub frames: Vec<Frame>,
    /// Frames whose bytes behind the eighth are not looked at.
    pub cut: u64,
    /// Frames that came when no more were kept.
    pub not_kept: u64,
}

impl Recording {
    /// Takes a frame of time `at_us`, which is not before the newest one.
    pub fn push(&mut self, at_us: u64, id: CanId, payload: &[u8]) {
        if self.frames.len() >= MOST_FRAMES {
            self.not_kept += 1;
            return;
        }
        let mut data = [0; 8];
        let len = payload.len().min(8);
        data[..len].copy_from_slice(&payload[..len]);
        self.cut += u64::from(payload.len() > 8);
        let at_us = self.frames.last().map_or(at_us, |last| last.at_us.max(at_us));
        self.frames.push(Frame { at_us, id, data, len: len as u8 });
    }

    /// Takes the first frame's time as 0, as readers of captures do; gives what it was in us.
    pub(super) fn begin_at_first(&mut self) -> u64 {
        let first = self.frames.first().map_or(0, |frame| frame.at_us);
        for frame in &mut self.frames {
            frame.at_us -= first;
        }
        first
    }

    /// Time of the last frame in s.
    pub fn length_s(&self) -> f64 {
        self.frames.last().map_or(0.0, |frame| frame.at_us as f64 / 1e6)
    }

    /// The payloads by identifier, in the order of the numbers. An identifier that comes
    /// with several lengths counts with its most common one.
    pub(super) fn streams(&self) -> Vec<Stream> {
        let mut by_id: BTreeMap<(bool, u32), Vec<&Frame>> = BTreeMap::new();
        for frame in &self.frames {
            by_id.entry(key(frame.id)).or_default().push(frame);
        }
        by_id.into_values().filter_map(|frames| Stream::of(&frames)).collect()
    }
}

fn key(id: CanId) -> (bool, u32) {
    match id {
        CanId::Standard(id) => (false, u32::from(id)),
        CanId::Extended(id) => (true, id),
    }
}

/// The payloads of one identifier.
#[derive(Clone, Debug)]
pub(super) struct Stream {
    pub(super) id: CanId,
    /// Bytes of a payload.
    pub(super) len: u8,
    /// Times in s.
    pub(super) times_s: Vec<f64>,
    /// The payloads as little-endian numbers: bit 8 x byte + bit of each is the DBC's bit.
    pub(super) words: Vec<u64>,
    /// Frames heard, also those left out here.
    pub(super) heard: usize,
}

impl Stream {
    fn of(frames: &[&Frame]) -> Option<Self> {
        let mut lengths = [0_usize; 9];
        for frame in frames {
            lengths[usize::from(frame.len.min(8))] += 1;
        }
        let (len, _) = lengths.iter().enumerate().max_by_key(|(_, count)| **count)?;
        if len == 0 || lengths[len] < LEAST_PAYLOADS {
            return None;
        }
        let step = lengths[len].div_ceil(MOST_PAYLOADS);
        let kept = frames.iter().filter(|frame| usize::from(frame.len) == len).step_by(step);
        let (times_s, words) =
            kept.map(|f| (f.at_us as f64 / 1e6, u64::from_le_bytes(f.data))).unzip();
        let (id, heard) = (frames.first()?.id, frames.len());
        Some(Self { id, len: len as u8, times_s, words, heard })
    }

    /// Frames a second.
    pub(super) fn rate_hz(&self) -> f64 {
        let first = self.times_s.first().copied().unwrap_or(0.0);
        let last = self.times_s.last().copied().unwrap_or(0.0);
        if last > first { self.heard as f64 / (last - first) } else { 0.0 }
    }
}
