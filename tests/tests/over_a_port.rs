//! Real time, real pseudo-terminal, real programs: machine, agent and sheet beside each other.

use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_tests::bench_machine::{Running, start_machine};
use underbrush_tests::{program, scenario};

const LISTEN: Duration = Duration::from_secs(12);

/// A whole day in UTC: the agent's clock is the computer's.
const SITE: &str = r#"
name = "Bench"
time_zone = "UTC"
[shift]
start = "00:00"
end = "00:00"
"#;

fn stop(agent: &mut Running) -> Option<i32> {
    let pid = rustix::process::Pid::from_child(&agent.0);
    rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap();
    agent.0.wait().unwrap().code()
}

fn sheet(dir: &Path, date: &str) -> String {
    let path = |name: &str| dir.join(name).into_os_string();
    let output = program("underbrush")
        .arg("sheet")
        .args(["--log".into(), path("log"), "--site".into(), path("site.toml")])
        .args(["--machine".as_ref(), scenario("machine.toml").as_os_str()])
        .args(["--shift", date, "--text"])
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn twelve_seconds_of_a_machine() {
    let dir = TempDir::new().unwrap();
    let (_machine, port) = start_machine();
    let machine_file = scenario("machine.toml");
    let config = format!(
        "log_dir = \"log\"\nmachine = \"{}\"\n[source]\nkind = \"serial\"\nport = \"{port}\"\n",
        machine_file.display()
    );
    std::fs::write(dir.path().join("agent.toml"), config).unwrap();
    std::fs::write(dir.path().join("site.toml"), SITE).unwrap();
    let began = Instant::now();
    let date = chrono::Utc::now().date_naive();
    let mut run = program("underbrush-agent");
    run.args(["run", "--config"]).arg(dir.path().join("agent.toml"));
    let mut agent = Running(run.stderr(Stdio::null()).stdout(Stdio::null()).spawn().unwrap());
    std::thread::sleep(LISTEN);
    assert_eq!(stop(&mut agent), Some(0));
    let listened = began.elapsed().as_secs_f64();

    let settings = OpenSettings { machine: "fh-scrubber-1".to_owned(), ..OpenSettings::default() };
    let logs = LogSet::open(&dir.path().join("log"), &settings).unwrap();
    let [boot] = logs.boots.as_slice() else { panic!("{:?}", logs.boots) };
    let recorded = boot.length_ms() as f64 / 1000.0;
    // A busy computer may start the agent late, but time on the record is true time.
    assert!(recorded > 0.5 * listened && recorded <= listened + 0.5, "{recorded} of {listened} s");

    let (first, second) =
        (sheet(dir.path(), &date.to_string()), sheet(dir.path(), &date.to_string()));
    assert!(first.contains("100 %"), "all that was recorded was observed:\n{first}");
    assert_eq!(first, second, "the same log gives the same sheet");
}
