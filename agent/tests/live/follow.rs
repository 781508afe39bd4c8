//! `status --follow` at a running agent: in lines, as JSON, and drawn in a terminal.

use crate::common::bench::{Bench, Doing, WORK};
use crate::common::port::{Agent, PATIENCE, pause, screen};
use rustix::process::{Pid, Signal, kill_process};
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Instant;

const STANDS: Doing = Doing { speed_mm_s: 0, ..WORK };

fn command(config: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"));
    command.args(["status", "--follow", "--config"]).arg(config).args(more);
    command
}

/// One that follows, and what it says.
struct Follower {
    child: Child,
    lines: Receiver<String>,
}

impl Follower {
    fn start(config: &Path, more: &[&str]) -> Self {
        let mut child = command(config, more).stdout(Stdio::piped()).spawn().unwrap();
        let (send, lines) = channel();
        let out = BufReader::new(child.stdout.take().unwrap());
        std::thread::spawn(move || {
            out.lines().map_while(Result::ok).for_each(|line| drop(send.send(line)));
        });
        Self { child, lines }
    }

    #[track_caller]
    fn wait_for(&self, what: &str) -> String {
        self.wait_until(|line| line.contains(what))
    }

    #[track_caller]
    fn wait_until(&self, wanted: impl Fn(&str) -> bool) -> String {
        let end = Instant::now() + PATIENCE;
        let mut said = Vec::new();
        while let Ok(line) = self.lines.recv_timeout(end.saturating_duration_since(Instant::now()))
        {
            if wanted(&line) {
                return line;
            }
            said.push(line);
        }
        panic!("it did not say that, but {said:#?}");
    }

    /// As Ctrl-C does; it ends with 0 within a second.
    fn interrupt(&mut self) {
        end_by(&mut self.child, Signal::INT);
    }
}

impl Drop for Follower {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}

/// One that a failed test must not leave running.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
    }
}

fn end_by(child: &mut Child, signal: Signal) {
    kill_process(Pid::from_child(child), signal).unwrap();
    let end = Instant::now() + PATIENCE;
    while Instant::now() < end {
        if let Some(status) = child.try_wait().unwrap() {
            assert_eq!(status.code(), Some(0));
            return;
        }
        pause(20);
    }
    panic!("it goes on after {signal:?}");
}

#[test]
fn lines_and_json_follow_the_agent_through_its_end() {
    let mut bench = Bench::new("");
    let mut lines = Follower::start(&bench.config, &[]);
    let mut json = Follower::start(&bench.config, &["--json"]);
    bench.run_for(WORK, 2_500);
    assert!(lines.wait_for("source receiving").contains("no alarm"));
    bench.run_for(STANDS, 3_500);
    lines.wait_for("warning: brush turns, machine stands since");
    lines.wait_for("alarm: brush turns, machine stands since");
    let told = json.wait_for("\"stage\":\"event\"");
    let status: underbrush_agent::Status = serde_json::from_str(&told).unwrap();
    assert_eq!((status.alarms.len(), &*status.machine), (2, "T1"));
    bench.run_for(WORK, 1_500);
    assert!(lines.wait_for("no alarm").contains("disk working"));
    let Bench { agent, config, scene, port, .. } = bench;
    assert_eq!(agent.stop().0.code(), Some(0));
    lines.wait_for("no agent answers: waiting for it");
    json.wait_until(|line| line == "null");
    // The next one is followed without a word more.
    let next = Agent::start(&config);
    lines.wait_for("no alarm");
    assert!(json.wait_for("\"boot\":2").contains("\"machine\":\"T1\""));
    lines.interrupt();
    json.interrupt();
    assert_eq!(next.stop().0.code(), Some(0));
    drop((scene, port));
}

#[test]
fn a_terminal_shows_it_in_place() {
    let mut bench = Bench::new("");
    let (mut screen, terminal) = screen();
    let mut child = Running(command(&bench.config, &[]).stdout(terminal).spawn().unwrap());
    let (send, shown) = channel();
    std::thread::spawn(move || {
        let mut piece = [0; 4096];
        // The terminal's end comes as an error when nobody holds it any more.
        while let Ok(len @ 1..) = screen.read(&mut piece) {
            let _ = send.send(String::from_utf8_lossy(&piece[..len]).into_owned());
        }
    });
    bench.run_for(WORK, 2_500);
    bench.run_for(STANDS, 3_500);
    end_by(&mut child.0, Signal::INT);
    let text: String = shown.iter().collect();
    // Each picture goes back over the lines of the one before it and clears them.
    let pictures: Vec<&str> = text.split("\r\x1b[J").collect();
    assert!(pictures.len() > 10, "{text:?}");
    let lines = |picture: &str| picture.matches('\n').count();
    for pair in pictures[1..].windows(2) {
        assert!(pair[0].ends_with(&format!("\x1b[{}A", lines(pair[0]))), "{:?}", pair[0]);
    }
    assert!(pictures[pictures.len() / 3].contains("source   receiving"), "{text:?}");
    let last = pictures.last().unwrap();
    assert!(last.contains("alarm: brush turns, machine stands since"), "{last:?}");
    assert_eq!(bench.agent.stop().0.code(), Some(0));
}

#[test]
fn nobody_reading_ends_it() {
    let bench = Bench::new("");
    bench.agent.wait_for("port open");
    let mut child = Running(command(&bench.config, &[]).stdout(Stdio::piped()).spawn().unwrap());
    let mut out = BufReader::new(child.0.stdout.take().unwrap());
    out.read_line(&mut String::new()).unwrap();
    drop(out);
    // The next change is the agent's end.
    assert_eq!(bench.agent.stop().0.code(), Some(0));
    let end = Instant::now() + PATIENCE;
    while child.0.try_wait().unwrap().is_none() {
        assert!(Instant::now() < end, "it goes on without a reader");
        pause(20);
    }
    assert_eq!(child.0.wait().unwrap().code(), Some(0));
}
