//! The binary log of measurement programs.
//!
//! ```text
//! file:      LOGG, u32 length of this head, .. , at 40: begin as SYSTEMTIME (8 u16), ..
//!            then objects
//! object:    LOBJ, u16 length of its head, u16 version of its head, u32 length, u32 type
//! container: type 10: u16 method (0 plain, 2 zlib), 6 bytes, u32 length of its content,
//!            4 bytes, then objects, of which the last may go on in the next container
//! ```
//!
//! Little-endian. Up to 3 bytes may fill the room between objects. The begin is a date and a
//! time without a zone. What an object of a frame holds stands in `objects.rs`.
//!
//! Lengths are not believed: an object that says to be longer than any is damaged, and the
//! next `LOBJ` is looked for; a container gives as many bytes as it has, up to a limit, in
//! small pieces. Source: the reader of python-can 4.6.1 (`can/io/blf.py`) and its samples.

mod objects;
mod stream;

use super::FD_MAX;
use super::counts::{CaptureCounts, Place};
use super::reader::{Event, Taken};
use miniz_oxide::inflate::stream::{InflateState, inflate};
use miniz_oxide::{DataFormat, MZFlush, MZStatus};
use objects::{Object, read_object};
use std::ops::Range;
use stream::{Found, Stream};

const CONTAINER: u32 = 10;
/// Head of an object and of a container behind it.
const CONTAINER_HEAD: usize = 32;
/// The head of the file up to the begin, and what programs give it.
const HEAD_READ: usize = 56;
const HEAD_USUAL: usize = 144;
const HEAD_MAX: usize = 64 * 1024;
/// More content than any program puts into one container (usual: 128 KiB).
const CONTENT_MAX: usize = 64 << 20;
const PIECE: usize = 64 * 1024;

const PLAIN: u16 = 0;
const ZLIB: u16 = 2;

/// Reads one file.
#[derive(Debug)]
pub(super) struct Blf {
    /// Bytes of the file's head still to skip; `None` before it is read.
    head_left: Option<usize>,
    file: Stream,
    content: Stream,
    /// Where the newest container begins in the file.
    container_at: u64,
    piece: Vec<u8>,
    start: Option<String>,
}

impl Default for Blf {
    fn default() -> Self {
        Self {
            head_left: None,
            file: Stream::default(),
            content: Stream::default(),
            container_at: 0,
            piece: vec![0; PIECE],
            start: None,
        }
    }
}

/// What goes out of a file.
struct Out<'a, F> {
    counts: &'a mut CaptureCounts,
    each: &'a mut F,
}

impl<F: FnMut(Event<'_>)> Out<'_, F> {
    fn damaged(&mut self, byte: u64, reason: &'static str) {
        self.counts.damaged(Place::Byte(byte), reason);
        (self.each)(Event::Damaged);
    }

    fn object(&mut self, bytes: &[u8], place: u64) {
        let mut data = [0; FD_MAX];
        match read_object(bytes, &mut data) {
            Ok(Object::Frame(taken)) => self.frame(taken),
            Ok(Object::Other) => {}
            Err(reason) => self.damaged(place, reason),
        }
    }

    fn frame(&mut self, taken: Taken<'_>) {
        self.counts.frames += 1;
        (self.each)(Event::Frame(taken));
    }
}

impl Blf {
    /// The beginning as the head says it, once.
    pub(super) fn take_start(&mut self) -> Option<String> {
        self.start.take()
    }

    pub(super) fn take(
        &mut self,
        bytes: &[u8],
        counts: &mut CaptureCounts,
        each: &mut impl FnMut(Event<'_>),
    ) {
        self.file.append(bytes);
        self.read(false, &mut Out { counts, each });
    }

    /// The file has ended: what is half there is read as far as it goes.
    pub(super) fn end(&mut self, counts: &mut CaptureCounts, each: &mut impl FnMut(Event<'_>)) {
        let mut out = Out { counts, each };
        self.read(true, &mut out);
        self.content(true, &mut out);
        if self.head_left != Some(0) {
            out.damaged(0, "the file ends within its head");
        }
    }

    fn read(&mut self, ended: bool, out: &mut Out<'_, impl FnMut(Event<'_>)>) {
        if !self.skip_head(ended, out) {
            return;
        }
        loop {
            match self.file.next(ended) {
                Found::Object { kind: CONTAINER, range } => {
                    self.container_at = self.file.place(range.start);
                    self.container(range, out);
                }
                Found::Object { range, .. } => {
                    let place = self.file.place(range.start);
                    out.object(self.file.bytes(range), place);
                }
                Found::Cut { kind: CONTAINER, range } => {
                    self.container_at = self.file.place(range.start);
                    out.damaged(self.container_at, "the file ends within this container");
                    self.container(range, out);
                }
                Found::Cut { range, .. } => {
                    out.damaged(self.file.place(range.start), "the file ends within this object");
                }
                Found::Damaged { at, reason } => {
                    // What the next container begins with does not go on from here.
                    self.content(true, out);
                    out.damaged(self.file.place(at), reason);
                }
                Found::Nothing => return,
            }
        }
    }

    /// Whether the head of the file is behind us.
    fn skip_head(&mut self, ended: bool, out: &mut Out<'_, impl FnMut(Event<'_>)>) -> bool {
        if self.head_left.is_none() {
            let head = self.file.waiting();
            if head.len() < HEAD_READ && !ended {
                return false;
            }
            let length = u32_at(head, 4).map_or(HEAD_USUAL, |length| length as usize);
            self.start = begin(head);
            self.head_left = Some(if (HEAD_READ..=HEAD_MAX).contains(&length) {
                length
            } else {
                out.damaged(4, "the head of the file has an impossible length");
                HEAD_READ
            });
        }
        let left = self.head_left.unwrap_or(0);
        let skipped = self.file.skip(left);
        self.head_left = Some(left - skipped);
        left == skipped
    }

    fn container(&mut self, range: Range<usize>, out: &mut Out<'_, impl FnMut(Event<'_>)>) {
        let place = self.container_at;
        let container = self.file.bytes(range);
        let method =
            container.get(16..18).and_then(|b| Some(u16::from_le_bytes(b.try_into().ok()?)));
        let (Some(method), Some(length)) = (method, u32_at(container, 24)) else {
            return out.damaged(place, "this container has no whole head");
        };
        let packed = container.get(CONTAINER_HEAD..).unwrap_or(&[]);
        let most = (length as usize).min(CONTENT_MAX);
        match method {
            PLAIN => {
                self.content.append(packed);
                self.content(false, out);
            }
            ZLIB => {
                let packed = packed.to_vec();
                self.unpack(&packed, most, out);
            }
            _ => {
                out.damaged(place, "the method of this container is not known");
                self.content(true, out);
            }
        }
    }

    /// Gives the content on in small pieces, so that a bomb takes no memory.
    fn unpack(&mut self, packed: &[u8], most: usize, out: &mut Out<'_, impl FnMut(Event<'_>)>) {
        let mut state = InflateState::new_boxed(DataFormat::Zlib);
        let mut rest = packed;
        let mut given = 0;
        loop {
            let step = inflate(&mut state, rest, &mut self.piece, MZFlush::None);
            rest = rest.get(step.bytes_consumed..).unwrap_or(&[]);
            let take = step.bytes_written.min(most - given);
            given += take;
            let piece = self.piece.get(..take).unwrap_or(&[]);
            self.content.append(piece);
            self.content(false, out);
            let why = match step.status {
                Ok(MZStatus::StreamEnd) if given == most && take == step.bytes_written => return,
                Ok(MZStatus::StreamEnd) if take == step.bytes_written => {
                    "the content of this container is shorter than it says"
                }
                _ if take < step.bytes_written => {
                    "the content of this container is longer than it says"
                }
                Ok(_) if step.bytes_consumed > 0 || step.bytes_written > 0 => continue,
                _ => "the content of this container is damaged",
            };
            out.damaged(self.container_at, why);
            // What comes next does not go on from here.
            return self.content(true, out);
        }
    }

    /// Reads the objects of the content so far; `ended`: no more of it comes.
    fn content(&mut self, ended: bool, out: &mut Out<'_, impl FnMut(Event<'_>)>) {
        loop {
            match self.content.next(ended) {
                Found::Object { range, .. } => {
                    out.object(self.content.bytes(range), self.container_at);
                }
                Found::Cut { .. } => {
                    out.damaged(
                        self.container_at,
                        "an object that begins in this container has no end",
                    );
                }
                Found::Damaged { reason, .. } => out.damaged(self.container_at, reason),
                Found::Nothing => return,
            }
        }
    }
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// SYSTEMTIME: year, month, day of the week, day, hour, minute, second, ms.
fn begin(head: &[u8]) -> Option<String> {
    let field = |n: usize| {
        let bytes = head.get(40 + 2 * n..42 + 2 * n)?;
        Some(u32::from(u16::from_le_bytes(bytes.try_into().ok()?)))
    };
    let date = chrono::NaiveDate::from_ymd_opt(field(0)? as i32, field(1)?, field(3)?)?;
    let begin = date.and_hms_opt(field(4)?, field(5)?, field(6)?)?;
    (field(0)? >= 1980).then(|| begin.format("%Y-%m-%dT%H:%M:%S").to_string())
}
