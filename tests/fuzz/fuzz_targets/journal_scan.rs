//! Any bytes as a journal; then the same bytes as the body of a batch whose checksums hold.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::journal::{BatchWriter, scan};
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};

fuzz_target!(|data: &[u8]| {
    if let Ok(header) = Header::read(FileKind::Journal, data) {
        read(data, header.len, header.salt);
    }
    read(data, 0, [0; 4]);
    whole_batch(data);
});

fn read(file: &[u8], from: usize, salt: [u8; 4]) -> Vec<Entry> {
    let mut entries = Vec::new();
    let found = scan(file, from, salt, |entry| entries.push(entry));
    assert!(found.whole_until <= file.len());
    assert!(found.whole_until + found.torn_bytes <= file.len());
    for range in &found.damaged {
        assert!(range.start < range.end && range.end <= found.whole_until);
    }
    assert!(entries.is_sorted_by_key(Entry::at) || found.batches > 1);
    entries
}

fn whole_batch(data: &[u8]) {
    let Some((base, body)) = data.split_first_chunk::<8>() else { return };
    let identity = Identity { machine: "F".into(), boot: 1, segment: 1, agent: "0".into() };
    let mut file = Header::write(FileKind::Journal, &identity);
    let header = Header::read(FileKind::Journal, &file).expect("our own header");
    file.extend_from_slice(b"UBJ\xB5");
    let covered_from = file.len();
    file.extend_from_slice(&(body.len() as u32).to_le_bytes());
    file.extend_from_slice(&0_u32.to_le_bytes());
    file.extend_from_slice(base);
    let crc = log_crc(&[&header.salt, &file[covered_from..]]);
    file.extend_from_slice(&crc.to_le_bytes());
    file.extend_from_slice(body);
    let crc = log_crc(&[&header.salt, &file[covered_from..]]);
    file.extend_from_slice(&crc.to_le_bytes());
    let entries = read(&file, header.len, header.salt);

    // What was read can be written, and is read the same again.
    let mut writer = BatchWriter::new(header.salt);
    let mut again = Vec::new();
    let mut last = entries.first().map(Entry::at).unwrap_or_default();
    for entry in &entries {
        // A step inside a batch is a u32; the agent closes a batch long before.
        if entry.at().since(last) > u64::from(u32::MAX) {
            writer.close(&mut again);
        }
        last = entry.at();
        match entry {
            Entry::Reading(reading) => writer.reading(*reading),
            Entry::Note(at, note) => writer.note(*at, note),
        }
        if writer.is_full() {
            writer.close(&mut again);
        }
    }
    writer.close(&mut again);
    assert_eq!(read(&again, 0, header.salt), entries);
}
