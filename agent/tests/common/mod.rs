//! A directory with settings, frames, and a reader of whole logs.
#![allow(dead_code)] // Each test file uses its own part of it.

pub(crate) mod archives;
#[cfg(target_os = "linux")]
pub(crate) mod bench;
pub(crate) mod boots;
#[cfg(target_os = "linux")]
pub(crate) mod bridge;
pub(crate) mod dice;
pub(crate) mod disk;
pub(crate) mod given;
pub(crate) mod model;
pub(crate) mod numbered;
#[cfg(target_os = "linux")]
pub(crate) mod port;
pub(crate) mod power;
pub(crate) mod pulled;
pub(crate) mod uart;

use std::path::{Path, PathBuf};
use tempfile::TempDir;
use underbrush_protocol::archive::Reader;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Brush, BrushMotor, Frame, Motion};
use underbrush_protocol::note::Note;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::{CurrentRaw, SpeedRaw};

/// A directory of its own with a machine file.
pub(crate) struct Scene(TempDir);

impl Scene {
    pub(crate) fn new() -> Self {
        let scene = Self(tempfile::tempdir().unwrap());
        scene.write("machine.toml", include_bytes!("../data/machine.toml"));
        scene.write("bus.dbc", include_bytes!("../data/bus.dbc"));
        scene
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub(crate) fn log_dir(&self) -> PathBuf {
        self.path("log")
    }

    pub(crate) fn write(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.path(name), bytes).unwrap();
    }

    /// Writes `agent.toml` with these keys of `[source]` and returns its path.
    pub(crate) fn config(&self, source: &str) -> PathBuf {
        let text = format!("log_dir = \"log\"\nmachine = \"machine.toml\"\n\n[source]\n{source}");
        self.write("agent.toml", text.as_bytes());
        self.path("agent.toml")
    }
}

pub(crate) fn motion(speed_mm_s: i16) -> Frame {
    Frame::Motion(Motion { speed: SpeedRaw(speed_mm_s), turn_rate: None })
}

pub(crate) fn brush(command_on: bool, current_da: i16) -> Frame {
    let mut motors = heapless::Vec::new();
    motors.push(BrushMotor { current: CurrentRaw(current_da), rotation: None }).unwrap();
    Frame::Brush(Brush { command_on, motors, pressure_setting: None })
}

/// Everything in a log directory.
#[derive(Default)]
pub(crate) struct Log {
    /// Time, channel, raw value; sorted.
    pub(crate) readings: Vec<(u64, Channel, i32)>,
    /// In file order.
    pub(crate) notes: Vec<(BootMs, Note)>,
    /// Archive names in order.
    pub(crate) archives: Vec<String>,
    /// Journals that were not sealed.
    pub(crate) journals: usize,
    /// Archives that were never finished.
    pub(crate) unfinished: usize,
}

pub(crate) fn read_log(dir: &Path) -> Log {
    let mut log = Log::default();
    let mut names: Vec<String> = std::fs::read_dir(dir)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    for name in names {
        if name.ends_with(".journal") {
            log.journals += 1;
        } else if name.ends_with(".archive.tmp") {
            log.unfinished += 1;
        } else if name.ends_with(".archive") {
            read_archive(&std::fs::read(dir.join(&name)).unwrap(), &mut log);
            log.archives.push(name);
        }
    }
    log.readings.sort_unstable();
    log
}

pub(crate) fn read_archive(file: &[u8], log: &mut Log) {
    let reader = Reader::open(file).unwrap();
    assert!(!reader.damage().index_rebuilt && reader.damage().ranges.is_empty());
    for entry in &reader.index().blocks {
        let block = reader.block(entry).unwrap();
        for column in &block.columns {
            for (at, raw) in column.at.iter().zip(&column.raw) {
                log.readings.push((entry.first.0 + *at as u64, column.channel, *raw));
            }
        }
        log.notes.extend(block.notes.iter().cloned());
    }
}
