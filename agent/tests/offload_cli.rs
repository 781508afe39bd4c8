//! `offload` and its lists by the real binary on real files.

mod common;

use common::{Scene, motion, read_log};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;
use underbrush_agent::record::{DirStorage, Durability, Recorder, Rotation, Sealer};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::journal;
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

fn agent(words: &[&str], paths: &[&Path]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"));
    command.args(words).args(paths);
    command
}

/// A recording of `frames` frames becomes one archive more, or several.
fn record(scene: &Scene, frames: u32) {
    let config = scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    let mut encoder = Encoder::default();
    let mut bytes = Vec::new();
    let mut noise = u64::from(frames);
    for i in 0..frames {
        noise = noise.wrapping_mul(0x5851_F42D_4C95_7F2D).wrapping_add(0x1405_7B7E_F767_814F);
        bytes.extend_from_slice(encoder.encode(i * 100, &motion((noise >> 48) as i16)));
    }
    scene.write("night.bytes", &bytes);
    let run = agent(&["run", "--config"], &[&config]).output().unwrap();
    assert_eq!(run.status.code(), Some(0), "{}", String::from_utf8_lossy(&run.stderr));
}

fn offload(scene: &Scene, stick: &Path, more: &[&str]) -> (i32, String) {
    let mut command = agent(&["offload", "--config"], &[&scene.path("agent.toml"), stick]);
    let Output { status, stdout, stderr } = command.args(more).output().unwrap();
    let told = format!("{}{}", String::from_utf8_lossy(&stdout), String::from_utf8_lossy(&stderr));
    (status.code().unwrap(), told)
}

fn stick(scene: &Scene) -> PathBuf {
    let stick = scene.path("stick");
    fs::create_dir_all(&stick).unwrap();
    stick
}

fn archives(dir: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found: Vec<_> = fs::read_dir(dir)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.strip_suffix(".archive").is_some())
        .map(|name| (name.clone(), fs::read(dir.join(name)).unwrap()))
        .collect();
    found.sort();
    found
}

fn has_half_files(dir: &Path) -> bool {
    let half = |name: &str| name.strip_suffix(".part").is_some();
    fs::read_dir(dir).unwrap().any(|e| half(&e.unwrap().file_name().to_string_lossy()))
}

#[track_caller]
fn assert_says(told: &str, what: &str, count: usize) {
    let line = told.lines().find(|line| line.starts_with(what));
    let number = line.and_then(|line| line.split_whitespace().last());
    assert_eq!(number, Some(count.to_string().as_str()), "{told}");
}

#[test]
fn a_log_is_copied_once_and_reads_like_the_log() {
    let scene = Scene::new();
    record(&scene, 2_000);
    record(&scene, 1_000);
    let stick = stick(&scene);
    let (code, told) = offload(&scene, &stick, &[]);
    assert_eq!(code, 1, "the log's own disk is no second place: {told}");
    assert!(told.contains("--same-disk") && fs::read_dir(&stick).unwrap().next().is_none());

    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_eq!(code, 0, "{told}");
    assert_says(&told, "archives copied", 2);
    assert!(told.ends_with("safe to pull the stick now\n"), "{told}");
    let place = stick.join("T1");
    assert_eq!(archives(&place), archives(&scene.log_dir()));
    let (copy, log) = (read_log(&place), read_log(&scene.log_dir()));
    assert_eq!((copy.readings.len(), copy.readings), (3_000, log.readings));

    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_eq!(code, 0, "{told}");
    assert_says(&told, "archives copied", 0);
    assert_says(&told, "already there", 2);
    record(&scene, 500);
    let (_, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_says(&told, "archives copied", 1);
    assert_says(&told, "already there", 2);

    let name = &archives(&place)[0].0;
    let mut bytes = archives(&place)[0].1.clone();
    bytes[100] ^= 1;
    fs::write(place.join(name), bytes).unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk", "--check"]);
    assert!(code == 3 && told.contains("another file of this name is there"), "{told}");
}

#[test]
fn a_kill_in_the_middle_leaves_no_half_archive() {
    let scene = Scene::new();
    for _ in 0..3 {
        record(&scene, 20_000);
    }
    // Files as large as a stick notices, and damaged: they are copied all the same.
    for part in 1..=6 {
        let name = format!("log/boot-00000009.part-{part:04}.archive");
        scene.write(&name, &vec![part; 8 << 20]);
    }
    let stick = stick(&scene);
    let place = stick.join("T1");
    let ours = archives(&scene.log_dir());
    let mut seen_unfinished = 0;
    for wait_ms in (0..40).map(|i| i * 4) {
        let _ = fs::remove_dir_all(&place);
        let _ = fs::remove_file(scene.path("log/copied.list"));
        let mut child =
            agent(&["offload", "--same-disk", "--config"], &[&scene.path("agent.toml")])
                .arg(&stick)
                .stdout(Stdio::null())
                .spawn()
                .unwrap();
        std::thread::sleep(Duration::from_millis(wait_ms));
        child.kill().unwrap();
        child.wait().unwrap();
        if !place.exists() {
            continue;
        }
        for copy in archives(&place) {
            assert!(ours.contains(&copy), "{} is not whole after {wait_ms} ms", copy.0);
        }
        seen_unfinished += usize::from(has_half_files(&place));
    }
    assert!(seen_unfinished > 0, "no kill fell into a copy");
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert!(code == 3 || code == 0, "{told}");
    assert_eq!(archives(&place), ours);
    assert_eq!(offload(&scene, &stick, &["--same-disk"]).0, 0);
    assert!(!has_half_files(&place));
}

#[test]
fn foreign_names_are_left_alone() {
    let scene = Scene::new();
    record(&scene, 100);
    let log = scene.log_dir();
    scene.write("secret", b"not a log");
    symlink(scene.path("secret"), log.join("boot-00000002.part-0001.archive")).unwrap();
    fs::create_dir(log.join("boot-00000003.part-0001.archive")).unwrap();
    symlink("nowhere", log.join("boot-00000004.part-0001.journal")).unwrap();
    scene.write("log/holiday.jpg", b"a picture");
    let stick = stick(&scene);
    // On the stick a link waits where a copy would go.
    fs::create_dir(stick.join("T1")).unwrap();
    scene.write("victim", b"untouched");
    let first = stick.join("T1/boot-00000001.part-0001.archive");
    symlink(scene.path("victim"), first.with_extension("archive.part")).unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_eq!(code, 3, "{told}");
    assert_eq!(told.matches("it is no regular file").count(), 3, "{told}");
    let mut there: Vec<String> = fs::read_dir(stick.join("T1"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    there.sort();
    assert_eq!(there, ["boot-00000001.part-0001.archive", "offload.list"]);
    assert_eq!(fs::read(scene.path("victim")).unwrap(), b"untouched");
    assert!(log.join("boot-00000002.part-0001.archive").is_symlink());

    // The lock there is a link: nothing is made where it points.
    fs::remove_file(stick.join("offload.lock")).unwrap();
    symlink(scene.path("made-by-link"), stick.join("offload.lock")).unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert!(code == 1 && !scene.path("made-by-link").exists(), "{told}");
    fs::remove_file(stick.join("offload.lock")).unwrap();

    // The machine's folder itself is a link.
    fs::remove_dir_all(stick.join("T1")).unwrap();
    symlink(scene.path("log"), stick.join("T1")).unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_eq!(code, 2, "{told}");
}

/// The agent's part is played here: it holds the lock of the log and writes on.
#[test]
fn a_live_journal_is_copied_while_an_agent_records() {
    let scene = Scene::new();
    scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    let storage = DirStorage::open(&scene.log_dir()).unwrap();
    let rotation = Rotation { after_ms: 3_600_000, bytes: 1 << 20 };
    let mut recorder = Recorder::new(storage.clone(), "T1", Durability::Every(1_000), rotation);
    let stick = stick(&scene);
    let copy = stick.join("T1/boot-00000001.part-0001.journal");
    for second in 1..=5_u64 {
        let reading = |i| Reading { at: BootMs(i), channel: Channel::SPEED, raw: i as i32 };
        let mut entries: Vec<Entry> =
            ((second - 1) * 1_000..second * 1_000).map(|i| Entry::Reading(reading(i))).collect();
        recorder.push(BootMs(second * 1_000), &mut entries);
        let (code, told) = offload(&scene, &stick, &["--same-disk"]);
        assert_eq!(code, 0, "{told}");
        assert_says(&told, "open journals copied", 1);
        let bytes = fs::read(&copy).unwrap();
        let header = Header::read(FileKind::Journal, &bytes).unwrap();
        let mut last = None;
        journal::scan(&bytes, header.len, header.salt, |entry| last = Some(entry.at()));
        assert_eq!(last, Some(BootMs(second * 1_000 - 1)));
    }
    recorder.finish(BootMs(5_000));
    let mut sealer = Sealer::new(storage, "T1");
    for name in recorder.take_closed() {
        sealer.seal(name);
    }
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert_eq!(code, 0, "{told}");
    assert_says(&told, "journals replaced by archives", 1);
    assert!(!copy.exists());
    assert_eq!(read_log(&stick.join("T1")).readings.len(), 5_000);
}

#[test]
fn wrong_places_are_told() {
    let scene = Scene::new();
    record(&scene, 10);
    let (code, told) = offload(&scene, &scene.path("not-there"), &[]);
    assert!(code == 1 && told.contains("is the stick mounted?"), "{told}");
    let stick = stick(&scene);
    let lock = fs::File::create(stick.join("offload.lock")).unwrap();
    lock.lock().unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert!(code == 2 && told.contains("another offload copies"), "{told}");
    drop(lock);
    assert_eq!(offload(&scene, &stick, &["--same-disk"]).0, 0);
    fs::remove_dir_all(scene.log_dir()).unwrap();
    let (code, told) = offload(&scene, &stick, &["--same-disk"]);
    assert!(code == 2 && told.contains("cannot read the log"), "{told}");
}
