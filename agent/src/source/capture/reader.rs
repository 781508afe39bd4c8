//! Bytes of a recording to frames. Pure: pieces of any length come in, frames go out.

use super::FD_MAX;
use super::asc::Asc;
use super::blf::Blf;
use super::candump::Candump;
use super::counts::{CaptureCounts, CaptureFormat, Place};
use super::trc::Trc;
use crate::decode::CanFrame;

/// Longer than any line of a frame; the rest of such a line is skipped.
const LINE_MAX: usize = 1024;
/// The format is known by then, or never.
pub(super) const LOOK_AT: usize = 64 * 1024;
const LOOK_AT_LINES: usize = 1_000;
const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// One frame as its file has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken<'a> {
    /// Its stamp: ns since 1970 or since a beginning that only the file knows.
    pub stamp_ns: Option<i64>,
    /// Which of several buses, counted from 0.
    pub bus: u8,
    /// What was on the bus.
    pub frame: CanFrame<'a>,
}

/// What comes out of a recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event<'a> {
    /// A frame.
    Frame(Taken<'a>),
    /// A line or an object that is damaged and left out; the counts say where and why.
    Damaged,
}

/// What a line is.
pub(super) enum Said<'a> {
    Frame(Taken<'a>),
    /// A head, a comment or an event that is no frame.
    Other,
}

/// Reads one recording.
#[derive(Debug)]
pub struct CaptureReader {
    counts: CaptureCounts,
    /// What came before the format was known.
    head: Vec<u8>,
    known: Option<Known>,
}

#[derive(Debug)]
enum Known {
    Text(Lines, Text),
    Blf(Box<Blf>),
}

/// A format that has one frame a line.
#[derive(Debug)]
enum Text {
    Candump(Candump),
    Asc(Asc),
    Trc(Trc),
}

impl Text {
    fn line<'a>(
        &mut self,
        line: &[u8],
        data: &'a mut [u8; FD_MAX],
    ) -> Result<Said<'a>, &'static str> {
        match self {
            Self::Candump(candump) => candump.line(line, data),
            Self::Asc(asc) => asc.line(line, data),
            Self::Trc(trc) => trc.line(line, data),
        }
    }
}

impl CaptureReader {
    /// A reader at the first byte of a file, of `format` if the content does not say which.
    pub fn new(format: Option<CaptureFormat>) -> Self {
        let counts = CaptureCounts { format, ..CaptureCounts::default() };
        Self { counts, head: Vec::new(), known: None }
    }

    /// Takes the next bytes.
    pub fn push(&mut self, bytes: &[u8], each: &mut impl FnMut(Event<'_>)) {
        self.counts.bytes += bytes.len() as u64;
        if self.known.is_some() {
            return self.read(bytes, each);
        }
        self.head.extend_from_slice(bytes);
        if self.head.len() >= LOOK_AT {
            self.begin(each);
        }
    }

    /// The file has ended; its last line may lack an end.
    pub fn end(&mut self, each: &mut impl FnMut(Event<'_>)) {
        self.begin(each);
        match &mut self.known {
            Some(Known::Text(lines, text)) => lines.end(text, &mut self.counts, each),
            Some(Known::Blf(blf)) => blf.end(&mut self.counts, each),
            None => {}
        }
        self.note_start();
    }

    /// What was read so far.
    pub fn counts(&self) -> CaptureCounts {
        self.counts.clone()
    }

    fn begin(&mut self, each: &mut impl FnMut(Event<'_>)) {
        let head = std::mem::take(&mut self.head);
        if self.known.is_some() || head.is_empty() {
            return;
        }
        let Some(format) = recognise(&head).or(self.counts.format) else { return };
        self.counts.format = Some(format);
        let lines = Lines::default();
        self.known = Some(match format {
            CaptureFormat::Candump => Known::Text(lines, Text::Candump(Candump::default())),
            CaptureFormat::Asc => Known::Text(lines, Text::Asc(Asc::default())),
            CaptureFormat::Trc => Known::Text(lines, Text::Trc(Trc::default())),
            CaptureFormat::Blf => Known::Blf(Box::default()),
        });
        self.read(head.strip_prefix(BYTE_ORDER_MARK).unwrap_or(&head), each);
    }

    /// Keeps the beginning that a head says; the first one counts.
    fn note_start(&mut self) {
        let said = match &mut self.known {
            Some(Known::Text(_, Text::Asc(asc))) => asc.take_start(),
            Some(Known::Text(_, Text::Trc(trc))) => trc.take_start(),
            Some(Known::Blf(blf)) => blf.take_start(),
            Some(Known::Text(_, Text::Candump(_))) | None => None,
        };
        if let Some(said) = said {
            self.counts.local_start.get_or_insert(said);
        }
    }

    fn read(&mut self, bytes: &[u8], each: &mut impl FnMut(Event<'_>)) {
        match &mut self.known {
            Some(Known::Text(lines, text)) => lines.take(bytes, text, &mut self.counts, each),
            Some(Known::Blf(blf)) => blf.take(bytes, &mut self.counts, each),
            None => {}
        }
        self.note_start();
    }
}

/// The format by the first line that only one of them can have.
pub(super) fn recognise(head: &[u8]) -> Option<CaptureFormat> {
    if head.starts_with(b"LOGG") {
        return Some(CaptureFormat::Blf);
    }
    let text = head.strip_prefix(BYTE_ORDER_MARK).unwrap_or(head);
    text.split(|b| *b == b'\n')
        .take(LOOK_AT_LINES)
        .find_map(|line| recognise_line(line.trim_ascii()))
}

fn recognise_line(line: &[u8]) -> Option<CaptureFormat> {
    let starts = |word: &str| {
        line.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word.as_bytes()))
    };
    if line.starts_with(b";") {
        return Some(CaptureFormat::Trc);
    }
    if ["date ", "base hex", "base dec", "begin triggerblock", "// version"].into_iter().any(starts)
    {
        return Some(CaptureFormat::Asc);
    }
    let is_frame = |text: Text| {
        let mut text = text;
        matches!(text.line(line, &mut [0; FD_MAX]), Ok(Said::Frame(_)))
    };
    if is_frame(Text::Candump(Candump::default())) {
        Some(CaptureFormat::Candump)
    } else if is_frame(Text::Asc(Asc::default())) {
        Some(CaptureFormat::Asc)
    } else if is_frame(Text::Trc(Trc::default())) {
        Some(CaptureFormat::Trc)
    } else {
        None
    }
}

/// Cuts pieces of any length into lines.
#[derive(Debug, Default)]
struct Lines {
    /// The beginning of a line whose end is still to come.
    begun: Vec<u8>,
    overlong: bool,
    number: u64,
}

impl Lines {
    fn take(
        &mut self,
        bytes: &[u8],
        text: &mut Text,
        counts: &mut CaptureCounts,
        each: &mut impl FnMut(Event<'_>),
    ) {
        let mut rest = bytes;
        while let Some(end) = memchr::memchr(b'\n', rest) {
            let (line, after) = rest.split_at(end);
            if self.begun.is_empty() && !self.overlong && line.len() <= LINE_MAX {
                self.number += 1;
                give(text, line, self.number, counts, each);
            } else {
                self.begin(line);
                self.end(text, counts, each);
            }
            rest = after.get(1..).unwrap_or(&[]);
        }
        self.begin(rest);
    }

    fn begin(&mut self, piece: &[u8]) {
        let room = LINE_MAX.saturating_sub(self.begun.len());
        self.overlong |= piece.len() > room;
        self.begun.extend_from_slice(piece.get(..room).unwrap_or(piece));
    }

    /// Ends a line that came in several pieces.
    fn end(
        &mut self,
        text: &mut Text,
        counts: &mut CaptureCounts,
        each: &mut impl FnMut(Event<'_>),
    ) {
        self.number += 1;
        if std::mem::take(&mut self.overlong) {
            counts.damaged(Place::Line(self.number), "it is longer than any frame");
            each(Event::Damaged);
        } else {
            give(text, &self.begun, self.number, counts, each);
        }
        self.begun.clear();
    }
}

fn give(
    text: &mut Text,
    line: &[u8],
    number: u64,
    counts: &mut CaptureCounts,
    each: &mut impl FnMut(Event<'_>),
) {
    let line = line.trim_ascii_end();
    if line.is_empty() {
        return;
    }
    let mut data = [0; FD_MAX];
    match text.line(line, &mut data) {
        Ok(Said::Frame(taken)) => {
            counts.frames += 1;
            counts.untimed += u64::from(taken.stamp_ns.is_none());
            each(Event::Frame(taken));
        }
        Ok(Said::Other) => {}
        Err(reason) => {
            counts.damaged(Place::Line(number), reason);
            each(Event::Damaged);
        }
    }
}
