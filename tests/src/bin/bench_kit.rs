//! What `tests/bench` needs of the workspace: simulated nights as bytes, logs and rows.
//!
//! ```text
//! bench_kit capture PLAN BYTES [CANDUMP]       wire bytes, and candump text, of a night
//! bench_kit nights PLAN LOG_DIR UTC_MS...      records one night for each start
//! bench_kit rows LOG_DIR ROWS                  rows of a log of one power-on
//! bench_kit stream PLAN RATE SECONDS BYTES     a night's frames, RATE a second
//! bench_kit decode BYTES                       times the link decoder alone
//! bench_kit wide LOG_DIR MACHINE TABLE         steps of all power-ons, a row each
//! bench_kit totals LOG_DIR MACHINE OUT         time at speed and standing brushes
//! ```
//! PLAN is plain, stops (plain with stops), bench or demo. Answers are `name value` lines. ROWS is a count
//! (u64), then all times (i64, ms), channels (u8) and raw values (i32), little endian.
//! TABLE has power-on (u32), time in it (i64, ms), speed, both currents (i16), command and
//! head (u8; 2: not known) for each row, little endian; only a log without a loss is one.

use chrono::DateTime;
use std::error::Error;
use std::fs::{self, File};
use std::hint::black_box;
use std::io::{BufWriter, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;
use underbrush_agent::record_chunks;
use underbrush_fixtures::traces::Candump;
use underbrush_fixtures::{Event, PlanItem, PlannedEvent, ShiftPlan, Simulation};
use underbrush_protocol::archive;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::Interval;
use underbrush_protocol::frame::Frame;
use underbrush_protocol::link::{Decoder, Encoder, Packet};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Span, Totals};
use underbrush_report::logset::{BootLog, ClockMap, LogSet, OpenSettings};
use underbrush_report::timeline::{Reader, Walk, walk};
use underbrush_tests::scenario;

type Done = Result<(), Box<dyn Error>>;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["capture", plan, out] => capture(plan, out, None),
        ["capture", plan, out, candump] => capture(plan, out, Some(candump)),
        ["nights", plan, log, starts @ ..] => nights(plan, Path::new(log), starts),
        ["rows", log, out] => rows(Path::new(log), out),
        ["stream", plan, rate, seconds, out] => stream(plan, rate, seconds, out),
        ["decode", bytes] => decode(bytes),
        ["wide", log, machine, out] => wide(Path::new(log), machine, out),
        ["totals", log, machine, out] => totals(Path::new(log), machine, out),
        _ => Err("wrong use: the commands stand at the top of bench_kit.rs".into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bench_kit: {error}");
            ExitCode::from(2)
        }
    }
}

/// A night, the same each time it is asked for.
fn night(plan: &str, seed: u64) -> Result<Simulation, Box<dyn Error>> {
    let plan = match plan {
        "plain" => ShiftPlan::bench_plain(),
        "stops" => with_stops(ShiftPlan::bench_plain(), seed),
        "bench" => ShiftPlan::bench(),
        "demo" => ShiftPlan::demo(seed),
        other => return Err(format!("there is no plan `{other}`").into()),
    };
    Ok(Simulation::new(plan, seed))
}

/// The plan with a stop of some kind every ten minutes, other ones each night.
fn with_stops(mut plan: ShiftPlan, seed: u64) -> ShiftPlan {
    for item in &mut plan.items {
        let PlanItem::Work(work) = item else { continue };
        let stops = (0..(work.minutes / 10.0) as u64 - 1).map(|i| {
            let varied = (seed * 31 + i * 7919) % 97;
            let what = match varied % 4 {
                0 => Event::ProperStop { seconds: 20.0 + varied as f64 },
                1 => Event::Hesitation,
                _ => Event::Standing { seconds: 1.0 + varied as f64 / 8.0 },
            };
            PlannedEvent { after_min: (i + 1) as f64 * 10.0, what }
        });
        work.events = stops.collect();
    }
    plan
}

fn capture(plan: &str, out: &str, candump: Option<&str>) -> Done {
    let mut bytes = BufWriter::new(File::create(out)?);
    let start_utc_ms = ShiftPlan::demo(1).start_utc_ms;
    let mut text = match candump {
        Some(path) => Some((BufWriter::new(File::create(path)?), Candump::new(start_utc_ms))),
        None => None,
    };
    let mut simulation = night(plan, 1)?;
    for chunk in simulation.by_ref() {
        bytes.write_all(&chunk.bytes)?;
        if let Some((file, candump)) = &mut text {
            file.write_all(candump.lines(&chunk).as_bytes())?;
        }
    }
    bytes.flush()?;
    if let Some((mut file, _)) = text {
        file.flush()?;
    }
    println!("frames_sent {}", simulation.truth().frames_sent);
    Ok(())
}

fn nights(plan: &str, log: &Path, starts: &[&str]) -> Done {
    let file = scenario("machine.toml");
    let machine = Machine::parse(&file.display().to_string(), &fs::read_to_string(&file)?)?;
    for (seed, start) in (1..).zip(starts) {
        let mut simulation = night(plan, seed)?;
        let chunks = simulation.by_ref().map(|chunk| (BootMs(chunk.arrival_ms), chunk.bytes));
        let outcome = record_chunks(log, &machine.id, UtcMs(start.parse()?), chunks)?;
        let sent = simulation.truth().frames_sent;
        if outcome.dropped > 0 || (plan != "demo" && (outcome.any_loss() || outcome.frames != sent))
        {
            return Err(format!("{sent} frames sent, but recorded:\n{outcome}").into());
        }
        println!("frames {}", outcome.frames);
        println!("wire_bytes {}", outcome.source_bytes);
        println!("readings {}", outcome.readings);
    }
    Ok(())
}

fn rows(log: &Path, out: &str) -> Done {
    let mut rows: Vec<(u64, u8, i32)> = Vec::new();
    let mut files: Vec<_> =
        fs::read_dir(log)?.map(|entry| Ok(entry?.path())).collect::<Result<_, std::io::Error>>()?;
    files.sort();
    for path in files.iter().filter(|path| path.extension().is_some_and(|e| e == "archive")) {
        let file = fs::read(path)?;
        let reader = archive::Reader::open(&file)?;
        for entry in &reader.index().blocks {
            let damaged = |range| format!("{}: bytes {range:?} are damaged", path.display());
            for column in reader.block(entry).map_err(damaged)?.columns {
                for (at, raw) in column.at.iter().zip(&column.raw) {
                    rows.push((
                        entry.first.0.saturating_add_signed((*at).into()),
                        column.channel.0,
                        *raw,
                    ));
                }
            }
        }
    }
    // The order in which they came: a frame's readings share its time.
    rows.sort_by_key(|(at, channel, _)| (*at, *channel));
    let mut file = BufWriter::new(File::create(out)?);
    file.write_all(&(rows.len() as u64).to_le_bytes())?;
    for (at, _, _) in &rows {
        file.write_all(&at.to_le_bytes())?;
    }
    for (_, channel, _) in &rows {
        file.write_all(&[*channel])?;
    }
    for (_, _, raw) in &rows {
        file.write_all(&raw.to_le_bytes())?;
    }
    file.flush()?;
    println!("rows {}", rows.len());
    println!("speeds {}", rows.iter().filter(|row| row.1 == 1).count());
    Ok(())
}

/// Writes each step as a row; the begin of the first as one too.
struct Rows<W: Write> {
    table: W,
    boot: u32,
    last: Option<BootMs>,
    count: u64,
    failed: Option<String>,
}

impl<W: Write> Rows<W> {
    fn row(&mut self, at: BootMs, step: &Interval) -> Done {
        let raw = |value: Option<f32>, unit: f64| -> Result<i16, Box<dyn Error>> {
            let value =
                value.ok_or_else(|| format!("power-on {}: a frame is missing", self.boot))?;
            Ok((f64::from(value) / unit).round() as i16)
        };
        let unit = Channel::BATTERY_CURRENT.resolution();
        let mut numbers = [raw(step.speed_m_s, Channel::SPEED.resolution())?, 0, 0];
        for (number, motor) in numbers.iter_mut().skip(1).zip(&step.motors) {
            *number = raw(motor.current_a, unit)?;
        }
        self.table.write_all(&self.boot.to_le_bytes())?;
        self.table.write_all(&at.0.to_le_bytes())?;
        for number in numbers {
            self.table.write_all(&number.to_le_bytes())?;
        }
        let head = step.states.head_down.map_or(2, u8::from);
        self.table.write_all(&[u8::from(step.command_on == Some(true)), head])?;
        self.count += 1;
        Ok(())
    }
}

impl<W: Write> Reader for Rows<W> {
    fn boot_begins(&mut self, boot: &BootLog, _: &ClockMap) {
        (self.boot, self.last) = (boot.boot, None);
    }

    fn step(&mut self, step: &Interval, _: &ClockMap) {
        let first = (self.last != Some(step.from)).then_some(step.from);
        for at in first.into_iter().chain([step.to]) {
            if let Err(error) = self.row(at, step) {
                self.failed.get_or_insert(error.to_string());
            }
        }
        self.last = Some(step.to);
    }

    fn note(&mut self, _: UtcMs, _: &Note) {}
    fn boot_ends(&mut self, _: &ClockMap) {}
}

fn always() -> Span {
    Span { from: DateTime::UNIX_EPOCH, to: DateTime::from_timestamp_nanos(i64::MAX) }
}

fn open(log: &Path, machine: &str) -> Result<(LogSet, Machine), Box<dyn Error>> {
    let machine = Machine::parse(machine, &fs::read_to_string(machine)?)?;
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    Ok((LogSet::open(log, &settings)?, machine))
}

fn wide(log: &Path, machine: &str, out: &str) -> Done {
    let (logs, machine) = open(log, machine)?;
    let table = BufWriter::new(File::create(out)?);
    let mut rows = Rows { table, boot: 0, last: None, count: 0, failed: None };
    walk(&logs, Walk::of(&machine, always()), &mut rows);
    rows.table.flush()?;
    if let Some(what) = rows.failed {
        return Err(what.into());
    }
    println!("rows {}", rows.count);
    Ok(())
}

fn totals(log: &Path, machine: &str, out: &str) -> Done {
    let start = Instant::now();
    let (logs, machine) = open(log, machine)?;
    let totals = Totals::of(&logs, Walk::of(&machine, always()), machine.limits());
    println!("seconds {}", start.elapsed().as_secs_f64());
    println!("steps {}", totals.steps);
    if let Some(problem) = totals.problems.first() {
        return Err(problem.message.clone().into());
    }
    let mut file = BufWriter::new(File::create(out)?);
    for (mm_s, ms) in totals.histogram.recorded() {
        writeln!(file, "speed {mm_s} {ms}")?;
    }
    for one in &totals.stationary {
        writeln!(file, "run {} {} {}", one.boot, one.run.from.0, one.run.to.0)?;
    }
    file.flush()?;
    Ok(())
}

fn stream(plan: &str, rate: &str, seconds: &str, out: &str) -> Done {
    let (rate, seconds): (u64, u64) = (rate.parse()?, seconds.parse()?);
    let mut decoder = Decoder::default();
    let mut frames: Vec<Frame> = Vec::new();
    for chunk in night(plan, 1)? {
        for byte in chunk.bytes {
            if let Some(Packet::Frame(received)) = decoder.push(byte) {
                frames.push(received.frame);
            }
        }
        if frames.len() as u64 >= rate * seconds {
            break;
        }
    }
    frames.truncate((rate * seconds) as usize);
    let mut encoder = Encoder::default();
    let mut file = BufWriter::new(File::create(out)?);
    for (i, frame) in (0_u64..).zip(&frames) {
        file.write_all(encoder.encode((i * 1000 / rate) as u32, frame))?;
    }
    file.flush()?;
    println!("frames {}", frames.len());
    println!("motions {}", frames.iter().filter(|f| matches!(f, Frame::Motion(_))).count());
    Ok(())
}

fn decode(path: &str) -> Done {
    let bytes = fs::read(path)?;
    let mut best_s = f64::INFINITY;
    let mut frames = 0;
    for _ in 0..5 {
        let mut decoder = Decoder::default();
        let start = Instant::now();
        for byte in &bytes {
            black_box(decoder.push(*byte));
        }
        best_s = best_s.min(start.elapsed().as_secs_f64());
        frames = decoder.counts().frames;
    }
    println!("frames {frames}");
    println!("seconds {best_s}");
    Ok(())
}
