//! BLF recordings whose lengths lie or that are cut: what is damaged is told, and costs only
//! itself.

use underbrush_agent::source::capture::{CaptureCounts, CaptureReader, Event, Place};

const HEAD: usize = 144;

fn object(kind: u32, length: Option<u32>, body: &[u8]) -> Vec<u8> {
    let length = length.unwrap_or(32 + body.len() as u32);
    let mut object = b"LOBJ".to_vec();
    object.extend([32, 0, 1, 0]);
    object.extend(length.to_le_bytes());
    object.extend(kind.to_le_bytes());
    object.extend([2, 0, 0, 0, 0, 0, 0, 0]);
    object.extend(1_000_u64.to_le_bytes());
    object.extend(body);
    object
}

fn message(length: Option<u32>) -> Vec<u8> {
    object(1, length, &[1, 0, 0, 8, 0x23, 1, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8])
}

/// A `CAN_FD_MESSAGE` that says to have `len` bytes, of which 64 are there.
fn fd(len: u8) -> Vec<u8> {
    let mut body = vec![1, 0, 0, 15, 0x23, 1, 0, 0, 0, 0, 0, 0, 0, 0, len, 0, 0, 0, 0, 0];
    body.extend([7; 64]);
    object(100, None, &body)
}

fn file(objects: &[Vec<u8>]) -> Vec<u8> {
    let mut file = b"LOGG".to_vec();
    file.extend(144_u32.to_le_bytes());
    file.resize(HEAD, 0);
    file.extend(objects.concat());
    file
}

/// How many frames came before the end of the file, how many in all, and the counts.
fn read(bytes: &[u8]) -> (usize, usize, CaptureCounts) {
    let mut reader = CaptureReader::new(None);
    let mut frames = 0;
    // The format is known after so many bytes; what follows is read as it comes.
    let mut each = |event: Event<'_>| frames += usize::from(matches!(event, Event::Frame(_)));
    reader.push(bytes, &mut each);
    let mut more = 0;
    reader.end(&mut |event| more += usize::from(matches!(event, Event::Frame(_))));
    (frames, frames + more, reader.counts())
}

fn reasons(counts: &CaptureCounts) -> Vec<(Place, &'static str)> {
    counts.damage.iter().map(|damage| (damage.place, damage.reason)).collect()
}

#[test]
fn an_object_shorter_than_its_head_is_told() {
    for length in [0, 1, 8, 15] {
        let bytes = file(&[message(None), message(Some(length)), message(None)]);
        let (_, frames, counts) = read(&bytes);
        let place = Place::Byte((HEAD + 48) as u64);
        assert_eq!(reasons(&counts), [(place, "an object has an impossible length")], "{length}");
        assert_eq!(frames, 2, "{length}");
    }
}

/// Nobody waits for 4 GB that never come: what follows is read at once.
#[test]
fn an_object_longer_than_any_is_told_and_holds_nothing_up() {
    for length in [(16 << 20) + 1, u32::MAX] {
        let mut objects = vec![message(Some(length))];
        objects.extend(vec![message(None); 2_000]);
        let (before_end, frames, counts) = read(&file(&objects));
        let told = reasons(&counts);
        assert_eq!(told, [(Place::Byte(144), "an object has an impossible length")], "{length}");
        assert!(before_end >= 1_990 && frames == 2_000, "{length}: {before_end}, {frames}");
    }
}

/// A length that is possible and wrong takes what it covers, no more.
#[test]
fn an_object_that_covers_its_neighbours_costs_them_only() {
    let bytes = file(&[message(Some(96)), message(None), message(None)]);
    let (_, frames, counts) = read(&bytes);
    assert_eq!((frames, counts.damaged), (2, 0));
    let bytes = file(&[message(None), message(Some(1_000)), message(None)]);
    let (_, frames, counts) = read(&bytes);
    assert_eq!((frames, counts.damaged), (2, 1), "{:?}", reasons(&counts));
}

#[test]
fn an_object_too_short_for_its_frame_is_told() {
    // Between head and data: the length of the head is believed by its version.
    for length in [16, 20, 31, 32, 40, 47] {
        let short = message(Some(length))[..length as usize].to_vec();
        let (_, frames, counts) = read(&file(&[message(None), short, message(None)]));
        let told: Vec<_> = counts.damage.iter().map(|damage| damage.reason).collect();
        assert_eq!(told, ["an object of a frame is too short"], "{length}");
        assert_eq!(frames, 2, "{length}");
    }
    for (len, damaged) in [(64, 0), (65, 1), (255, 1)] {
        let (_, frames, counts) = read(&file(&[fd(len), message(None)]));
        assert_eq!((frames as u64, counts.damaged), (2 - damaged, damaged), "{len}");
    }
}

#[test]
fn a_file_cut_anywhere_gives_all_whole_frames_and_tells_the_cut() {
    let bytes = file(&[message(None), fd(64), message(None), message(None)]);
    let ends = [HEAD, HEAD + 48, HEAD + 164, HEAD + 212, HEAD + 260];
    for cut in 8..=bytes.len() {
        let (_, frames, counts) = read(&bytes[..cut]);
        let whole = ends.iter().skip(1).filter(|end| **end <= cut).count();
        assert_eq!(frames, whole, "cut at {cut}");
        let between = !ends.contains(&cut);
        assert_eq!(counts.damaged > 0, between, "cut at {cut}: {:?}", reasons(&counts));
    }
}
