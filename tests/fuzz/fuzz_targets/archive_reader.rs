//! Any bytes as an archive; then the same bytes as the body of a block, as one
//! coded column of a block, and as the body of an index, behind checksums that hold.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_protocol::archive::Reader;
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::log::{FileKind, Header, Identity};

fuzz_target!(|data: &[u8]| {
    read(data);
    let identity = Identity { machine: "F".into(), boot: 1, segment: 1, agent: "0".into() };
    let start = Header::write(FileKind::Archive, &identity);
    let header = Header::read(FileKind::Archive, &start).expect("our own header");
    read(&with_block(&start, header.salt, data));
    read(&with_block(&start, header.salt, &coded_column(data)));
    read(&with_index(&start, header.salt, data));
});

fn read(file: &[u8]) {
    let Ok(reader) = Reader::open(file) else { return };
    for range in &reader.damage().ranges {
        assert!(range.start < range.end && range.end <= file.len());
    }
    for entry in &reader.index().blocks {
        let Ok(block) = reader.block(entry) else { continue };
        for column in &block.columns {
            assert_eq!(column.at.len(), column.raw.len());
            assert!(column.at.is_sorted());
        }
    }
}

fn with_block(start: &[u8], salt: [u8; 4], body: &[u8]) -> Vec<u8> {
    let mut file = start.to_vec();
    file.extend_from_slice(b"UBA\xB5");
    let covered_from = file.len();
    file.extend_from_slice(&(body.len() as u32).to_le_bytes());
    file.extend_from_slice(&[0; 20]);
    let crc = log_crc(&[&salt, &file[covered_from..]]);
    file.extend_from_slice(&crc.to_le_bytes());
    file.extend_from_slice(body);
    let crc = log_crc(&[&salt, &file[covered_from..]]);
    file.extend_from_slice(&crc.to_le_bytes());
    file
}

/// A body without notes, with 8 or 600 rows and one column that should be a pco file.
fn coded_column(file: &[u8]) -> Vec<u8> {
    let rows: &[u8] = if file.len() < 64 { &[8] } else { &[0xD8, 0x04] };
    let mut body = [&[0, 1], rows, &[1, 0, 2, 1, 1, 0, 2]].concat();
    let mut len = file.len();
    while len >= 0x80 {
        body.push(len as u8 | 0x80);
        len >>= 7;
    }
    body.push(len as u8);
    body.extend_from_slice(file);
    body
}

fn with_index(start: &[u8], salt: [u8; 4], body: &[u8]) -> Vec<u8> {
    let mut file = start.to_vec();
    let offset = (file.len() as u64).to_le_bytes();
    let len = (body.len() as u32).to_le_bytes();
    file.extend_from_slice(b"UBI\xB5");
    file.extend_from_slice(&len);
    file.extend_from_slice(body);
    file.extend_from_slice(&log_crc(&[&salt, &len, body]).to_le_bytes());
    file.extend_from_slice(&offset);
    file.extend_from_slice(&log_crc(&[&salt, &offset]).to_le_bytes());
    file.extend_from_slice(b"UBEND\n");
    file
}
