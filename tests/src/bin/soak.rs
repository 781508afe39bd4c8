//! A day of the agent in a minute or two: bridge bytes through intake, recorder and sealer
//! into a real directory, with the memory of the process each simulated hour.
//!
//! ```text
//! soak [HOURS]        24 if not said; at least 4
//! ```
//! The bridge sends 100 frames a second. Packets are lost and damaged, the bridge restarts
//! every third hour, its port goes for 20 s each hour. Parts are synced each second and
//! sealed as usual. Time is a number here; everything else is the agent's own code, in one
//! thread. Memory is `VmRSS` of proc(5), so this needs Linux.
//!
//! Flat means: from the end of the second hour on it never grows by more than 1 MiB, and
//! its peak stays below 16 MiB. By then journals were sealed and every buffer had its
//! size. Exit: 0 flat and nothing missing, 2 otherwise.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::ExitCode;
use underbrush_agent::config::Journal;
use underbrush_agent::intake::{Intake, TimeBase};
use underbrush_agent::record::{DirStorage, Durability, Recorder, Sealer};
use underbrush_protocol::frame::{
    Brush, BrushMotor, Capabilities, Frame, Hello, Motion, Power, Runtime,
};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::{
    CurrentRaw, HourMeterRaw, Percent, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw,
};

const FRAME_MS: u64 = 10;
const HOUR_MS: u64 = 3_600_000;
const AWAY_MS: u64 = 20_000;
const ALLOWED_KIB: u64 = 1_024;
const PEAK_KIB: u64 = 16 * 1_024;

type Done<T> = Result<T, Box<dyn Error>>;

fn main() -> ExitCode {
    let hours = std::env::args().nth(1).map_or(Ok(24), |text| text.parse());
    let done = match hours {
        Ok(hours) if hours >= 4 => soak(hours),
        _ => Err("wrong use: soak [HOURS], at least 4".into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("soak: {error}");
            ExitCode::from(2)
        }
    }
}

/// A number without pattern for each `i` (Knuth's multiplicative hash, from memory).
fn hash(i: u64) -> u64 {
    (i.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 32) ^ i
}

/// The frame of instant `i`, as a machine at work says it.
fn frame(i: u64) -> Frame {
    let noise = (hash(i) % 41) as i16;
    match i % 10 {
        _ if i.is_multiple_of(1_000) => Frame::Hello(Hello {
            bridge_id: 7,
            firmware: (1, 0, 0),
            capabilities: Capabilities(0x3F),
            brush_motors: 2,
            period_ms: 20,
        }),
        0 if i.is_multiple_of(100) => Frame::Runtime(Runtime {
            key_on: Some(HourMeterRaw((i / 100) as u32)),
            brush_on: Some(HourMeterRaw((i / 150) as u32)),
            traction: None,
        }),
        0 => Frame::Power(Power {
            voltage: VoltageRaw(2_400 + noise as u16),
            current: Some(CurrentRaw(600 + noise)),
        }),
        1 | 3 | 5 | 7 | 9 => {
            let motor = |of: i16| BrushMotor {
                current: CurrentRaw(250 + noise * of),
                rotation: Some(RotationRaw(1_800)),
            };
            Frame::Brush(Brush {
                command_on: i % 60_000 < 50_000,
                motors: [motor(1), motor(-1)].into_iter().collect(),
                pressure_setting: Percent::new(80),
            })
        }
        _ => {
            let speed = SpeedRaw(if i % 30_000 < 25_000 { 500 + noise } else { 0 });
            Frame::Motion(Motion { speed, turn_rate: Some(TurnRateRaw(noise - 20)) })
        }
    }
}

/// The bridge and its cable.
#[derive(Default)]
struct Bridge {
    encoder: Encoder,
    started_at: u64,
    arrived: u32,
    lost: u32,
    damaged: u32,
}

impl Bridge {
    /// What arrives of instant `i`: one packet, none, or a damaged one.
    fn packet(&mut self, i: u64) -> Vec<u8> {
        let now = i * FRAME_MS;
        if now.is_multiple_of(3 * HOUR_MS) && i > 0 {
            self.encoder = Encoder::default();
            self.started_at = now;
        }
        let mut packet = self.encoder.encode((now - self.started_at) as u32, &frame(i)).to_vec();
        // The first packets of a life always arrive, so that each loss shows by its number.
        match hash(i) % 4_000 {
            0 if now - self.started_at > 60_000 => {
                self.lost += 1;
                packet.clear();
            }
            1 if now - self.started_at > 60_000 => {
                self.lost += 1;
                self.damaged += 1;
                let middle = packet.len() / 2;
                packet[middle] = if packet[middle] == 0x55 { 0x54 } else { 0x55 };
            }
            _ => self.arrived += 1,
        }
        packet
    }
}

fn soak(hours: u64) -> Done<()> {
    let dir = std::env::temp_dir().join(format!("underbrush-soak-{}", std::process::id()));
    let found = run(&dir, hours);
    let _ = fs::remove_dir_all(&dir);
    found
}

fn run(dir: &Path, hours: u64) -> Done<()> {
    let storage = DirStorage::open(dir)?;
    let rotation = Journal::default().rotation;
    let mut recorder = Recorder::new(storage.clone(), "S-1", Durability::Every(1_000), rotation);
    let mut sealer = Sealer::new(storage, "S-1");
    let (mut intake, mut bridge) = (Intake::new(TimeBase::Arrival), Bridge::default());
    let mut out = vec![Entry::Note(BootMs(0), Note::Started)];
    let mut resident_kib = Vec::new();
    println!("| hour | VmRSS, KiB | VmHWM, KiB | log, KiB |\n|---|---|---|---|");
    for i in 0..hours * HOUR_MS / FRAME_MS {
        let now = i * FRAME_MS;
        // The port goes half an hour into each hour.
        let in_hour = now % HOUR_MS;
        if in_hour == HOUR_MS / 2 {
            intake.disconnected();
        }
        if !(HOUR_MS / 2..HOUR_MS / 2 + AWAY_MS).contains(&in_hour) {
            let latency = 2 + hash(i) % 5;
            intake.bytes(BootMs(now + latency), &bridge.packet(i), &mut out);
        }
        // The queue of the agent: ten times a second.
        if now.is_multiple_of(100) {
            if now.is_multiple_of(1_000) {
                intake.tick(BootMs(now), &mut out);
            }
            recorder.push(BootMs(now), &mut out);
            for journal in recorder.take_closed() {
                sealer.seal(journal);
            }
        }
        if (now + FRAME_MS).is_multiple_of(HOUR_MS) {
            resident_kib.push(status_kib("VmRSS:")?);
            let hour = (now + FRAME_MS) / HOUR_MS;
            let (rss, peak) = (status_kib("VmRSS:")?, status_kib("VmHWM:")?);
            println!("| {hour} | {rss} | {peak} | {} |", log_bytes(dir)? / 1_024);
        }
    }
    intake.finish(&mut out);
    let end = BootMs(hours * HOUR_MS);
    recorder.push(end, &mut out);
    recorder.finish(end);
    for journal in recorder.take_closed() {
        sealer.seal(journal);
    }
    let sealed = sealer.finish();
    let (losses, counts) = (intake.losses(), recorder.counts());
    println!("{losses:?}\n{counts:?}\n{} archives", sealed.archives.len());
    let told = (losses.frames, losses.lost, losses.damaged, losses.doubled);
    let right = (bridge.arrived, bridge.lost, bridge.damaged, 0);
    if told != right || counts.dropped > 0 || sealed.any_loss() {
        return Err(
            format!("counted {told:?} (frames, lost, damaged, doubled), not {right:?}").into()
        );
    }
    let flat = resident_kib.get(1..).unwrap_or_default();
    let grown = flat.iter().max().unwrap_or(&0).saturating_sub(flat.first().copied().unwrap_or(0));
    println!("grown by at most {grown} KiB since the end of hour 2");
    if grown > ALLOWED_KIB {
        return Err(format!("memory is not flat: it grew by {grown} KiB").into());
    }
    let peak = status_kib("VmHWM:")?;
    if peak > PEAK_KIB {
        return Err(format!("memory is not small: {peak} KiB at most").into());
    }
    Ok(())
}

fn status_kib(field: &str) -> Done<u64> {
    let status = fs::read_to_string("/proc/self/status")?;
    let line = status.lines().find_map(|line| line.strip_prefix(field)).unwrap_or_default();
    Ok(line.trim().trim_end_matches(" kB").parse()?)
}

fn log_bytes(dir: &Path) -> Done<u64> {
    let mut bytes = 0;
    for entry in fs::read_dir(dir)? {
        bytes += entry?.metadata()?.len();
    }
    Ok(bytes)
}
