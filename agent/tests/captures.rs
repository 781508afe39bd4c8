//! Recordings of CAN buses: ASC, BLF and TRC, whole and damaged.

use proptest::prelude::*;
use underbrush_agent::decode::{CanFrame, CanId};
use underbrush_agent::source::capture::{
    CaptureCounts, CaptureFormat, CaptureReader, Event, Place,
};

/// Time in us, bus and text of a frame.
type Frame = (i64, u8, String);

fn read_in_pieces(bytes: &[u8], piece: usize) -> (Vec<Frame>, CaptureCounts) {
    let mut reader = CaptureReader::new(None);
    let mut frames = Vec::new();
    let mut each = |event: Event<'_>| {
        if let Event::Frame(taken) = event {
            let text = match taken.frame {
                CanFrame::Data { id: CanId::Standard(id), data } => format!("{id:03X} {data:02X?}"),
                CanFrame::Data { id: CanId::Extended(id), data } => format!("{id:08X} {data:02X?}"),
                CanFrame::Remote => "remote".to_owned(),
                CanFrame::Error => "error".to_owned(),
            };
            frames.push((taken.stamp_ns.unwrap_or(-1_000) / 1_000, taken.bus, text));
        }
    };
    for piece in bytes.chunks(piece.max(1)) {
        reader.push(piece, &mut each);
    }
    reader.end(&mut each);
    (frames, reader.counts())
}

fn read(bytes: &[u8]) -> (Vec<Frame>, CaptureCounts) {
    read_in_pieces(bytes, 1 << 20)
}

fn frame(us: i64, bus: u8, text: &str) -> Frame {
    (us, bus, text.to_owned())
}

// The forms of lines are those of python-can's samples `logfile.asc`, `test_CanFdMessage.asc`,
// `test_CanFdRemoteMessage.asc`; `tests/reference/captures.py` compares whole files.
const ASC: &str = "date Sat Sep 30 15:06:13.191 2017\r\n\
    base hex  timestamps absolute\r\n\
    internal events logged\r\n\
    // version 9.0.0\r\n\
    Begin Triggerblock Sat Sep 30 15:06:13.191 2017\r\n\
       0.000000 Start of measurement\r\n\
       0.015991 CAN 1 Status:chip status error active\r\n\
       1.015991 1  Statistic: D 0 R 0 XD 0 XR 0 E 0 O 0 B 0.00%\r\n\
       2.501000 1 ErrorFrame\r\n\
       2.510001 2 100 Tx r\r\n\
       3.098426 1  18EBFF00x       Rx d 3 01 A0 0F    Length = 273910 BitCount = 141 ID = 418119424x\r\n\
       3.297743 1  J1939TP FEE3p   6    0  0   -   Rx   d 23 A0 0F\r\n\
       3.3 1 64 TxRq d 1 01\r\n\
      30.005021 CANFD   1 Rx  300  1 0 9 12 11 c2 03 04 05 06 07 08 09 0a 0b 0c 102203 133 303000\r\n\
      30.005071 CANFD   3 Rx  30a  Generic_Name_12  1 1 1 1 01 102203  133   303000\r\n\
      30.300981 CANFD   3 Tx  50005x  0 1 5 0 140000 73 200050 7a60\r\n\
    End TriggerBlock\r\n";

#[test]
fn asc() {
    let (frames, counts) = read(ASC.as_bytes());
    let expected = [
        frame(2_501_000, 0, "error"),
        frame(2_510_001, 1, "remote"),
        frame(3_098_426, 0, "18EBFF00 [01, A0, 0F]"),
        frame(30_005_021, 0, "300 [11, C2, 03, 04, 05, 06, 07, 08, 09, 0A, 0B, 0C]"),
        frame(30_005_071, 2, "30A [01]"),
        frame(30_300_981, 2, "remote"),
    ];
    assert_eq!(frames, expected);
    assert_eq!((counts.format, counts.damaged), (Some(CaptureFormat::Asc), 0));
    assert_eq!(counts.local_start.as_deref(), Some("Sat Sep 30 15:06:13.191 2017"));
}

#[test]
fn asc_in_decimal_with_relative_times() {
    let text =
        "base dec timestamps relative\n1.0 1 100 Rx d 2 10 255\n0.5 Start\n0.25 1 256x Tx d 0\n";
    let (frames, counts) = read(text.as_bytes());
    assert_eq!(frames, [frame(1_000_000, 0, "064 [0A, FF]"), frame(1_750_000, 0, "00000100 []")]);
    assert_eq!(counts.damaged, 0);
}

#[test]
fn damaged_lines_are_told_with_their_place() {
    for line in [
        "what is this",
        "1.0 1 100G Rx d 1 01",
        "1.0 1 800 Rx d 1 01",
        "1.0 1 100 Rx d 2 01",
        "1.0 1 100 Rx q",
        "1.0 1 100 Rx d 1 0G",
        "1.0.0 1 100 Rx d 1 01",
        "1.0 CANFD 1 Rx 300 1 0 9 11 11 c2 03 04 05 06 07 08 09 0a 0b",
        "1.0 CANFD 1 Rx 300 2 0 1 1 01",
        "1.0 CANFD 1 Up 300 1 0 1 1 01",
        "base oct",
    ] {
        let text = format!("base hex\n1.0 1 64 Rx d 0\n{line}\n2.0 1 64 Rx d 0\n");
        let (frames, counts) = read(text.as_bytes());
        assert_eq!((frames.len(), counts.damaged), (2, 1), "{line}");
        assert_eq!(counts.damage[0].place, Place::Line(3), "{line}");
    }
}

/// Heads as in python-can's samples `test_CanMessage*.trc`; 1.2 from memory.
#[test]
fn trc_of_all_versions() {
    for (text, bus) in [
        (
            ";an old head\n     1)     17535  00000100  2  01 02\n     2)     17540  FFFFFFFF  4  00 00 00 08 -- BUSHEAVY\n     3)  17541  0300  8  RTR\n",
            0,
        ),
        (
            ";$FILEVERSION=1.1\n;$STARTTIME=44548.6028595139\n     1)     17535.0  Tx     00000100  2  01 02\n     2)     17540.3  Warng  FFFFFFFF  4  00 00 00 08  BUSHEAVY\n  3) 17541.0 Rx 0300 8 RTR\n",
            0,
        ),
        (
            ";$FILEVERSION=1.2\n     1)     17535.0 2 Tx     00000100  2  01 02\n  3) 17541.0 1 Rx 0300 8 RTR\n",
            1,
        ),
        (
            ";$FILEVERSION=1.3\n     1)     17535.0 2 Tx     00000100 -  2  01 02\n  3) 17541.0 1 Rx 0300 - 8 RTR\n",
            1,
        ),
        (
            ";$FILEVERSION=2.0\n;$COLUMNS=N,O,T,I,d,l,D\n      1     17535.0 DT 00000100 Tx 2  01 02\n      2     17540.3 ST          Rx    00 00 00 08\n 3 17541.0 RR 0300 Rx 8\n",
            0,
        ),
        (
            ";$FILEVERSION=2.1\n;$COLUMNS=N,O,T,B,I,d,R,L,D\n      1     17535.0 DT 2  00000100 Tx -  2    01 02\n      2     17540.3 ST 1         - Rx -  4    00 00 00 08\n 3 17541.0 RR 1 0300 Rx - 8\n",
            1,
        ),
    ] {
        let (frames, counts) = read(text.as_bytes());
        let expected =
            [frame(17_535_000, bus, "00000100 [01, 02]"), frame(17_541_000, 0, "remote")];
        assert_eq!(frames, expected, "{text}");
        assert_eq!((counts.format, counts.damaged), (Some(CaptureFormat::Trc), 0), "{text}");
    }
}

fn object(kind: u32, time_ns: u64, body: &[u8]) -> Vec<u8> {
    let mut object = b"LOBJ".to_vec();
    object.extend(32_u16.to_le_bytes());
    object.extend(1_u16.to_le_bytes());
    object.extend((32 + body.len() as u32).to_le_bytes());
    object.extend(kind.to_le_bytes());
    object.extend([2, 0, 0, 0, 0, 0, 0, 0]);
    object.extend(time_ns.to_le_bytes());
    object.extend(body);
    object
}

fn message(time_ns: u64, byte: u8) -> Vec<u8> {
    object(1, time_ns, &[1, 0, 0, 1, 0x23, 1, 0, 0, byte, 0, 0, 0, 0, 0, 0, 0])
}

fn container(method: u16, content_len: usize, packed: &[u8]) -> Vec<u8> {
    let mut object = b"LOBJ".to_vec();
    object.extend([16, 0, 1, 0]);
    object.extend((32 + packed.len() as u32).to_le_bytes());
    object.extend(10_u32.to_le_bytes());
    object.extend(method.to_le_bytes());
    object.extend([0; 6]);
    object.extend((content_len as u32).to_le_bytes());
    object.extend([0; 4]);
    object.extend(packed);
    object.extend(vec![0; packed.len() % 4]);
    object
}

fn file(objects: &[Vec<u8>]) -> Vec<u8> {
    let mut file = b"LOGG".to_vec();
    file.extend(144_u32.to_le_bytes());
    file.resize(144, 0);
    file.extend(objects.concat());
    file
}

#[test]
fn blf_objects_go_on_in_the_next_container() {
    let content = [message(1_000, 1), message(2_000, 2), message(3_000, 3)].concat();
    let (one, two) = content.split_at(70);
    let bytes = file(&[container(0, one.len(), one), container(0, two.len(), two)]);
    let (frames, counts) = read(&bytes);
    let expected = [frame(1, 0, "123 [01]"), frame(2, 0, "123 [02]"), frame(3, 0, "123 [03]")];
    assert_eq!(frames, expected);
    assert_eq!((counts.format, counts.damaged), (Some(CaptureFormat::Blf), 0));
}

#[test]
fn blf_damage_costs_no_other_object() {
    let mut wrong = message(2_000, 2);
    // A length of 4 GB.
    wrong[8..12].fill(0xFF);
    let content = [message(1_000, 1), wrong, message(3_000, 3)].concat();
    let bytes = file(&[
        container(0, content.len(), &content),
        b"\x01\x02nothing".to_vec(),
        container(2, 100, b"no zlib"),
        container(9, 100, b"?"),
        container(0, 48, &message(4_000, 4)),
        // Says to have more than the file.
        container(0, 48, &message(5_000, 5))[..60].to_vec(),
    ]);
    let (frames, counts) = read(&bytes);
    let times: Vec<i64> = frames.iter().map(|f| f.0).collect();
    assert_eq!(times, [1, 3, 4]);
    assert!(counts.damaged >= 5, "{counts:?}");
    assert!(matches!(counts.damage[0].place, Place::Byte(144)));
}

proptest! {
    /// However bytes are cut, and whatever they are.
    #[test]
    fn pieces_make_no_difference(
        format in 0..4_usize,
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12),
        piece in 1..200_usize,
    ) {
        let content = [message(1_000, 1), message(2_000, 2), message(3_000, 3)].concat();
        let mut bytes = match format {
            0 => ASC.as_bytes().to_vec(),
            1 => b";$FILEVERSION=2.1\n;$COLUMNS=N,O,T,B,I,d,R,L,D\n 1 1.0 DT 1 0300 Rx - 2 00 00\n".repeat(3),
            2 => b"(1.0) can0 123#1122\n  can0  123  [2]  11 22\n".repeat(4),
            _ => file(&[container(0, 70, &content[..70]), container(0, 74, &content[70..]), message(9, 9)]),
        };
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let whole = read(&bytes);
        prop_assert_eq!(read_in_pieces(&bytes, piece), whole);
    }
}
