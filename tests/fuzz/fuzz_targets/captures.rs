//! Any bytes as a recording in any format; how they are cut into pieces makes no difference.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_agent::source::capture::{CaptureCounts, CaptureReader, Event};

fuzz_target!(|data: &[u8]| {
    let whole = read(data, data.len().max(1));
    assert_eq!(read(data, 13), whole);
    // The formats' own heads, so that the bytes behind them are reached.
    for head in [&b"LOGG\x08\x00\x00\x00"[..], b"base hex timestamps absolute\n", b";$FILEVERSION=2.1\n"] {
        let (text, counts) = read(&[head, data].concat(), 1 << 16);
        assert_eq!(text.len() as u64, counts.frames + counts.damaged);
    }
});

/// What came out, in words, and the counts.
fn read(data: &[u8], piece: usize) -> (Vec<String>, CaptureCounts) {
    let mut reader = CaptureReader::new(None);
    let mut said = Vec::new();
    let mut each = |event: Event<'_>| said.push(format!("{event:?}"));
    for piece in data.chunks(piece) {
        reader.push(piece, &mut each);
    }
    reader.end(&mut each);
    (said, reader.counts())
}
