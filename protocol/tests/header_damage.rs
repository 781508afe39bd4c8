//! A damaged header: one byte costs nothing, more is refused and never misread.

use underbrush_protocol::log::{FileKind, Header, Identity};

fn header() -> (Vec<u8>, Header) {
    let identity =
        Identity { machine: "S-7".to_owned(), boot: 12, segment: 1, agent: "0.1.0".to_owned() };
    let bytes = Header::write(FileKind::Archive, &identity);
    let whole = Header::read(FileKind::Archive, &bytes).unwrap();
    assert!(!whole.mended);
    (bytes, whole)
}

#[test]
fn any_one_damaged_byte_is_put_right() {
    let (bytes, whole) = header();
    for at in 0..bytes.len() {
        for flip in [0x01, 0x80, 0x5A, 0xFF] {
            let mut file = bytes.clone();
            file[at] ^= flip;
            file.extend_from_slice(&[7; 600]);
            let mended = Header::read(FileKind::Archive, &file);
            let expected = Header { mended: true, ..whole.clone() };
            assert_eq!(mended, Ok(expected), "byte {at} ^ {flip:#x}");
        }
    }
}

#[test]
fn two_damaged_bytes_are_never_read_as_something_else() {
    let (bytes, whole) = header();
    for a in 0..bytes.len() {
        for b in 0..a {
            let mut file = bytes.clone();
            file[a] ^= 0x10;
            file[b] ^= 0x21;
            if let Ok(read) = Header::read(FileKind::Archive, &file) {
                assert_eq!(read.identity, whole.identity, "bytes {a} and {b}");
            }
        }
    }
}
