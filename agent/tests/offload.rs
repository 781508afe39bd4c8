//! Offload to a stick that is pulled, fails, is full or lies, against the machine's log.

mod common;

use common::archives::{HOUR_MS, archive, archive_name, content, put};
use common::dice::Dice;
use common::disk::Disk;
use common::power::Kept;
use common::pulled::{Side, Trouble, sides};
use std::collections::BTreeMap;
use underbrush_agent::offload::{Offload, Stop, copy_log};
use underbrush_agent::record::{COPIED_LIST, ListFile, Storage};

const PLACE: u64 = 0x1234_5678_9ABC_DEF0;
/// 2026-11-23T22:00:00Z by `date -u -d @1795471200` (GNU coreutils).
const START_MS: i64 = 1_795_471_200_000;
const LIST: &str = "offload.list";
const LIVE: &str = "boot-00000003.part-0001.journal";

/// Three archives, one of them of several pieces, one damaged; a live journal.
fn machine() -> Disk {
    let disk = Disk::default();
    for (boot, part, readings) in [(1, 1, 300), (1, 2, 34_000), (2, 1, 200)] {
        let utc = START_MS + i64::from(boot * 24 + part) * HOUR_MS;
        put(
            &disk,
            &archive_name(boot, part).to_string(),
            &archive(boot, part, Some(utc), readings),
        );
    }
    put(&disk, LIVE, &[0x55; 5_000]);
    put(&disk, "boot-00000002.part-0002.journal.unread", &[0x5A; 100]);
    put(&disk, "agent.lock", b"4711\n");
    put(&disk, "boot-00000003.part-0001.archive.tmp", b"half");
    disk
}

fn log_files(disk: &Disk) -> BTreeMap<String, Vec<u8>> {
    let endings = [".archive", ".journal", ".journal.unread"];
    let ours = |name: &str| endings.iter().any(|ending| name.ends_with(ending));
    disk.contents().into_iter().filter(|(name, _)| ours(name)).collect()
}

fn run(machine: &Side, stick: &Side, check: bool) -> Option<Offload> {
    copy_log(machine, stick, "T1", check, PLACE, &|| Ok(None)).ok()
}

fn run_whole(machine: &Disk, stick: &Disk, check: bool) -> Offload {
    let (machine, stick) = sides(machine, stick);
    run(&machine, &stick, check).unwrap()
}

fn is_half(name: &str) -> bool {
    name.strip_suffix(".part").is_some()
}

/// No archive is half there, and nothing is confirmed that is not there.
#[track_caller]
fn assert_honest(machine: &Disk, stick: &Disk, context: &str) {
    let there = log_files(stick);
    for (name, bytes) in there.iter().filter(|(name, _)| name.ends_with(".archive")) {
        assert!(content(machine, name).as_ref() == Some(bytes), "{context}: {name} is not whole");
    }
    let list = ListFile::parse(&content(machine, COPIED_LIST).unwrap_or_default());
    assert_eq!(list.bad_lines, 0, "{context}");
    for line in &list.lines {
        let copy = there.get(&line.name.to_string());
        assert!(copy.is_some(), "{context}: {} is confirmed and not there", line.name);
    }
}

/// The stick holds the machine's log and the list, nothing else; all archives are confirmed.
#[track_caller]
fn assert_equal(machine: &Disk, stick: &Disk, context: &str) {
    let mut wanted = log_files(machine);
    let list = content(stick, LIST).unwrap_or_default();
    wanted.insert(LIST.to_owned(), list);
    let there: BTreeMap<_, _> = stick.contents().into_iter().collect();
    assert!(wanted.keys().eq(there.keys()), "{context}: {:?}", there.keys());
    assert!(wanted == there, "{context}: contents differ");
    for list in [content(machine, COPIED_LIST), content(stick, LIST)] {
        let list = ListFile::parse(&list.unwrap());
        let names: Vec<String> = list.lines.iter().map(|line| line.name.to_string()).collect();
        let archives = wanted.keys().filter(|name| name.ends_with(".archive"));
        assert!(archives.eq(names.iter()) && list.bad_lines == 0, "{context}: {names:?}");
    }
}

#[test]
fn everything_is_copied_once() {
    let (machine, stick) = (machine(), Disk::default());
    let first = run_whole(&machine, &stick, false);
    assert_eq!((first.copied, first.already, first.snapshots, first.confirmed), (3, 0, 2, 3));
    assert_eq!(first.exit_code(), 0, "{first}");
    assert!(first.to_string().ends_with("safe to pull the stick now\n"), "{first}");
    assert_equal(&machine, &stick, "first");
    let ends = ListFile::parse(&content(&machine, COPIED_LIST).unwrap());
    assert_eq!(ends.lines[0].end.unwrap().0, START_MS + 26 * HOUR_MS);

    let written = stick.state().written;
    let second = run_whole(&machine, &stick, false);
    assert_eq!((second.copied, second.already, second.reread), (0, 3, 0));
    assert_eq!((second.snapshots, second.confirmed, second.exit_code()), (0, 0, 0));
    assert_eq!(stick.state().written, written, "nothing is written again");

    let checked = run_whole(&machine, &stick, true);
    assert_eq!((checked.copied, checked.already, checked.reread), (0, 3, 3));
}

#[test]
fn a_journal_is_replaced_by_its_archive() {
    let (machine, stick) = (machine(), Disk::default());
    run_whole(&machine, &stick, false);
    put(&machine, LIVE, &[0x66; 9_000]);
    let grown = run_whole(&machine, &stick, false);
    assert_eq!((grown.copied, grown.snapshots), (0, 1));
    assert_equal(&machine, &stick, "grown");
    put(&machine, &archive_name(3, 1).to_string(), &archive(3, 1, None, 500));
    machine.damage(COPIED_LIST, |_| {});
    // Sealed, but the power went before the journal was removed.
    let sealed = run_whole(&machine, &stick, false);
    assert_eq!((sealed.copied, sealed.snapshots, sealed.snapshots_removed), (1, 0, 1));
    assert!(content(&stick, LIVE).is_none());
}

fn operations() -> usize {
    let (machine, stick) = sides(&machine(), &Disk::default());
    run(&machine, &stick, false).unwrap();
    let count = machine.script.lock().unwrap().operations;
    assert!(count > 60, "{count}");
    count
}

#[test]
fn a_stick_pulled_at_any_operation_ends_equal() {
    let operations = operations();
    let mut dice = Dice::new(1);
    let kept = [Kept::Nothing, Kept::All, Kept::Any];
    for trouble in [Trouble::Pulled, Trouble::Dark] {
        for at in 0..operations {
            for kept in kept {
                let context = format!("{trouble:?} at operation {at}, {kept:?} kept");
                let (log, stick) = (machine(), Disk::default());
                let (log_side, stick_side) = sides(&log, &stick);
                log_side.script.lock().unwrap().trouble = Some((at, trouble));
                if let Some(report) = run(&log_side, &stick_side, false) {
                    let end = trouble == Trouble::Pulled || report.exit_code() != 0;
                    assert!(end, "{context}: {report}");
                }
                let stick = stick.after_power_cut(kept, &mut dice);
                let log = match trouble {
                    Trouble::Dark => log.after_power_cut(kept, &mut dice),
                    _ => log,
                };
                assert_honest(&log, &stick, &context);
                let again = run_whole(&log, &stick, false);
                assert_eq!(again.exit_code(), 0, "{context}: {again}");
                assert_equal(&log, &stick, &context);
            }
        }
    }
}

#[test]
fn an_error_at_any_operation_is_told_or_harmless() {
    let mut quiet = 0;
    for at in 0..operations() {
        let context = format!("operation {at} fails");
        let (log, stick) = (machine(), Disk::default());
        let (log_side, stick_side) = sides(&log, &stick);
        log_side.script.lock().unwrap().trouble = Some((at, Trouble::Fails));
        let report = run(&log_side, &stick_side, false);
        assert_honest(&log, &stick, &context);
        if report.is_some_and(|report| report.exit_code() == 0) {
            quiet += 1;
            // Nothing that matters failed.
            assert_eq!(log_files(&log), log_files(&stick), "{context}");
        }
        run_whole(&log, &stick, false);
        assert_equal(&log, &stick, &context);
    }
    assert!(quiet < 25, "{quiet} errors without a word");
}

#[test]
fn a_bit_that_changes_on_the_stick_is_caught() {
    for bit in (0..8_000).step_by(37) {
        let (log, stick) = (machine(), Disk::default());
        let (log_side, stick_side) = sides(&log, &stick);
        log_side.script.lock().unwrap().trouble = Some((bit, Trouble::Flips));
        let report = run(&log_side, &stick_side, false).unwrap();
        assert!(log_side.script.lock().unwrap().flipped > 0);
        assert_eq!((report.copied, report.confirmed, report.exit_code()), (0, 0, 2), "{report}");
        assert!(report.to_string().contains("not what was written"), "{report}");
        assert_honest(&log, &stick, &format!("bit {bit}"));
        assert!(content(&log, COPIED_LIST).is_none());
        run_whole(&log, &stick, false);
        assert_equal(&log, &stick, "afterwards");
    }
}

#[test]
fn a_full_stick_keeps_what_it_has() {
    let whole: usize = log_files(&machine()).values().map(Vec::len).sum();
    for boasts in [true, false] {
        let spare = if boasts { 0 } else { 1 << 20 };
        for room in (0..whole + whole / 10).step_by(whole / 60) {
            let context = format!("{room} bytes of room, boasts: {boasts}");
            let (log, stick) = (machine(), Disk::default());
            stick.state().room = Some(room + spare);
            let (log_side, mut stick_side) = sides(&log, &stick);
            stick_side.boasts = boasts;
            let report = run(&log_side, &stick_side, false).unwrap();
            assert_honest(&log, &stick, &context);
            let leavings = stick.contents().iter().any(|(name, _)| is_half(name));
            assert!(!leavings, "{context}: a half file is left");
            if room < whole {
                assert_eq!(report.stopped, Some(Stop::Full), "{context}: {report}");
                assert_eq!(report.exit_code(), 3, "{context}");
                assert!(report.to_string().contains("is full"), "{report}");
            }
            stick.state().room = None;
            run_whole(&log, &stick, false);
            assert_equal(&log, &stick, &context);
        }
    }
}

#[test]
fn another_file_of_the_same_name_is_kept() {
    let (log, stick) = (machine(), Disk::default());
    run_whole(&log, &stick, false);
    let name = archive_name(1, 1).to_string();
    let ours = content(&log, &name).unwrap();
    stick.damage(&name, |bytes| bytes[20] ^= 1);
    let theirs = content(&stick, &name).unwrap();

    // The same length: the lists agree, only --check looks.
    assert_eq!(run_whole(&log, &stick, false).exit_code(), 0);
    for _ in 0..2 {
        let report = run_whole(&log, &stick, true);
        assert_eq!((report.exit_code(), report.conflicts.len()), (3, 1), "{report}");
        assert_eq!(content(&stick, &name).unwrap(), theirs, "the file there is untouched");
        let beside = &report.conflicts[0].1;
        assert_eq!(content(&stick, beside).unwrap(), ours);
        assert!(!beside.ends_with(".archive") && report.to_string().contains(beside));
        let list = ListFile::parse(&content(&log, COPIED_LIST).unwrap());
        assert_eq!(list.lines.len(), 2, "the copy is not believed in any more");
    }
    // A person takes the other one away.
    stick.remove(&name).unwrap();
    assert_eq!(run_whole(&log, &stick, false).exit_code(), 0);
    assert_equal(&log, &stick, "solved");
}

#[test]
fn a_log_directory_that_began_anew_does_not_overwrite_the_old_log() {
    let (old, stick) = (machine(), Disk::default());
    run_whole(&old, &stick, false);
    let before = log_files(&stick);
    let new = Disk::default();
    // As long as the old one, to the byte.
    let name = archive_name(1, 1).to_string();
    let mut bytes = content(&old, &name).unwrap();
    bytes[40] ^= 0xFF;
    put(&new, &name, &bytes);
    let report = run_whole(&new, &stick, false);
    assert_eq!((report.exit_code(), report.conflicts.len()), (3, 1), "{report}");
    assert_eq!(log_files(&stick), before);
    assert!(content(&new, COPIED_LIST).is_none_or(|list| ListFile::parse(&list).lines.is_empty()));
}

#[test]
fn lost_or_torn_lists_only_cost_a_second_look() {
    for (at_machine, at_stick) in [(true, false), (false, true), (true, true)] {
        let (log, stick) = (machine(), Disk::default());
        run_whole(&log, &stick, false);
        if at_machine {
            log.damage(COPIED_LIST, |bytes| bytes.truncate(70));
        }
        if at_stick {
            stick.damage(LIST, |bytes| bytes[3] ^= 4);
        }
        let report = run_whole(&log, &stick, false);
        assert_eq!((report.copied, report.already, report.reread), (0, 3, 3));
        assert_equal(&log, &stick, "again");
        assert_eq!(run_whole(&log, &stick, false).reread, 0);
    }
}

#[test]
fn damaged_archives_are_copied_as_they_are() {
    let (log, stick) = (machine(), Disk::default());
    log.damage(&archive_name(1, 1).to_string(), |bytes| bytes[10..14].fill(0xEE));
    log.damage(&archive_name(2, 1).to_string(), |bytes| bytes.truncate(bytes.len() - 1));
    let report = run_whole(&log, &stick, false);
    let names = [archive_name(1, 1).to_string(), archive_name(2, 1).to_string()];
    assert_eq!((report.damaged.as_slice(), report.exit_code()), (&names[..], 3));
    assert_equal(&log, &stick, "damaged");
    assert_eq!(run_whole(&log, &stick, false).exit_code(), 0, "told once");
}

#[test]
fn leavings_go_even_if_their_archive_is_gone() {
    let (log, stick) = (machine(), Disk::default());
    for leaving in ["boot-00000007.part-0001.archive.part", "offload.list.part"] {
        put(&stick, leaving, b"half");
    }
    put(&stick, "film.part", b"of somebody else");
    let report = run_whole(&log, &stick, false);
    assert_eq!((report.cleaned, report.exit_code()), (2, 0), "{report}");
    let half: Vec<_> = stick.contents().into_iter().filter(|(name, _)| is_half(name)).collect();
    assert_eq!(half, [("film.part".to_owned(), b"of somebody else".to_vec())]);
}

#[test]
fn the_folder_of_another_machine_is_refused() {
    let (log, stick) = (machine(), Disk::default());
    run_whole(&log, &stick, false);
    let before = stick.contents();
    let (log_side, stick_side) = sides(&log, &stick);
    let refused = copy_log(&log_side, &stick_side, "t1", false, PLACE, &|| Ok(None));
    assert!(refused.is_err());
    assert_eq!(stick.contents(), before);
}
