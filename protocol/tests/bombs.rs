//! Files that claim far more than they hold: memory and work stay in bounds.
//!
//! All checksums in them hold, as in a file that someone made on purpose. Work is
//! counted by what comes out; processor time is only bounded roughly (see `contained`).
#![cfg(target_os = "linux")]

mod contained;

use contained::contained;
use underbrush_protocol::archive::{MAX_ENTRIES, Reader};
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::journal::{MAX_BODY, scan};
use underbrush_protocol::log::{FileKind, Header, Identity};
use underbrush_protocol::settings::machine::Machine;
use underbrush_protocol::settings::{MAX_TEXT, SettingsError};

/// The largest number of a u32, as a varint.
const HUGE: [u8; 5] = [0xFF, 0xFF, 0xFF, 0xFF, 0x0F];
/// 65,536 as a varint.
const MOST: [u8; 3] = [0x80, 0x80, 0x04];

fn begin(kind: FileKind) -> (Vec<u8>, [u8; 4]) {
    let identity = Identity { machine: "B".into(), boot: 1, segment: 1, agent: "0".into() };
    let file = Header::write(kind, &identity);
    let salt = Header::read(kind, &file).unwrap().salt;
    (file, salt)
}

/// Appends a block around `body`, saying that the body has `len` bytes.
fn put_block(file: &mut Vec<u8>, salt: [u8; 4], len: u32, body: &[u8]) {
    file.extend_from_slice(b"UBA\xB5");
    let covered = file.len();
    file.extend_from_slice(&len.to_le_bytes());
    file.extend_from_slice(&[0; 20]);
    file.extend_from_slice(&log_crc(&[&salt, &file[covered..]]).to_le_bytes());
    file.extend_from_slice(body);
    file.extend_from_slice(&log_crc(&[&salt, &file[covered..]]).to_le_bytes());
}

fn block(body: &[u8]) -> Vec<u8> {
    let (mut file, salt) = begin(FileKind::Archive);
    put_block(&mut file, salt, body.len() as u32, body);
    file
}

fn put_index(file: &mut Vec<u8>, salt: [u8; 4], body: &[u8]) {
    let offset = (file.len() as u64).to_le_bytes();
    let len = (body.len() as u32).to_le_bytes();
    file.extend_from_slice(b"UBI\xB5");
    file.extend_from_slice(&len);
    file.extend_from_slice(body);
    file.extend_from_slice(&log_crc(&[&salt, &len, body]).to_le_bytes());
    file.extend_from_slice(&offset);
    file.extend_from_slice(&log_crc(&[&salt, &offset]).to_le_bytes());
    file.extend_from_slice(b"UBEND\n");
}

/// Rows of all blocks that can be read; `None` for each that cannot.
fn rows(file: &[u8]) -> Vec<Option<usize>> {
    let reader = Reader::open(file).unwrap();
    let blocks = reader.index().blocks.iter();
    blocks.map(|entry| reader.block(entry).ok().map(|block| block.rows())).collect()
}

/// No notes, `sets` sets of `rows` equal times, `columns` columns of one value.
fn constant(sets: u8, rows: &[u8], columns: u8) -> Vec<u8> {
    let mut body = vec![0, sets];
    for _ in 0..sets {
        body.extend_from_slice(rows);
        body.extend_from_slice(&[0, 0]);
    }
    body.push(columns);
    for channel in 1..=columns {
        body.extend_from_slice(&[channel, 0, 0, 1]);
    }
    body
}

#[test]
fn the_smallest_block_expands_to_the_most_entries_and_no_further() {
    let name = "the_smallest_block_expands_to_the_most_entries_and_no_further";
    let one_more = [0x81, 0x80, 0x04];
    let build = || {
        [
            constant(1, &MOST, 1),
            constant(1, &MOST, 2),
            constant(3, &MOST, 0),
            constant(1, &one_more, 0),
        ]
    };
    contained(name, 4, build, |bodies| {
        assert!(bodies[0].len() <= 16);
        assert_eq!(rows(&block(&bodies[0])), [Some(MAX_ENTRIES)]);
        for more in &bodies[1..] {
            assert_eq!(rows(&block(more)), [None], "{more:02x?}");
        }
    });
}

#[test]
fn lengths_and_counts_are_not_believed() {
    let with = |tag: &[u8]| [&[0, 1, 8][..], tag, &HUGE].concat();
    let build = || {
        let bodies = [
            HUGE.to_vec(),                        // bytes of notes
            constant(255, &HUGE, 255),            // rows
            constant(255, &MOST, 255),            // sets
            [&[0, 0, 255][..], &[0; 9]].concat(), // columns
            with(&[2]),                           // bytes of a pco file
            with(&[3]),                           // a difference
            [&[5, 0x80, 0][..], &HUGE].concat(),  // bytes of a note
        ];
        let mut files: Vec<Vec<u8>> = bodies.iter().map(|body| block(body)).collect();
        let (mut file, salt) = begin(FileKind::Archive);
        put_block(&mut file, salt, u32::MAX, &[0; 64]);
        files.push(file);
        files
    };
    contained("lengths_and_counts_are_not_believed", 4, build, |files| {
        for (number, file) in files.iter().enumerate() {
            assert!(rows(file).iter().flatten().sum::<usize>() == 0, "file {number}");
        }
    });
}

#[test]
fn an_index_of_four_billion_entries_is_no_index() {
    let build = || {
        [HUGE.to_vec(), [&[0][..], &HUGE].concat()].map(|body| {
            let (mut file, salt) = begin(FileKind::Archive);
            put_index(&mut file, salt, &body);
            file
        })
    };
    contained("an_index_of_four_billion_entries_is_no_index", 4, build, |files| {
        for file in files {
            let reader = Reader::open(file).unwrap();
            assert!(reader.damage().index_rebuilt && reader.index().blocks.is_empty());
        }
    });
}

#[test]
fn an_index_cannot_have_one_block_read_again_and_again() {
    let build = || {
        let (mut file, salt) = begin(FileKind::Archive);
        let offset = file.len() as u8;
        let body = constant(1, &MOST, 1);
        put_block(&mut file, salt, body.len() as u32, &body);
        let len = file.len() as u8 - offset;
        let mut index = vec![0xA0, 0x8D, 0x06]; // 100,000
        for _ in 0..100_000 {
            index.extend_from_slice(&[offset, len, 0, 0, 0]);
        }
        index.push(0);
        put_index(&mut file, salt, &index);
        file
    };
    contained("an_index_cannot_have_one_block_read_again_and_again", 16, build, |file| {
        assert_eq!(rows(file), [Some(MAX_ENTRIES)]);
        assert!(Reader::open(file).unwrap().damage().index_rebuilt);
    });
}

#[test]
fn a_block_of_two_million_notes_is_no_block() {
    let build = || {
        let notes = [0x80, 0, 1, 6].repeat((8 << 20) / 4 - 4);
        let len = notes.len() as u32;
        let mut body = Vec::with_capacity(8 << 20);
        // 4 bytes of varint.
        body.extend((0..4).map(|i| (len >> (7 * i)) as u8 & 0x7F | if i < 3 { 0x80 } else { 0 }));
        body.extend_from_slice(&notes);
        body.extend_from_slice(&[0, 0]);
        block(&body)
    };
    contained("a_block_of_two_million_notes_is_no_block", 24, build, |file| {
        assert_eq!(rows(file), [None]);
    });
}

/// pco reads sizes of its own from the column: each byte of a good one is changed.
#[test]
fn damaged_pco_columns_take_no_more_than_their_rows() {
    let build = || {
        let values: Vec<i32> = (0..600).map(|i| i * 7919 % 1013 - i * i % 37).collect();
        let config = pco::ChunkConfig::default();
        pco::standalone::simple_compress(&values, &config).unwrap()
    };
    contained("damaged_pco_columns_take_no_more_than_their_rows", 16, build, |good| {
        std::panic::set_hook(Box::new(|_| {}));
        let read = |coded: &[u8]| {
            let mut body = vec![0, 1, 0xD8, 0x04, 1, 0, 2, 1, 1, 0, 2];
            body.extend_from_slice(&[coded.len() as u8 | 0x80, (coded.len() >> 7) as u8]);
            body.extend_from_slice(coded);
            rows(&block(&body)) == [Some(600)]
        };
        assert!(read(good) && good.len() < 1 << 14);
        let mut refused = 0;
        for at in 0..good.len() {
            for change in [0x01, 0x80, 0xFF] {
                let mut bad = good.clone();
                bad[at] ^= change;
                refused += usize::from(!read(&bad));
            }
        }
        assert!(refused > 20, "{refused}");
    });
}

fn put_batch(file: &mut Vec<u8>, salt: [u8; 4], len: u32, body: &[u8], good: bool) {
    file.extend_from_slice(b"UBJ\xB5");
    let covered = file.len();
    file.extend_from_slice(&len.to_le_bytes());
    file.extend_from_slice(&[0; 12]);
    file.extend_from_slice(&log_crc(&[&salt, &file[covered..]]).to_le_bytes());
    file.extend_from_slice(body);
    let crc = log_crc(&[&salt, &file[covered..]]);
    file.extend_from_slice(&if good { crc } else { !crc }.to_le_bytes());
}

/// Each 28 bytes are a batch that says it has 65,536 bytes: to check each would be
/// to read 8 MiB some 2,000 times over.
#[test]
fn batches_inside_batches_are_skipped_at_once() {
    let build = || {
        let (mut file, salt) = begin(FileKind::Journal);
        let from = file.len();
        while file.len() < 8 << 20 {
            put_batch(&mut file, salt, MAX_BODY as u32, &[], false);
        }
        (file, from, salt)
    };
    contained("batches_inside_batches_are_skipped_at_once", 4, build, |(file, from, salt)| {
        let found = scan(file, *from, *salt, |_| panic!("there is no entry in it"));
        assert_eq!(found.batches, 0);
        let whole = (file.len() - from) / (MAX_BODY + 28);
        assert!((found.bad_bodies as usize) <= whole + 1, "{}", found.bad_bodies);
    });
}

#[test]
fn a_journal_gives_no_more_entries_than_its_bytes_allow() {
    let build = || {
        let (mut file, salt) = begin(FileKind::Journal);
        let from = file.len();
        put_batch(&mut file, salt, u32::MAX, &[0; 64], true);
        let entries = [1, 0, 0].repeat(MAX_BODY / 3);
        put_batch(&mut file, salt, entries.len() as u32, &entries, true);
        let huge_note = [&[0x80, 0][..], &HUGE, &[0; 64]].concat();
        put_batch(&mut file, salt, huge_note.len() as u32, &huge_note, true);
        (file, from, salt)
    };
    contained("a_journal_gives_no_more_entries_than_its_bytes_allow", 4, build, |journal| {
        let (file, from, salt) = journal;
        let mut entries = 0;
        // The batches have one number, so the second of them is an old copy.
        scan(file, *from, *salt, |_| entries += 1);
        assert_eq!(entries, MAX_BODY / 3);
    });
}

fn refused(text: &str) -> SettingsError {
    Machine::parse("machine.toml", text).unwrap_err()
}

#[test]
fn nested_settings_are_refused_before_the_stack_ends() {
    let deep = |open: &str, close: &str| {
        let times = MAX_TEXT / (open.len() + close.len()) - 8;
        format!("id = {}{}", open.repeat(times), close.repeat(times))
    };
    let build = || {
        [
            deep("[", "]"),
            deep("[", ""),
            deep("{a=", "}"),
            format!("{}a = 1", "a.".repeat(MAX_TEXT / 2 - 8)),
            format!("[{}a]", "a.".repeat(MAX_TEXT / 2 - 8)),
            format!("[[{}a]]", "a.".repeat(MAX_TEXT / 2 - 8)),
        ]
    };
    contained("nested_settings_are_refused_before_the_stack_ends", 128, build, |texts| {
        for text in texts {
            let error = refused(text);
            assert!(error.message.len() < 4096, "{} bytes of message", error.message.len());
        }
    });
}

#[test]
fn settings_of_a_mebibyte_take_bounded_memory() {
    let build = || {
        let lines = |line: &dyn Fn(usize) -> String| {
            let mut text = String::with_capacity(MAX_TEXT);
            let mut number = 0;
            while text.len() < MAX_TEXT - 64 {
                text.push_str(&line(number));
                number += 1;
            }
            text
        };
        [
            lines(&|n| format!("k{n}=1\n")),
            lines(&|n| format!("[t{n}]\n")),
            lines(&|_| "[[signal]]\n".to_owned()),
            lines(&|_| "\n".to_owned()),
            format!("id = [{}]", "1,".repeat(MAX_TEXT / 2 - 8)),
            format!("id = \"{}\"", "a".repeat(MAX_TEXT - 16)),
        ]
    };
    contained("settings_of_a_mebibyte_take_bounded_memory", 128, build, |texts| {
        for text in texts {
            refused(text);
        }
    });
}

#[test]
fn longer_settings_are_not_parsed_at_all() {
    let build = || "[".repeat(64 << 20);
    contained("longer_settings_are_not_parsed_at_all", 1, build, |text| {
        let error = refused(text).to_string();
        assert!(error.starts_with("machine.toml: it has 67108864 bytes"), "{error}");
    });
}
