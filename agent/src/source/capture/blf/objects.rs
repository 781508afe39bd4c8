//! Objects that hold a frame.
//!
//! ```text
//! head, version 1:  u32 flags, u16 client, u16 version, u64 time
//! head, version 2:  u32 flags, u8 status, 1 byte, u16 version, u64 time, u64 first time
//!                   flags 1: time in 10 us; else in ns
//! CAN_MESSAGE 1, CAN_MESSAGE2 86:  u16 channel, u8 flags (80 hex: remote), u8 length code, u32 id, 8 bytes
//! CAN_ERROR 2, CAN_ERROR_EXT 73, CAN_FD_ERROR_64 104:  an error frame, whatever else it holds;
//!                   the channel is a u16, in 104 a u8
//! CAN_FD_MESSAGE 100:  u16 channel, u8 flags, u8 length code, u32 id, u32 duration, u8 bits,
//!                   u8 FD flags, u8 length, 5 bytes, 64 bytes
//! CAN_FD_MESSAGE_64 101:  u8 channel, u8 length code, u8 length, u8 sent, u32 id, u32 duration,
//!                   u32 flags (10 hex: remote), 20 bytes, u8 direction.., at 40 the bytes
//! ```
//!
//! Bit 31 of an id: 29 bits. Channels count from 1. A message of 101 may have fewer bytes than
//! its length says; the rest are 0, as in python-can's sample `issue_1905.blf`.

use super::super::reader::Taken;
use super::super::{CLASSIC_MAX, FD_MAX, can_id, data_frame};
use crate::decode::CanFrame;

const EXTENDED: u32 = 0x8000_0000;
const REMOTE: u8 = 0x80;
const REMOTE_64: u32 = 0x10;
const TEN_US: u32 = 1;
const BASE: usize = 16;
/// Bytes of the fixed part of `CAN_FD_MESSAGE_64`.
const FIXED_64: usize = 40;

/// What an object is.
pub(super) enum Object<'a> {
    Frame(Taken<'a>),
    /// Something else than a frame.
    Other,
}

/// Numbers at places of a piece of bytes.
struct Fields<'a>(&'a [u8]);

impl Fields<'_> {
    fn byte(&self, at: usize) -> Result<u8, &'static str> {
        self.0.get(at).copied().ok_or(SHORT)
    }

    fn word(&self, at: usize) -> Result<u16, &'static str> {
        Ok(u16::from_le_bytes([self.byte(at)?, self.byte(at + 1)?]))
    }

    fn long(&self, at: usize) -> Result<u32, &'static str> {
        Ok(u32::from(self.word(at)?) | u32::from(self.word(at + 2)?) << 16)
    }
}

const SHORT: &str = "an object of a frame is too short";

/// Reads one whole object; the payload goes to `data`.
pub(super) fn read_object<'a>(
    object: &[u8],
    data: &'a mut [u8; FD_MAX],
) -> Result<Object<'a>, &'static str> {
    let head = Fields(object);
    let kind = head.long(12)?;
    if !matches!(kind, 1 | 2 | 73 | 86 | 100 | 101 | 104) {
        return Ok(Object::Other);
    }
    let head_len = match head.word(6)? {
        1 => BASE + 16,
        2 => BASE + 24,
        _ => return Err("the head of an object of a frame is of an unknown version"),
    };
    let time = u64::from(head.long(BASE + 8)?) | u64::from(head.long(BASE + 12)?) << 32;
    let unit_ns = if head.long(BASE)? == TEN_US { 10_000 } else { 1 };
    let stamp_ns = time.checked_mul(unit_ns).and_then(|ns| i64::try_from(ns).ok());
    let stamp_ns = stamp_ns.ok_or("the time of a frame is out of range")?;
    let body = Fields(object.get(head_len..).ok_or(SHORT)?);
    let (channel, frame) = match kind {
        1 | 86 => (body.word(0)?, classic(&body, data)?),
        100 => (body.word(0)?, fd(&body, data)?),
        101 => (u16::from(body.byte(0)?), fd_64(&body, data)?),
        104 => (u16::from(body.byte(0)?), CanFrame::Error),
        _ => (body.word(0)?, CanFrame::Error),
    };
    let bus = u8::try_from(channel.saturating_sub(1)).unwrap_or(u8::MAX);
    Ok(Object::Frame(Taken { stamp_ns: Some(stamp_ns), bus, frame }))
}

fn classic<'a>(
    body: &Fields<'_>,
    data: &'a mut [u8; FD_MAX],
) -> Result<CanFrame<'a>, &'static str> {
    if body.byte(2)? & REMOTE != 0 {
        return Ok(CanFrame::Remote);
    }
    // A classic length code above 8 means 8 bytes.
    let len = usize::from(body.byte(3)?).min(CLASSIC_MAX);
    data_of(body, 4, 8, len, data)
}

fn fd<'a>(body: &Fields<'_>, data: &'a mut [u8; FD_MAX]) -> Result<CanFrame<'a>, &'static str> {
    if body.byte(2)? & REMOTE != 0 {
        return Ok(CanFrame::Remote);
    }
    let len = usize::from(body.byte(14)?);
    data_of(body, 4, 20, len, data)
}

fn fd_64<'a>(body: &Fields<'_>, data: &'a mut [u8; FD_MAX]) -> Result<CanFrame<'a>, &'static str> {
    if body.long(12)? & REMOTE_64 != 0 {
        return Ok(CanFrame::Remote);
    }
    let len = usize::from(body.byte(2)?);
    if len > FD_MAX {
        return Err("the length of a frame is more than 64");
    }
    // Other data may follow the payload, from a place counted from the object's begin.
    let there = body.0.len().saturating_sub(FIXED_64).min(len);
    data_of(body, 4, FIXED_64, there, data)?;
    let id = body.long(4)?;
    let id =
        can_id(id & !EXTENDED, id & EXTENDED != 0).ok_or("the id of a frame is out of range")?;
    for byte in data.iter_mut().take(len).skip(there) {
        *byte = 0;
    }
    Ok(data_frame(id, data, len))
}

fn data_of<'a>(
    body: &Fields<'_>,
    id_at: usize,
    from: usize,
    len: usize,
    data: &'a mut [u8; FD_MAX],
) -> Result<CanFrame<'a>, &'static str> {
    let id = body.long(id_at)?;
    let id =
        can_id(id & !EXTENDED, id & EXTENDED != 0).ok_or("the id of a frame is out of range")?;
    let bytes = body.0.get(from..from + len).ok_or(SHORT)?;
    data.get_mut(..len).ok_or("the length of a frame is more than 64")?.copy_from_slice(bytes);
    Ok(data_frame(id, data, len))
}
