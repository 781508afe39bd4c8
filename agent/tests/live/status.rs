//! Every state of disk and source, caused for real, seen through `status`, and over by itself.

use crate::common::port::{Agent, PATIENCE, Port, pause};
use crate::common::{Scene, motion, read_log};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Instant;
use underbrush_agent::{DiskState, SourceState, Status};
use underbrush_protocol::link::Encoder;

struct Stage {
    scene: Scene,
    config: PathBuf,
    port: PathBuf,
    encoder: Encoder,
    sent: u32,
}

impl Stage {
    fn new() -> Self {
        let scene = Scene::new();
        let port = scene.path("port");
        let text = format!(
            "log_dir = \"card/log\"\nmachine = \"machine.toml\"\ncontrol = \"agent.sock\"\n\
             [source]\nkind = \"serial\"\nport = \"{}\"\n[journal]\nsync_every = \"100 ms\"\n",
            port.display()
        );
        scene.write("agent.toml", text.as_bytes());
        let config = scene.path("agent.toml");
        Self { scene, config, port, encoder: Encoder::default(), sent: 0 }
    }

    fn log_dir(&self) -> PathBuf {
        self.scene.path("card/log")
    }

    fn send(&mut self, port: &mut Port) {
        let frame = motion((self.sent % 1000) as i16);
        port.send(self.encoder.encode(self.sent * 20, &frame));
        self.sent += 1;
    }

    fn ask(&self, more: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
            .args(["status", "--config"])
            .arg(&self.config)
            .args(more)
            .output()
            .unwrap()
    }

    fn status(&self) -> Option<Status> {
        serde_json::from_slice(&self.ask(&["--json"]).stdout).ok()
    }

    /// Keeps the bridge busy by `meanwhile` until the status is as wanted.
    #[track_caller]
    fn until(
        &mut self,
        wanted: impl Fn(&Status) -> bool,
        mut meanwhile: impl FnMut(&mut Self),
    ) -> Status {
        let end = Instant::now() + PATIENCE;
        let mut last = None;
        while Instant::now() < end {
            for _ in 0..5 {
                meanwhile(self);
                pause(20);
            }
            last = self.status();
            if let Some(status) = last.clone().filter(&wanted) {
                return status;
            }
        }
        panic!("it never came to that, but to {last:#?}");
    }

    fn until_disk(&mut self, state: DiskState, port: &mut Port) -> Status {
        self.until(|status| status.disk == state, |stage| stage.send(port))
    }

    /// Ends the agent; every frame sent is in the log, once.
    fn nothing_is_missing(&self, agent: Agent) {
        pause(500);
        let (status, printed) = agent.stop();
        assert_eq!(status.code(), Some(0), "{printed}");
        let log = read_log(&self.log_dir());
        // Sorted: a flood has many frames at the same millisecond.
        let mut speeds: Vec<i32> = log.readings.iter().map(|reading| reading.2).collect();
        let mut sent: Vec<i32> = (0..self.sent).map(|number| (number % 1000) as i32).collect();
        speeds.sort_unstable();
        sent.sort_unstable();
        assert!(speeds == sent, "{} readings of {} sent", speeds.len(), sent.len());
        assert_eq!((log.journals, log.unfinished), (0, 0));
    }
}

#[test]
fn a_source_waits_is_silent_speaks_and_is_drowned_in_noise() {
    let mut stage = Stage::new();
    let nobody = stage.ask(&[]);
    let told = String::from_utf8(nobody.stderr).unwrap();
    assert_eq!(nobody.status.code(), Some(2));
    assert!(told.contains("agent.sock: no agent answers here"), "{told}");

    let agent = Agent::start(&stage.config);
    let waiting = stage.until(|status| status.boot.is_some(), |_| {});
    assert_eq!(
        (waiting.source, waiting.disk, waiting.boot),
        (SourceState::Waiting, DiskState::Working, Some(1))
    );
    assert_eq!((waiting.process, &*waiting.machine), (agent.child.id(), "T1"));
    let text = stage.ask(&[]);
    assert_eq!(text.status.code(), Some(3), "readings are not being stored");
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("source   waiting ("), "{text}");

    let mut port = Port::plug(&stage.port);
    let is = |state| move |status: &Status| status.source == state;
    stage.until(is(SourceState::Silent), |_| {});
    let receiving = stage.until(is(SourceState::Receiving), |stage| stage.send(&mut port));
    assert!(receiving.frames > 0 && receiving.packets_damaged == 0, "{receiving:#?}");
    assert_eq!(stage.ask(&[]).status.code(), Some(0));
    let noise =
        stage.until(is(SourceState::Noise), |_| port.send(b"\x05nonsense\x00more of it\x00"));
    assert!(noise.packets_damaged > 0, "{noise:#?}");
    // The packet that the noise ran into is lost with it: a zero byte ends it.
    port.send(&[0]);
    stage.until(is(SourceState::Receiving), |stage| stage.send(&mut port));
    drop(port);
    stage.until(|status| status.source == SourceState::Waiting && status.port_losses == 1, |_| {});
    stage.nothing_is_missing(agent);
    assert!(!stage.scene.path("agent.sock").exists(), "the socket goes with the agent");
}

#[test]
fn a_log_directory_that_is_away_at_the_start_is_waited_for() {
    let mut stage = Stage::new();
    stage.scene.write("card", b"no directory");
    let mut port = Port::plug(&stage.port);
    let agent = Agent::start(&stage.config);
    let away = stage.until_disk(DiskState::Away, &mut port);
    assert_eq!((away.boot, away.readings_stored), (None, 0));
    assert!(away.disk_error.is_some() && away.waiting_entries > 0, "{away:#?}");
    std::fs::remove_file(stage.scene.path("card")).unwrap();
    let there = stage.until_disk(DiskState::Working, &mut port);
    assert_eq!((there.boot, there.readings_dropped), (Some(1), 0));
    stage.nothing_is_missing(agent);
}

/// A file system of its own, gone with the test.
struct Card(PathBuf);

impl Card {
    /// `None` where one may not mount.
    fn insert(at: &Path) -> Option<Self> {
        std::fs::create_dir_all(at).unwrap();
        let mount =
            Command::new("mount").args(["-t", "tmpfs", "-o", "size=1m", "tmpfs"]).arg(at).output();
        mount.is_ok_and(|done| done.status.success()).then(|| Self(at.to_owned()))
    }

    fn remount(&self, how: &str) {
        let done =
            Command::new("mount").args(["-o", &format!("remount,{how}")]).arg(&self.0).status();
        assert!(done.unwrap().success());
    }
}

impl Drop for Card {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_is_told_and_recovered_from() {
    let mut stage = Stage::new();
    let Some(card) = Card::insert(&stage.scene.path("card")) else {
        println!("SKIPPED: mounting a file system of its own takes the right to mount");
        return;
    };
    let mut port = Port::plug(&stage.port);
    let agent = Agent::start(&stage.config);
    stage.until(
        |status| status.disk == DiskState::Working && status.readings_stored > 20,
        |stage| stage.send(&mut port),
    );
    // All the room but that which was set aside for the journal is taken.
    let mut filler = std::fs::File::create(stage.scene.path("card/filler")).unwrap();
    let _ = std::io::copy(&mut std::io::repeat(7), &mut filler);
    let before = stage.status().unwrap().readings_stored;
    // The room set aside takes a while to fill: 256 KiB at some bytes a frame.
    let mut flood = |stage: &mut Stage| (0..400).for_each(|_| stage.send(&mut port));
    let full = stage.until(|status| status.disk == DiskState::Full, &mut flood);
    assert!(full.readings_stored > before && full.waiting_entries > 0, "{full:#?}");
    drop(filler);
    std::fs::remove_file(stage.scene.path("card/filler")).unwrap();
    stage.until_disk(DiskState::Working, &mut port);
    stage.nothing_is_missing(agent);
    drop(card);
}

#[test]
fn a_disk_that_may_only_be_read_is_waited_for() {
    let mut stage = Stage::new();
    let Some(card) = Card::insert(&stage.scene.path("card")) else {
        println!("SKIPPED: mounting a file system of its own takes the right to mount");
        return;
    };
    card.remount("ro");
    let mut port = Port::plug(&stage.port);
    let agent = Agent::start(&stage.config);
    let told = stage.until_disk(DiskState::ReadOnly, &mut port);
    assert!(told.disk_error.is_some() && told.waiting_entries > 0, "{told:#?}");
    card.remount("rw");
    let there = stage.until_disk(DiskState::Working, &mut port);
    assert_eq!(there.readings_dropped, 0);
    stage.nothing_is_missing(agent);
    drop(card);
}
