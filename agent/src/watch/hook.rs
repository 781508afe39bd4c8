//! A program of the owner's that is run when an alarm begins or ends.
//!
//! It is run without a shell, in a process group of its own, one at a time and at most once
//! in the least time between two; it is killed at its time limit. Alarms wait in a short row
//! meanwhile; what does not fit is left out and counted. All of this is a thread of its
//! own: recording never waits for it.
//!
//! The program is told by its environment:
//!
//! | variable | what |
//! |---|---|
//! | `UNDERBRUSH_ALARM` | kind: `stationary`, `stall`, `over_pressure`, `trip`, `vacuum`, `water`, `pressure`, `head` |
//! | `UNDERBRUSH_STAGE` | `warning` or `event` |
//! | `UNDERBRUSH_ON` | `1` it begins, `0` it ends |
//! | `UNDERBRUSH_MOTOR` | motor from 1, empty where it is of the whole machine |
//! | `UNDERBRUSH_MACHINE` | the machine's id |
//! | `UNDERBRUSH_SINCE` | when it began, in UTC by RFC 3339; empty while the clock is not set |
//! | `UNDERBRUSH_LASTED_MS` | from its begin to this word of it |

use super::kind::{Alarm, Stage};
use crate::board::Board;
use crate::clock::system_fix;
use chrono::{DateTime, SecondsFormat};
use std::io;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Alarms that may wait.
const ROW: usize = 16;
/// How often a running program is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(10);
/// With the agent asked to end, a running program gets so long.
const LAST_WAIT: Duration = Duration::from_millis(500);

/// The settings of the command.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HookSettings {
    /// The program, with its whole path.
    pub program: PathBuf,
    /// Its arguments.
    pub arguments: Vec<String>,
    /// It is killed when it runs longer, in ms.
    pub time_limit_ms: u64,
    /// From one start to the next at least, in ms.
    pub least_between_ms: u64,
}

/// What became of the commands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct HookCounts {
    /// Ended well.
    pub well: u64,
    /// Could not be started, or ended with another code than 0.
    pub failed: u64,
    /// Killed at the time limit.
    pub killed: u64,
    /// Left out, since too many waited.
    pub left_out: u64,
}

/// The way to the thread that runs the program.
pub(super) struct Hook {
    row: Option<SyncSender<(Alarm, Option<i64>)>>,
    board: Board,
    ending: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Hook {
    /// A program that is not there is told, and tried again with each alarm.
    pub(super) fn start(settings: HookSettings, machine: String, board: Board) -> io::Result<Self> {
        if let Some(why) = cannot_run(&settings.program) {
            let program = settings.program.display();
            tracing::warn!(%program, why, "the alarm command cannot be run; recording goes on");
        }
        let (row, alarms) = sync_channel(ROW);
        let ending = Arc::new(AtomicBool::new(false));
        let runner =
            Runner { settings, machine, board: board.clone(), ending: Arc::clone(&ending) };
        // It starts a process and waits; nothing recurses.
        let builder = std::thread::Builder::new().name("command".to_owned()).stack_size(256 * 1024);
        let thread = builder.spawn(move || runner.run(&alarms))?;
        Ok(Self { row: Some(row), board, ending, thread: Some(thread) })
    }

    /// Never waits. `age_ms` is the time since the alarm's begin.
    pub(super) fn tell(&self, alarm: Alarm, age_ms: u64) {
        let began = system_fix().map(|fix| fix.utc.0.saturating_sub_unsigned(age_ms));
        if let Some(row) = &self.row
            && row.try_send((alarm, began)).is_err()
        {
            self.board.hook(|counts| counts.left_out += 1);
        }
    }
}

impl Drop for Hook {
    fn drop(&mut self) {
        // The thread ends with the row; a program that runs gets a moment.
        self.ending.store(true, Ordering::Relaxed);
        self.row = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

struct Runner {
    settings: HookSettings,
    machine: String,
    board: Board,
    ending: Arc<AtomicBool>,
}

/// How one run of the program ended.
enum End {
    Well,
    Failed(String),
    Killed,
}

impl Runner {
    fn run(&self, alarms: &Receiver<(Alarm, Option<i64>)>) {
        let least = Duration::from_millis(self.settings.least_between_ms);
        let mut free_at = Instant::now();
        while let Ok((alarm, began)) = alarms.recv() {
            self.sleep_until(free_at);
            if self.ending.load(Ordering::Relaxed) {
                return;
            }
            free_at = Instant::now() + least;
            let end = match self.command(&alarm, began).spawn() {
                Ok(child) => self.wait(child),
                Err(error) => End::Failed(error.to_string()),
            };
            let program = self.settings.program.display();
            match end {
                End::Well => self.board.hook(|counts| counts.well += 1),
                End::Failed(why) => {
                    tracing::warn!(%program, why, "the alarm command failed");
                    self.board.hook(|counts| counts.failed += 1);
                }
                End::Killed => {
                    tracing::warn!(%program, "the alarm command took too long and was killed");
                    self.board.hook(|counts| counts.killed += 1);
                }
            }
        }
    }

    fn command(&self, alarm: &Alarm, began: Option<i64>) -> Command {
        let since = began.and_then(DateTime::from_timestamp_millis);
        let since = since.map(|at| at.to_rfc3339_opts(SecondsFormat::Millis, true));
        let stage = if alarm.stage == Stage::Event { "event" } else { "warning" };
        let motor = alarm.motor.map_or(String::new(), |motor| (motor + 1).to_string());
        let mut command = Command::new(&self.settings.program);
        command
            .args(&self.settings.arguments)
            .env("UNDERBRUSH_ALARM", alarm.kind.word())
            .env("UNDERBRUSH_STAGE", stage)
            .env("UNDERBRUSH_ON", if alarm.on { "1" } else { "0" })
            .env("UNDERBRUSH_MOTOR", motor)
            .env("UNDERBRUSH_MACHINE", &self.machine)
            .env("UNDERBRUSH_SINCE", since.unwrap_or_default())
            .env("UNDERBRUSH_LASTED_MS", alarm.at.since(alarm.began).to_string())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .process_group(0);
        command
    }

    fn sleep_until(&self, due: Instant) {
        while Instant::now() < due && !self.ending.load(Ordering::Relaxed) {
            std::thread::sleep(LOOK_EVERY);
        }
    }

    fn wait(&self, mut child: Child) -> End {
        let mut end = Instant::now() + Duration::from_millis(self.settings.time_limit_ms);
        let mut ending = false;
        loop {
            match child.try_wait() {
                Ok(Some(status)) if status.success() => return End::Well,
                Ok(Some(status)) => return End::Failed(status.to_string()),
                Ok(None) if Instant::now() < end => {}
                Ok(None) => {
                    kill_group(&mut child);
                    return End::Killed;
                }
                Err(error) => return End::Failed(error.to_string()),
            }
            std::thread::sleep(LOOK_EVERY);
            if !ending && self.ending.load(Ordering::Relaxed) {
                ending = true;
                end = end.min(Instant::now() + LAST_WAIT);
            }
        }
    }
}

/// Why the program cannot be run, as far as its file tells.
fn cannot_run(program: &Path) -> Option<String> {
    match std::fs::metadata(program) {
        Err(error) => Some(error.to_string()),
        Ok(file) if !file.is_file() => Some("it is no file".to_owned()),
        Ok(file) if file.permissions().mode() & 0o111 == 0 => {
            Some("nobody may execute it (chmod +x)".to_owned())
        }
        Ok(_) => None,
    }
}

/// The program and what it started.
fn kill_group(child: &mut Child) {
    use rustix::process::{Pid, Signal, kill_process_group};
    let group = i32::try_from(child.id()).ok().and_then(Pid::from_raw);
    let _ = group.map(|group| kill_process_group(group, Signal::KILL));
    let _ = child.kill();
    let _ = child.wait();
}
