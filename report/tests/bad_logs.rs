//! Logs as they really come: damaged, doubled, of another machine, without a clock.

mod common;

use common::{archive_bytes, drive, fix, identity, judge_dir, machine, site, write_archive};
use proptest::prelude::*;
use std::path::Path;
use tempfile::TempDir;
use underbrush_protocol::journal::BatchWriter;
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};
use underbrush_report::findings::Findings;
use underbrush_report::logset::{FileState, LogError, LogSet, OpenSettings, verify};
use underbrush_report::settings::Book;

fn judged(dir: &Path) -> Findings {
    judge_dir(dir, &machine(), &site(), &Book::default())
}

fn told(found: &Findings, what: &str) -> bool {
    found.data.problems.iter().any(|p| p.message.contains(what))
}

fn ten_minutes(after_ms: i64) -> Vec<Entry> {
    let mut entries = vec![fix(after_ms)];
    entries.extend(drive(0, 600, 600, 20));
    entries
}

fn journal_bytes(identity: &Identity, entries: &[Entry]) -> Vec<u8> {
    let mut bytes = Header::write(FileKind::Journal, identity);
    let mut writer = BatchWriter::new(Header::read(FileKind::Journal, &bytes).unwrap().salt);
    for (i, entry) in entries.iter().enumerate() {
        match entry {
            Entry::Reading(reading) => writer.reading(*reading),
            Entry::Note(at, note) => writer.note(*at, note),
        }
        if i % 20 == 19 {
            writer.close(&mut bytes);
        }
    }
    writer.close(&mut bytes);
    bytes
}

#[test]
fn a_journal_reads_like_its_archive() {
    let (sealed, live) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let entries = ten_minutes(0);
    write_archive(sealed.path(), 1, 1, &entries);
    let bytes = journal_bytes(&identity(1, 1), &entries);
    std::fs::write(live.path().join("boot-00000001.part-0001.journal"), bytes).unwrap();
    let (sealed, live) = (judged(sealed.path()), judged(live.path()));
    assert_eq!(sealed.area, live.area);
    assert_eq!(sealed.ribbon, live.ribbon);
    assert!((live.area.distance.0 - 360.0).abs() < 0.1);
}

#[test]
fn a_journal_beside_its_own_archive_counts_once_and_silently() {
    let dir = TempDir::new().unwrap();
    let entries = ten_minutes(0);
    write_archive(dir.path(), 1, 1, &entries);
    let bytes = journal_bytes(&identity(1, 1), &entries);
    std::fs::write(dir.path().join("boot-00000001.part-0001.journal"), bytes).unwrap();
    let found = judged(dir.path());
    assert!((found.area.distance.0 - 360.0).abs() < 0.1);
    assert_eq!(found.data.problems, vec![]);
}

/// SPEC.md, "Journal": an incomplete header is a file that the power cut at its birth.
#[test]
fn a_journal_cut_at_its_birth_holds_nothing_and_is_no_damage() {
    let header = Header::write(FileKind::Journal, &identity(1, 2));
    for bytes in [&[][..], &header[..9], &[0; 4096]] {
        let dir = TempDir::new().unwrap();
        write_archive(dir.path(), 1, 1, &ten_minutes(0));
        std::fs::write(dir.path().join("boot-00000001.part-0002.journal"), bytes).unwrap();
        let files = verify(dir.path()).unwrap();
        assert_eq!(files.len(), 2);
        assert!(files.iter().all(FileState::is_whole), "{files:?}");
        let found = judged(dir.path());
        assert!((found.area.distance.0 - 360.0).abs() < 0.1);
        assert!(told(&found, "the power went when it was begun"), "{:?}", found.data.problems);
        assert!(found.data.problems.iter().all(|p| !p.data_lost));
        // Any other bytes are no log, and are told as a loss.
        std::fs::write(
            dir.path().join("boot-00000001.part-0003.journal"),
            "no log at all, but a note on the floor",
        )
        .unwrap();
        assert!(!verify(dir.path()).unwrap().iter().all(FileState::is_whole));
        assert!(judged(dir.path()).data.problems.iter().any(|p| p.data_lost));
    }
}

#[test]
fn a_copied_file_counts_once_and_is_told() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    let copy = archive_bytes(&identity(1, 1), &ten_minutes(0));
    std::fs::write(dir.path().join("copy of night.archive"), copy).unwrap();
    let found = judged(dir.path());
    assert!((found.area.distance.0 - 360.0).abs() < 0.1);
    assert!(told(&found, "counted once"), "{:?}", found.data.problems);
}

#[test]
fn another_machines_log_is_left_out_and_told() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    let other = Identity { machine: "T2".to_owned(), ..identity(2, 1) };
    std::fs::write(
        dir.path().join("other.archive"),
        archive_bytes(&other, &ten_minutes(1_000_000)),
    )
    .unwrap();
    let found = judged(dir.path());
    assert!((found.area.distance.0 - 360.0).abs() < 0.1);
    assert!(told(&found, "machine `T2`"), "{:?}", found.data.problems);
}

#[test]
fn overlapping_boots_count_once_and_are_told() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    write_archive(dir.path(), 2, 1, &ten_minutes(300_000));
    let found = judged(dir.path());
    assert!((found.area.distance.0 - 540.0).abs() < 0.5, "{:?}", found.area.distance);
    assert!(
        told(&found, "overlap by 5 min") || told(&found, "overlap by 300 s"),
        "{:?}",
        found.data.problems
    );
}

#[test]
fn an_undated_boot_is_shown_and_can_be_placed() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    write_archive(dir.path(), 2, 1, &drive(0, 600, 600, 20));
    let found = judged(dir.path());
    assert!((found.area.distance.0 - 360.0).abs() < 0.1);
    assert!(
        told(&found, "Power-on 2 (10 min of readings) never learned the time"),
        "{:?}",
        found.data.problems
    );
    assert!(found.data.problems.iter().any(|p| p.data_lost));

    let start = underbrush_protocol::time::UtcMs(common::SHIFT_START + 3_600_000);
    let settings = OpenSettings {
        machine: "T1".to_owned(),
        boot_starts: [(2, start)].into(),
        ..OpenSettings::default()
    };
    let logs = LogSet::open(dir.path(), &settings).unwrap();
    let (machine, site, book) = (machine(), site(), Book::default());
    let inputs = underbrush_report::findings::Inputs {
        logs: &logs,
        machine: &machine,
        site: &site,
        book: &book,
    };
    let placed = underbrush_report::findings::judge(inputs, &common::shift());
    assert!((placed.area.distance.0 - 720.0).abs() < 0.1);
}

#[test]
fn damage_costs_its_block_and_is_told_with_bytes() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    let path = dir.path().join("boot-00000001.part-0001.archive");
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0xff;
    std::fs::write(&path, bytes).unwrap();
    let found = judged(dir.path());
    assert!(told(&found, "are damaged"), "{:?}", found.data.problems);
    // The second of the blocks of four minutes is gone, the rest is there.
    assert!((found.area.distance.0 - 216.0).abs() < 1.0, "{:?}", found.area.distance);
}

#[test]
fn a_missing_part_is_told() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &ten_minutes(0));
    write_archive(dir.path(), 1, 3, &drive(700_000, 60, 600, 20));
    assert!(told(&judged(dir.path()), "1 of 3 log files of power-on 1 are missing"));
}

#[test]
fn nothing_to_read_is_an_error_with_a_reason() {
    let dir = TempDir::new().unwrap();
    let settings = OpenSettings { machine: "T1".to_owned(), ..OpenSettings::default() };
    assert!(matches!(LogSet::open(dir.path(), &settings), Err(LogError::Empty(_))));
    let missing = dir.path().join("none");
    assert!(matches!(LogSet::open(&missing, &settings), Err(LogError::Directory(..))));
    std::fs::write(dir.path().join("a.archive"), b"not a log at all").unwrap();
    let error = LogSet::open(dir.path(), &settings).unwrap_err().to_string();
    assert!(error.contains("a.archive") && error.contains("bytes 0 to 7"), "{error}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn damaged_bytes_never_panic(
        flips in prop::collection::vec((any::<prop::sample::Index>(), 1_u8..), 1..12),
        cut in any::<prop::sample::Index>(),
        kind in 0_u8..2,
    ) {
        let dir = TempDir::new().unwrap();
        let entries = ten_minutes(0);
        let (mut bytes, name) = if kind == 0 {
            (archive_bytes(&identity(1, 1), &entries), "boot-00000001.part-0001.archive")
        } else {
            (journal_bytes(&identity(1, 1), &entries), "boot-00000001.part-0001.journal")
        };
        for (at, flip) in flips {
            let at = at.index(bytes.len());
            bytes[at] ^= flip;
        }
        bytes.truncate(cut.index(bytes.len()) + 1);
        std::fs::write(dir.path().join(name), bytes).unwrap();
        let settings = OpenSettings { machine: "T1".to_owned(), ..OpenSettings::default() };
        match LogSet::open(dir.path(), &settings) {
            Ok(_) => prop_assert!(judged(dir.path()).area.distance.0 <= 360.1),
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.contains(name) || said.contains("they are empty"), "{said}");
            }
        }
    }
}
