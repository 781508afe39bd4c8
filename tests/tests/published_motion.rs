//! The main job on real motion: a slow wheeled robot's odometry and a driving schedule, as bridge
//! bytes and as CAN frames, through the real programs to the sheet.
//!
//! Sources. Robot: the Plaza1 run (J. Djugash, B. Hamner, S. Roth, Navigating with Ranging Radios:
//! Five Data Sets with Ground Truth, Journal of Field Robotics, 2009) as carried by the Python
//! package gtsam 4.3.0; distance, stops and bins computed from it with numpy; the ground-truth
//! path is its independent INS/GPS record. Schedule: UDDS, 40 CFR part 86 appendix I(a); its table
//! computed with numpy. The brush current beside both is made up.

use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;
use underbrush_fixtures::traces::drive_cycle::udds_bridge_bytes;
use underbrush_fixtures::traces::plaza::{plaza_bridge_bytes, plaza_candump};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::MetresPerSecond;
use underbrush_report::findings::{Findings, Inputs, judge};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};
use underbrush_report::timeline::shift_of;
use underbrush_tests::{program, scenario};

const ODOMETRY_M: f64 = 1861.278;
const GROUND_TRUTH_M: f64 = 1858.977;
const SECONDS: f64 = 1933.442;
/// Begin and length of each standstill of 5 s and more, in s.
const STOPS: [(f64, f64); 6] =
    [(0.0, 44.8), (62.4, 16.0), (195.6, 69.0), (273.0, 11.2), (775.3, 37.2), (1461.6, 7.0)];
/// Seconds in bins of 0.25 m/s from 0.
const BINS: [f64; 11] =
    [224.50, 20.01, 191.97, 592.22, 420.52, 199.08, 280.79, 3.15, 0.20, 0.41, 0.20];

const SITE: &str = r#"
name = "Plaza"
time_zone = "UTC"
units = "si"
paper = "a4"
[shift]
start = "04:00"
end = "06:00"
"#;

struct Run {
    dir: TempDir,
    machine_file: PathBuf,
    found: Findings,
}

fn write(dir: &Path, name: &str, bytes: impl AsRef<[u8]>) {
    std::fs::write(dir.join(name), bytes).unwrap();
}

/// Records `source` with the real agent and judges the log.
fn run(machine: &str, source: &str, files: &[(&str, Vec<u8>)]) -> Run {
    let dir = TempDir::new().unwrap();
    for (name, bytes) in files {
        write(dir.path(), name, bytes);
    }
    let machine_file = scenario(machine);
    let config = format!(
        "log_dir = \"log\"\nmachine = \"{}\"\n[source]\n{source}\n",
        machine_file.display()
    );
    write(dir.path(), "agent.toml", config);
    write(dir.path(), "site.toml", SITE);
    let agent = program("underbrush-agent")
        .args(["run", "--config"])
        .arg(dir.path().join("agent.toml"))
        .output()
        .unwrap();
    assert!(agent.status.success(), "{}", String::from_utf8_lossy(&agent.stderr));

    let text = std::fs::read_to_string(&machine_file).unwrap();
    let machine = Machine::parse("machine.toml", &text).unwrap();
    let site = Site::parse("site.toml", SITE).unwrap();
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(&dir.path().join("log"), &settings).unwrap();
    let shift = shift_of(&site, "2026-11-24".parse().unwrap()).unwrap();
    let book = Book::default();
    let found = judge(Inputs { logs: &logs, machine: &machine, site: &site, book: &book }, &shift);
    Run { dir, machine_file, found }
}

fn sheet(run: &Run, more: &[&str]) -> Output {
    let path = |name: &str| run.dir.path().join(name);
    program("underbrush")
        .arg("sheet")
        .args([
            "--log".as_ref(),
            path("log").as_os_str(),
            "--site".as_ref(),
            path("site.toml").as_os_str(),
        ])
        .args(["--machine".as_ref(), run.machine_file.as_os_str()])
        .args(["--shift", "2026-11-24"])
        .args(more)
        .output()
        .unwrap()
}

fn check_plaza(run: &Run) {
    let found = &run.found;
    let distance = found.area.distance.0;
    assert!((distance - ODOMETRY_M).abs() < 0.05, "odometry: {distance} m");
    // The odometry itself is 0.124 % above the independent truth.
    assert!((distance / GROUND_TRUTH_M - 1.00124).abs() < 0.0001, "ground truth: {distance} m");
    let brush_time = found.area.brush_time.0;
    assert!((brush_time - SECONDS).abs() < 0.3, "{brush_time} s");

    let start = found.shift.span.from;
    let stops: Vec<(f64, f64)> = found
        .stationary
        .iter()
        .map(|e| ((e.span.from - start).num_milliseconds() as f64 / 1000.0, e.span.length().0))
        .filter(|(_, length)| *length >= 5.0)
        .collect();
    assert_eq!(stops.len(), STOPS.len(), "{stops:?}");
    for (got, published) in stops.iter().zip(STOPS) {
        // One row takes 0.2 s; leaving standstill needs 0.06 m/s, entering it 0.05.
        let near = |a: f64, b: f64| (a - b).abs() <= 0.25;
        assert!(
            near(got.0, published.0) && near(got.1, published.1),
            "{got:?} is not {published:?}"
        );
    }
    for (i, published) in BINS.iter().enumerate() {
        let edge = |i: usize| MetresPerSecond(i as f64 * 0.25);
        let seconds = found.speed.histogram.between(edge(i), edge(i + 1)).0;
        // The wire has steps of 1 mm/s and carries its rounding on. The robot liked 1 m/s: rows of
        // 9 s in all lie within 1.5 mm/s of that edge, and 1 to 5 s at the others.
        let off = (seconds - published).abs();
        assert!(off <= 2.0, "bin {i}: {seconds} s, published {published} s");
    }
    let fast = found.speed.histogram.between(MetresPerSecond(4.0), MetresPerSecond(4.5)).0;
    assert!((fast - 0.40).abs() < 0.02, "{fast}");
}

fn check_plaza_sheet(run: &Run) {
    let text = sheet(run, &["--text"]);
    let text = String::from_utf8(text.stdout).unwrap();
    // The stops of 69.0, 44.8 and 37.2 s in the table of events: local time, then seconds.
    for (at, seconds) in [("04:03", "69"), ("04:00", "45"), ("04:12", "37")] {
        let row = |line: &str| {
            let words: Vec<&str> = line.split_whitespace().collect();
            words.get(1) == Some(&at) && words.get(2) == Some(&seconds)
        };
        assert!(text.lines().any(row), "{seconds} s at {at} is not on the sheet:\n{text}");
    }
    let pdf = run.dir.path().join("sheet.pdf");
    let made = sheet(run, &["--out", pdf.to_str().unwrap()]);
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let bytes = std::fs::read(&pdf).unwrap();
    assert!(bytes.starts_with(b"%PDF-1.") && bytes.len() > 10_000);
    let again = run.dir.path().join("again.pdf");
    sheet(run, &["--out", again.to_str().unwrap()]);
    assert!(bytes == std::fs::read(&again).unwrap(), "two processes, one log: the same bytes");
}

#[test]
fn robot_as_bridge_bytes() {
    let source = "kind = \"capture\"\nfile = \"plaza.bytes\"\nstart = 2026-11-24T04:00:00Z";
    let run = run("plaza-machine-can.toml", source, &[("plaza.bytes", plaza_bridge_bytes())]);
    check_plaza(&run);
    check_plaza_sheet(&run);
}

#[test]
fn robot_as_can_frames() {
    let dbc = std::fs::read(scenario("plaza.dbc")).unwrap();
    let source = "kind = \"candump\"\nfile = \"plaza.log\"\ndbc = \"plaza.dbc\"";
    let files = [("plaza.log", plaza_candump().into_bytes()), ("plaza.dbc", dbc)];
    let run = run("plaza-machine-can.toml", source, &files);
    check_plaza(&run);
    check_plaza_sheet(&run);
}

#[test]
fn driving_schedule() {
    let source = "kind = \"capture\"\nfile = \"udds.bytes\"\nstart = 2026-11-24T04:00:00Z";
    let run = run("udds-machine.toml", source, &[("udds.bytes", udds_bridge_bytes())]);
    let found = &run.found;
    // Published: 1369 s, 7.45 mi, mean 19.59 mph, highest 56.7 mph.
    let miles = found.area.distance.0 / 1609.344;
    assert!((miles - 7.45).abs() < 0.005, "{miles} mi");
    assert!((found.area.distance.0 - 11_990.433).abs() < 1.0, "{:?}", found.area.distance);
    assert!((found.area.brush_time.0 - 1369.0).abs() < 0.01);
    let mph = |v: f64| MetresPerSecond(v * 0.447_04);
    assert!((found.speed.histogram.mean().unwrap().0 - mph(19.59).0).abs() < 0.005);
    assert!((found.speed.histogram.max().unwrap().0 - mph(56.7).0).abs() < 0.02);
    let table = [258.0, 74.0, 76.0, 78.0, 131.0, 239.0, 274.0, 82.0, 46.0, 7.0, 28.0, 51.0, 25.0];
    let standing = found.speed.histogram.between(mph(0.0), MetresPerSecond(0.001)).0;
    assert!((standing - table[0]).abs() < 0.01, "{standing}");
    let mut total = standing;
    for (i, published) in table.iter().enumerate().skip(1) {
        let low = if i == 1 { MetresPerSecond(0.001) } else { mph((i - 1) as f64 * 5.0) };
        let seconds = found.speed.histogram.between(low, mph(i as f64 * 5.0)).0;
        total += seconds;
        // Above 2 m/s the histogram keeps three digits, so a second at an edge may move.
        assert!(
            (seconds - published).abs() <= 1.01,
            "bin {i}: {seconds} s, published {published} s"
        );
    }
    assert!((total - 1369.0).abs() < 0.01);
}
