//! Six weeks of two machines in a made-up building, and the sheets that come of them.
//!
//! `cargo run --release --bin demo_programme [-- OUT_FOLDER [DAYS]]`

use std::error::Error;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;
use underbrush_fixtures::programme::Programme;
use underbrush_tests::programme::make;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let out = args.next().map_or_else(|| PathBuf::from("out/programme"), PathBuf::from);
    let days = args.next().map(|days| days.parse());
    let done = match days.transpose() {
        Ok(days) => weeks(&out, days),
        Err(error) => Err(format!("the number of days: {error}").into()),
    };
    match done {
        Ok(code) => code,
        Err(error) => {
            eprintln!("demo_programme: {error}");
            ExitCode::from(2)
        }
    }
}

fn weeks(out: &Path, days: Option<u64>) -> Result<ExitCode, Box<dyn Error>> {
    let began = Instant::now();
    std::fs::create_dir_all(out)?;
    let programme = Programme::fernhollow(days)?;
    let (all, done) = (programme.nights.len(), AtomicUsize::new(0));
    let truths = make(&programme, out, || {
        let done = 1 + done.fetch_add(1, Ordering::Relaxed);
        eprint!("\r{done} of {all} nights");
    })
    .map_err(|error| error.to_string())?;
    let restored = programme.restored(&truths).len();
    let seconds = began.elapsed().as_secs_f64();
    eprintln!(", {restored} sections restored, {seconds:.1} s");
    println!("settings, shift book and logs are in {}", out.display());
    let code = print_sheets(out);
    eprintln!("{:.1} s in all", began.elapsed().as_secs_f64());
    Ok(code)
}

/// What a lead would ask for in the morning, as on the command line.
fn print_sheets(out: &Path) -> ExitCode {
    let asked: [&[&str]; 4] = [
        &["sheet", "--out", "last-night.pdf"],
        &["sheet", "--shift", "2026-10-16", "--technician", "--out", "stall.pdf"],
        &["programme", "--pdf", "programme.pdf"],
        &["sheet", "--from", "2026-10-15", "--to", "2026-11-14", "--out", "month.pdf"],
    ];
    for words in asked {
        let file = words.last().map(|name| out.join(name).into_os_string());
        let words = words.split_last().map_or(&[][..], |(_, rest)| rest);
        let args = words.iter().map(OsString::from);
        let args = args.chain(file).chain(["--in".into(), out.into()]);
        // 3 is expected: simulated lines lose frames, and the sheet says so.
        let code = underbrush_report::cli::main(args);
        if code != ExitCode::SUCCESS && code != ExitCode::from(3) {
            return code;
        }
    }
    ExitCode::SUCCESS
}
