//! The COBS of the link against published vectors.
//!
//! Sources: S. Cheshire, M. Baker, "Consistent Overhead Byte Stuffing",
//! IEEE/ACM Transactions on Networking 7(2), 1999 (rules and bound); vectors of
//! the test file `src/cobs/cobs/test.py` of the `PyPI` package cobs 1.2.2, and
//! values computed with that package.

use underbrush_protocol::link::{Decoder, Packet, Rejection};

fn encode(frame: &[u8]) -> Vec<u8> {
    let mut out = vec![0; cobs::max_encoding_length(frame.len()) + 1];
    let used = cobs::encode(frame, &mut out);
    out.truncate(used);
    out
}

fn decode(coded: &[u8]) -> Option<Vec<u8>> {
    let mut out = vec![0; coded.len() + 1];
    let used = cobs::decode(coded, &mut out).ok()?.frame_size();
    out.truncate(used);
    Some(out)
}

/// `from..=to` as bytes.
fn run(from: u8, to: u8) -> Vec<u8> {
    (from..=to).collect()
}

fn join(parts: &[&[u8]]) -> Vec<u8> {
    parts.concat()
}

/// Frame and coded form, COBS-01 to COBS-12 and COBS-15 (the packet of the paper's figure).
fn vectors() -> Vec<(&'static str, Vec<u8>, Vec<u8>)> {
    vec![
        ("01 empty", vec![], vec![1]),
        ("02 zero", vec![0], vec![1, 1]),
        ("03 two zeros", vec![0, 0], vec![1, 1, 1]),
        ("04 inner zero", vec![0x11, 0x22, 0, 0x33], vec![3, 0x11, 0x22, 2, 0x33]),
        ("05 trailing zero", b"12345\x006789\x00".to_vec(), b"\x0612345\x056789\x01".to_vec()),
        ("06 253 bytes", run(1, 0xFD), join(&[&[0xFE], &run(1, 0xFD)])),
        ("07 254 bytes", run(1, 0xFE), join(&[&[0xFF], &run(1, 0xFE)])),
        ("08 255 bytes", run(1, 0xFF), join(&[&[0xFF], &run(1, 0xFE), &[2, 0xFF]])),
        ("09 zero, 254", join(&[&[0], &run(1, 0xFE)]), join(&[&[1, 0xFF], &run(1, 0xFE)])),
        ("10 254, zero", join(&[&run(2, 0xFF), &[0]]), join(&[&[0xFF], &run(2, 0xFF), &[1, 1]])),
        (
            "11 253, zero, 1",
            join(&[&run(3, 0xFF), &[0, 1]]),
            join(&[&[0xFE], &run(3, 0xFF), &[2, 1]]),
        ),
        ("12 twice 254", vec![1; 508], join(&[&[0xFF], &[1; 254], &[0xFF], &[1; 254]])),
        (
            "15 packet of the paper",
            vec![0x45, 0, 0, 0x2C, 0x4C, 0x79, 0, 0, 0x40, 6, 0x4F, 0x37],
            vec![2, 0x45, 1, 4, 0x2C, 0x4C, 0x79, 1, 5, 0x40, 6, 0x4F, 0x37],
        ),
    ]
}

#[test]
fn published_vectors_both_ways() {
    for (name, frame, coded) in vectors() {
        assert_eq!(encode(&frame), coded, "encode {name}");
        assert_eq!(decode(&coded), Some(frame), "decode {name}");
        assert!(!coded.contains(&0), "{name}");
    }
}

// COBS-13. The listing in the paper of 1999 ends a run of exactly 254 bytes with
// a last 01 (from memory); today's libraries leave it out. Both are in use.
#[test]
fn a_full_run_is_read_with_and_without_a_last_01() {
    let short = join(&[&[0xFF], &run(1, 0xFE)]);
    let long = join(&[&short, &[1]]);
    assert_eq!(decode(&short), Some(run(1, 0xFE)));
    assert_eq!(decode(&long), Some(run(1, 0xFE)));
}

// COBS-14.
#[test]
fn what_is_not_cobs_is_an_error() {
    let cases: [&[u8]; 3] = [&[0], &[5, 0x31, 0x32, 0x33], b"\x0512\x004"];
    for case in cases {
        assert_eq!(decode(case), None, "{case:02x?}");
    }
    // A zero inside: the `PyPI` package takes the whole buffer as one frame and
    // refuses the zero; this crate ends the frame at the zero. On the link the
    // difference cannot be seen: a zero never reaches the COBS decoder.
    assert_eq!(decode(b"\x051234\x00"), Some(b"1234".to_vec()));
    let mut link = Decoder::default();
    let got: Vec<_> = b"\x051234\x00".iter().filter_map(|b| link.push(*b)).collect();
    assert_eq!(got, vec![Packet::Rejected(Rejection::TooShort)], "decoded, then too short");
}

// COBS-16: growth is max(1, ceil(n / 254)) for n bytes without a zero.
#[test]
fn worst_case_growth() {
    for (n, growth) in [(0, 1), (1, 1), (253, 1), (254, 1), (255, 2), (508, 2), (509, 3)] {
        assert_eq!(encode(&vec![7; n]).len(), n + growth, "{n} bytes");
    }
}

// The link's longest packet is 124 bytes, so a full run of 254 cannot be part of
// one: both forms of it are one overlong packet, counted once, and the next
// packet is read.
#[test]
fn the_link_counts_a_full_run_as_one_overlong_packet() {
    let short = join(&[&[0xFF], &run(1, 0xFE), &[0]]);
    let long = join(&[&[0xFF], &run(1, 0xFE), &[1, 0]]);
    for form in [short, long] {
        let mut link = Decoder::default();
        let got: Vec<_> = form.iter().filter_map(|b| link.push(*b)).collect();
        assert_eq!(got, vec![Packet::Rejected(Rejection::TooLong)]);
        assert_eq!(link.counts().rejected(), 1);
        assert_eq!(link.counts().bytes, form.len() as u64);
    }
}
