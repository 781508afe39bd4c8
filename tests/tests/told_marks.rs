//! Marks told by hand, through the real programs: told over the socket, the agent killed
//! with the answer in hand, the log read by the report.

use std::io::{Read, Write};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::process::{Output, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use underbrush_protocol::detect::Interval;
use underbrush_protocol::note::{Note, Told, ToldPhase};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::UtcMs;
use underbrush_report::findings::{Inputs, Shift, Span, judge};
use underbrush_report::logset::{BootLog, ClockMap, LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};
use underbrush_report::timeline::{Reader, Walk, walk};
use underbrush_tests::bench_machine::{Running, start_machine};
use underbrush_tests::{program, scenario};

fn mark(config: &Path, words: &[&str]) -> Output {
    program("underbrush-agent")
        .arg("mark")
        .args(words)
        .arg("--config")
        .arg(config)
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// What the agent answers to these bytes.
fn ask(socket: &Path, bytes: &[u8]) -> String {
    let mut stream = UnixStream::connect(socket).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    let _ = stream.write_all(bytes);
    let _ = stream.shutdown(std::net::Shutdown::Write);
    let mut answer = String::new();
    let _ = stream.read_to_string(&mut answer);
    answer
}

#[derive(Default)]
struct Notes(Vec<Told>);

impl Reader for Notes {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {}
    fn step(&mut self, _: &Interval, _: &ClockMap) {}
    fn boot_ends(&mut self, _: &ClockMap) {}
    fn note(&mut self, _: UtcMs, note: &Note) {
        if let Note::Told(told) = note {
            self.0.push(told.clone());
        }
    }
}

#[test]
fn a_mark_that_was_answered_is_in_the_log_whatever_happens() {
    let dir = TempDir::new().unwrap();
    let (_machine, port) = start_machine();
    let machine_file = scenario("machine.toml");
    let settings = format!(
        "log_dir = \"log\"\nmachine = \"{}\"\ncontrol = \"agent.sock\"\n[source]\nkind = \"serial\"\n\
         port = \"{port}\"\n[journal]\nsync_every = \"60 s\"\n",
        machine_file.display()
    );
    let config = dir.path().join("agent.toml");
    std::fs::write(&config, settings).unwrap();
    let nobody = mark(&config, &["maintenance"]);
    assert_eq!(nobody.status.code(), Some(2), "{}", text(&nobody.stderr));
    let wrong = mark(&config, &["A-12"]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(text(&wrong.stderr).contains("`section A-12 step 2`"), "{}", text(&wrong.stderr));

    let mut run = program("underbrush-agent");
    run.args(["run", "--config"]).arg(&config).stderr(Stdio::null()).stdout(Stdio::null());
    let mut agent = Running(run.spawn().unwrap());
    let socket = dir.path().join("agent.sock");
    let end = Instant::now() + Duration::from_secs(20);
    while !mark(&config, &["section", "A12", "step", "2"]).status.success() {
        assert!(Instant::now() < end, "the agent never took a mark");
        std::thread::sleep(Duration::from_millis(100));
    }
    let long = format!("mark section {}\n", "x".repeat(200));
    for wrong in
        [&b"mark\n"[..], b"mark section\tA\n", b"marking\n", long.as_bytes(), b"mark maintenance"]
    {
        let answer = ask(&socket, wrong);
        assert!(answer.starts_with("error: "), "{}: {answer}", text(wrong));
    }
    assert_eq!(ask(&socket, b"mark section A-12 step 2\n"), "ok: section A-12, step 2\n");
    let told = Instant::now();
    let last = mark(&config, &["section", "M-01", "maintenance"]);
    agent.0.kill().unwrap();
    let took = told.elapsed();
    agent.0.wait().unwrap();
    assert_eq!(text(&last.stdout), "marked: section M-01, maintenance\n", "{}", text(&last.stderr));
    assert!(took < Duration::from_secs(5), "{took:?}");

    let open = OpenSettings { machine: "fh-scrubber-1".to_owned(), ..OpenSettings::default() };
    let logs = LogSet::open(&dir.path().join("log"), &open).unwrap();
    let site =
        Site::parse("site.toml", &std::fs::read_to_string(scenario("site.toml")).unwrap()).unwrap();
    let machine = std::fs::read_to_string(&machine_file).unwrap();
    let machine = Machine::parse("machine.toml", &machine).unwrap();
    let now = chrono::Utc::now();
    let span = Span { from: now - chrono::TimeDelta::hours(1), to: now };
    let mut notes = Notes::default();
    walk(&logs, Walk::of(&machine, span), &mut notes);
    let [first, .., last] = notes.0.as_slice() else { panic!("{:?}", notes.0) };
    assert_eq!(first.section.as_deref(), Some("A12"));
    assert_eq!((last.section.as_deref(), last.phase), (Some("M-01"), Some(ToldPhase::Maintenance)));
    let shift = Shift { date: now.date_naive(), span, zone: site.zone };
    let book = Book::default();
    let found = judge(Inputs { logs: &logs, machine: &machine, site: &site, book: &book }, &shift);
    let problems: Vec<_> = found.data.problems.iter().map(|p| &p.message).collect();
    let suggested = |m: &&&String| m.contains("no section A12; did you mean A-12");
    assert!(problems.iter().any(|m| suggested(&m)), "{problems:?}");
}
