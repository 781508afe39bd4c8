//! `power-cut-check`: is everything in a log directory that the agent said is safe?
//!
//! Reads the log with the protocol crate, compares it number by number with what the
//! bridge sent, then starts the agent on it, which repairs and seals, and compares again.

mod bridge;
mod judge;
mod log_dir;

use judge::{Judged, Promise, judge};
use log_dir::LogDir;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};

const USAGE: &str = "\
usage: power-cut-check LOG-DIR PROMISES [AGENT CONFIG FIRST READINGS]
  PROMISES  boot:first:readings:notes, with commas: the bridge's first number in that
            boot, and how many readings and notes the agent said are safe
  AGENT     is then run with CONFIG, which must record READINGS from number FIRST on,
            and everything is judged again

prints one line of name=value; exit codes: 0 nothing lost; 1 wrong use; 3 something lost
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let (dir, promises, restart) = match words[..] {
        [dir, promises] => (dir, promises, None),
        [dir, promises, agent, config, first, readings] => {
            (dir, promises, Some((agent, config, first, readings)))
        }
        _ => return wrong_use(),
    };
    let Some(mut promises) = Promise::list(promises) else { return wrong_use() };
    let before = LogDir::read(Path::new(dir));
    let mut judged = judge(&before, &promises);
    print!("before: {judged}");
    if let Some((agent, config, first, readings)) = restart {
        let (Ok(first), Ok(readings)) = (first.parse(), readings.parse()) else {
            return wrong_use();
        };
        let code = run(agent, config);
        let after = LogDir::read(Path::new(dir));
        // What the cut left beyond the promise is read, so it must stay as well.
        for (boot, log) in &before.boots {
            if let Some(promise) = promises.iter_mut().find(|p| p.boot == *boot) {
                promise.readings = promise.readings.max(log.readings());
                promise.notes = promise.notes.max(log.notes);
            }
        }
        let boot = before.newest_boot + 1;
        // Boots of the recording that had not begun at the cut: this one takes their number.
        promises.retain(|promise| promise.boot < boot);
        promises.push(Promise { boot, first, readings, notes: 2 });
        let again = judge(&after, &promises);
        print!(" after: agent={code} {again}");
        if code != 0 && code != 3 {
            judged.fail(format!("the agent ended with {code}"));
        }
        if after.headless + after.unfinished > 0 {
            judged.fail("the agent left files of the cut as they were".to_owned());
        }
        judged.join(again);
    }
    println!(" verdict={}", if judged.is_good() { "kept" } else { "LOST" });
    for problem in judged.problems.iter().take(3) {
        println!("  {problem}");
    }
    ExitCode::from(if judged.is_good() { 0 } else { 3 })
}

fn wrong_use() -> ExitCode {
    eprint!("{USAGE}");
    ExitCode::from(1)
}

/// The agent's exit code; -1 if it could not be started or was killed.
fn run(agent: &str, config: &str) -> i32 {
    let mut command = Command::new(agent);
    command.args(["run", "--config", config]).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().ok().and_then(|status| status.code()).unwrap_or(-1)
}

impl Judged {
    fn fail(&mut self, problem: String) {
        self.lost += 1;
        self.problems.push(problem);
    }

    fn join(&mut self, other: Self) {
        self.lost += other.lost;
        self.wrong += other.wrong;
        self.problems.extend(other.problems);
    }
}
