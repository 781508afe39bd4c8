//! The bytes of fine channels in log format version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. If a test here fails, the code is wrong: disks hold these bytes.

use underbrush_protocol::archive::{Reader, Writer};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::journal::{BatchWriter, scan};
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::Note;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

fn reading(at: u64, channel: u8, raw: i32) -> Entry {
    Entry::Reading(Reading { at: BootMs(at), channel: Channel(channel), raw })
}

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex")).collect()
}

/// Current of motor 1 at normal rate and, behind it, around 5.2 s at full rate.
fn batches() -> [Vec<Entry>; 3] {
    [
        vec![Entry::Note(BootMs(5_000), Note::Started), reading(5_200, 8, 312)],
        vec![reading(5_198, 72, 310), reading(5_199, 72, 315), reading(5_200, 72, 311)],
        vec![reading(5_300, 8, 90)],
    ]
}

#[test]
fn numbers_and_names() {
    let names = [
        (65, "speed_fine"),
        (66, "turn_rate_fine"),
        (72, "brush_current_fine_1"),
        (73, "brush_current_fine_2"),
        (74, "brush_current_fine_3"),
        (75, "brush_current_fine_4"),
        (76, "brush_rotation_fine_1"),
        (77, "brush_rotation_fine_2"),
        (78, "brush_rotation_fine_3"),
        (79, "brush_rotation_fine_4"),
        (84, "battery_voltage_fine"),
        (85, "battery_current_fine"),
    ];
    for (number, name) in names {
        assert_eq!(Channel(number).name(), name);
        assert_eq!(Channel(number - 64).fine(), Some(Channel(number)));
    }
}

#[test]
fn journal() {
    let mut file = Vec::new();
    let mut writer = BatchWriter::new([1, 2, 3, 4]);
    for batch in batches() {
        for entry in batch {
            match entry {
                Entry::Reading(reading) => writer.reading(reading),
                Entry::Note(at, note) => writer.note(at, &note),
            }
        }
        writer.close(&mut file);
    }
    assert_eq!(
        file,
        bytes(
            "55 42 4a b5 09 00 00 00 00 00 00 00 88 13 00 00 00 00 00 00 d5 70 55 be 80 00 01 06 \
         08 c8 01 f0 04 c3 ce 2d f7 55 42 4a b5 0c 00 00 00 01 00 00 00 4e 14 00 00 00 00 00 \
         00 0c 90 ad 3b 48 00 ec 04 48 01 f6 04 48 01 ee 04 ad 01 17 14 55 42 4a b5 04 00 00 \
         00 02 00 00 00 b4 14 00 00 00 00 00 00 94 0c ee 96 08 00 b4 01 c9 db 00 7d"
        )
    );
    let mut read = Vec::new();
    let found = scan(&file, 0, [1, 2, 3, 4], |entry| read.push(entry));
    assert_eq!((found.batches, found.torn_bytes), (3, 0));
    assert_eq!(read, batches().concat());
}

#[test]
fn archive() {
    let identity =
        Identity { machine: "M1".to_owned(), boot: 3, segment: 1, agent: "0".to_owned() };
    let mut writer = Writer::new(&identity).expect("a header");
    for entry in batches().concat() {
        writer.push(entry);
    }
    writer.finish();
    let file = writer.take_bytes();
    assert_eq!(
        file,
        bytes(
            "55 42 41 52 43 48 0a 01 07 00 02 4d 31 03 01 01 30 61 c0 ff c4 55 42 41 b5 14 00 00 \
         00 88 13 00 00 00 00 00 00 b4 14 00 00 00 00 00 00 02 00 00 00 9c 5a 39 b4 04 80 00 \
         01 06 01 02 01 90 03 c8 01 01 08 00 01 f0 04 bb 03 ec 67 aa a5 55 42 41 b5 0e 00 00 \
         00 4e 14 00 00 00 00 00 00 50 14 00 00 00 00 00 00 03 00 00 00 1b da 4e a6 00 01 03 \
         01 00 02 01 48 00 03 ec 04 0a 07 aa 70 10 b6 55 42 49 b5 10 00 00 00 02 15 38 88 27 \
         b4 29 02 4d 32 ce 28 d0 28 03 00 31 d4 d0 08 7f 00 00 00 00 00 00 00 98 da e4 b3 55 \
         42 45 4e 44 0a"
        )
    );
    let reader = Reader::open(&file).expect("an archive");
    let blocks: Vec<_> = reader.index().blocks.iter().map(|b| (b.first.0, b.last.0)).collect();
    assert_eq!(blocks, [(5_000, 5_300), (5_198, 5_200)]);
    let fine = reader.block(&reader.index().blocks[1]).expect("whole");
    assert_eq!(fine.columns.len(), 1);
    let column = &fine.columns[0];
    assert_eq!((column.channel, &*column.at), (Channel(72), &[0, 1, 2][..]));
    assert_eq!(column.raw, [310, 315, 311]);
}
