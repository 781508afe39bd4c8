//! One night in a made-up building, from simulated motors to the printed sheet.
//!
//! `cargo run --release --bin demo [-- OUT_FOLDER]`

use std::error::Error;
use std::fs;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;
use underbrush_agent::Config;
use underbrush_fixtures::{ShiftPlan, Simulation};
use underbrush_tests::scenario;

const SEED: u64 = 1;
const SHIFT: &str = "2026-11-23";

fn main() -> ExitCode {
    let out = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("out/demo"), PathBuf::from);
    match night(&out) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("demo: {error}");
            ExitCode::from(2)
        }
    }
}

fn night(out: &Path) -> Result<ExitCode, Box<dyn Error>> {
    let began = Instant::now();
    for old in ["log", "night.bytes"] {
        let path = out.join(old);
        if path.is_dir() {
            fs::remove_dir_all(&path)?;
        } else if path.exists() {
            fs::remove_file(&path)?;
        }
    }
    fs::create_dir_all(out)?;
    for file in ["machine.toml", "site.toml", "book.toml"] {
        fs::copy(scenario(file), out.join(file))?;
    }
    let settings = fs::read_to_string(scenario("agent.toml"))?.replace("demo.bytes", "night.bytes");
    fs::write(out.join("agent.toml"), settings)?;

    simulate(&out.join("night.bytes"))?;
    record(&out.join("agent.toml"))?;
    let sheet = out.join("shift-sheet.pdf");
    let code = print_sheet(out, &sheet);
    println!(
        "the shift sheet is {} ({:.1} s in all)",
        sheet.display(),
        began.elapsed().as_secs_f64()
    );
    Ok(code)
}

fn simulate(file: &Path) -> Result<(), Box<dyn Error>> {
    let plan = ShiftPlan::demo(SEED);
    let shift_ms = f64::from(plan.minutes) * 60_000.0;
    let mut bytes = BufWriter::new(fs::File::create(file)?);
    let mut simulation = Simulation::new(plan, SEED);
    let mut bar = Bar::new("machine works 8 h");
    for chunk in simulation.by_ref() {
        bytes.write_all(&chunk.bytes)?;
        bar.show(chunk.arrival_ms as f64 / shift_ms);
    }
    bytes.flush()?;
    bar.done(&format!("{} frames", simulation.truth().frames_sent));
    Ok(())
}

fn record(settings: &Path) -> Result<(), Box<dyn Error>> {
    let config = Config::read(settings)?;
    let mut bar = Bar::new("agent records");
    let outcome = underbrush_agent::run_blocking(&config, |progress| {
        bar.show(progress.bytes_done as f64 / progress.bytes_total.max(1) as f64);
    })?;
    bar.done(&format!("{} readings", outcome.readings));
    Ok(())
}

fn print_sheet(out: &Path, sheet: &Path) -> ExitCode {
    let path = |name: &str| out.join(name).into_os_string();
    let args = [
        "sheet".into(),
        "--log".into(),
        path("log"),
        "--site".into(),
        path("site.toml"),
        "--machine".into(),
        path("machine.toml"),
        "--book".into(),
        path("book.toml"),
        "--shift".into(),
        SHIFT.into(),
        "--out".into(),
        sheet.as_os_str().to_owned(),
    ];
    // 3 is expected: the simulated night has lost frames and a gap, and the sheet says so.
    let code = underbrush_report::cli::main(args.into_iter());
    if code == ExitCode::from(3) { ExitCode::SUCCESS } else { code }
}

/// A line that grows.
struct Bar {
    name: &'static str,
    shown: usize,
}

impl Bar {
    const WIDTH: usize = 30;

    fn new(name: &'static str) -> Self {
        Self { name, shown: usize::MAX }
    }

    fn show(&mut self, share: f64) {
        let full = (share.clamp(0.0, 1.0) * Self::WIDTH as f64) as usize;
        if full != self.shown {
            self.shown = full;
            eprint!("\r{:<18} [{}{}]", self.name, "=".repeat(full), " ".repeat(Self::WIDTH - full));
        }
    }

    fn done(&mut self, what: &str) {
        self.show(1.0);
        eprintln!(" {what}");
    }
}
