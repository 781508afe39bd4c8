//! What the agent says of itself: one state each for disk, source and clock.
//!
//! | what | state | means | ends |
//! |---|---|---|---|
//! | disk | working | readings are stored | |
//! | | full, read only, away, failing | readings wait in memory, then are dropped and counted | when a write works again; tried every 5 s |
//! | | stuck | the disk takes longer than 10 s for one piece of work | when it answers |
//! | source | waiting | the port or interface is not there | when it opens; tried every 5 s |
//! | | silent | it is open, and nothing came for 5 s | with the next frame |
//! | | noise | most of what came in the last second is damaged | when it is not |
//! | | overload | more came than the disk took: readings were dropped in the last 10 s | 10 s later |
//! | | receiving | frames come | |
//! | clock | unset | the system clock was not set since the start | when it is |
//! | | set | it is set | |
//! | | jumped | it leapt by more than a second within the last 10 min | 10 min later |
//!
//! All of them end by themselves; none needs a person.

use crate::ring::HighRateCounts;
use crate::watch::{Alarm, AlarmKind, HookCounts, Stage};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::io::ErrorKind;

/// The disk.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DiskState {
    /// Readings are stored.
    #[default]
    Working,
    /// There is no room.
    Full,
    /// It may only be read.
    ReadOnly,
    /// The directory is not there.
    Away,
    /// Writing or syncing fails otherwise.
    Failing,
    /// It does not answer.
    Stuck,
}

impl DiskState {
    /// The state that an error of a write or sync stands for.
    pub(crate) fn of(error: ErrorKind) -> Self {
        match error {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Self::Full,
            ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied => Self::ReadOnly,
            ErrorKind::NotFound | ErrorKind::NotADirectory | ErrorKind::AlreadyExists => Self::Away,
            _ => Self::Failing,
        }
    }
}

/// Where the frames come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceState {
    /// It is not there.
    #[default]
    Waiting,
    /// It is open and says nothing.
    Silent,
    /// Most of what it says is damaged.
    Noise,
    /// It says more than can be stored.
    Overload,
    /// Frames come.
    Receiving,
}

/// The system clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ClockState {
    /// It was not set since the start.
    #[default]
    Unset,
    /// It is set.
    Set,
    /// It leapt a short while ago.
    Jumped,
}

/// An alarm that is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AlarmOn {
    /// What.
    pub kind: AlarmKind,
    /// How sure.
    pub stage: Stage,
    /// Motor from 0, where it is of one.
    pub motor: Option<u8>,
    /// Since when, in ms from the start.
    pub since_ms: u64,
}

impl AlarmOn {
    /// The one that begins or ends with this.
    pub(crate) fn of(alarm: &Alarm) -> Self {
        let Alarm { kind, stage, motor, began, .. } = *alarm;
        Self { kind, stage, motor, since_ms: began.0 }
    }

    /// Whether it is the one that begins or ends with this.
    pub(crate) fn is_of(&self, alarm: &Alarm) -> bool {
        (self.kind, self.stage, self.motor) == (alarm.kind, alarm.stage, alarm.motor)
    }
}

/// Everything, at one moment. Counts are since the start of the agent.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Status {
    /// Version of the agent.
    pub version: String,
    /// Its process.
    pub process: u32,
    /// Id of the machine.
    pub machine: String,
    /// Number of this start; `None` until the disk could be looked at.
    pub boot: Option<u32>,
    /// Seconds since the start.
    pub up_s: u64,
    /// Disk.
    pub disk: DiskState,
    /// What the disk said, while it does not work.
    pub disk_error: Option<String>,
    /// Entries that wait in memory for the disk.
    pub waiting_entries: u64,
    /// Readings in journals and archives.
    pub readings_stored: u64,
    /// Readings dropped for want of a disk.
    pub readings_dropped: u64,
    /// Entries safe from a power cut.
    pub entries_synced: u64,
    /// Times that writing failed.
    pub disk_failures: u32,
    /// Archives made.
    pub archives: u64,
    /// Journals that wait to be sealed.
    pub journals_waiting: u64,
    /// Bytes of journals that a power cut had torn.
    pub torn_bytes: u64,
    /// Bytes of journals that were damaged otherwise.
    pub damaged_bytes: u64,
    /// Archives on the disk.
    pub log_archives: u64,
    /// Their bytes.
    pub log_bytes: u64,
    /// Of these beyond age or size, but kept until a copy is confirmed.
    pub held_for_copy: u64,
    /// Bytes of free room that are missing, with nothing left that may be removed.
    pub short_bytes: u64,
    /// Archives removed by age or size, or for room.
    pub removed: u64,
    /// Of these: not copied before, since the disk left no choice.
    pub removed_uncopied: u64,
    /// Source.
    pub source: SourceState,
    /// Its port, interface or file.
    pub source_name: String,
    /// Frames understood.
    pub frames: u64,
    /// Frames in the last second.
    pub frames_per_s: u64,
    /// Frames missing by number.
    pub frames_missing: u64,
    /// Packets damaged.
    pub packets_damaged: u64,
    /// Times the port was lost.
    pub port_losses: u64,
    /// Times the bridge began anew.
    pub bridge_restarts: u64,
    /// Clock.
    pub clock: ClockState,
    /// Half width of the interval that holds the true time, in ms.
    pub clock_uncertainty_ms: Option<u32>,
    /// Times the clock leapt.
    pub clock_jumps: u32,
    /// Alarms that are on, the oldest first.
    #[serde(default)]
    pub alarms: Vec<AlarmOn>,
    /// Alarms so far, warnings included.
    #[serde(default)]
    pub alarms_told: u64,
    /// Of these warnings that were shown, but not heard: see `warnings_in_a_row`.
    #[serde(default)]
    pub warnings_hushed: u64,
    /// What became of the alarm command's runs.
    #[serde(default)]
    pub alarm_commands: HookCounts,
    /// Times that the alarm relay could not be switched.
    #[serde(default)]
    pub relay_failures: u64,
    /// Frames that could not be sent to the bridge.
    #[serde(default)]
    pub bridge_unsent: u64,
    /// What became of readings at full rate.
    #[serde(default)]
    pub high_rate: HighRateCounts,
}

impl Status {
    /// Whether readings are being stored and nothing stands in the way.
    pub fn all_well(&self) -> bool {
        self.disk == DiskState::Working && self.source == SourceState::Receiving
    }

    /// One line of JSON.
    pub fn json(&self) -> String {
        // Numbers, texts and plain enums always have a JSON form.
        serde_json::to_string(self).unwrap_or_default() + "\n"
    }

    /// One line, as a service manager shows it.
    pub fn line(&self) -> String {
        let Self { disk, source, clock, readings_stored, .. } = self;
        format!("disk {disk}; source {source}; clock {clock}; {readings_stored} readings stored")
    }
}

impl fmt::Display for DiskState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Working => "working",
            Self::Full => "full",
            Self::ReadOnly => "read only",
            Self::Away => "away",
            Self::Failing => "failing",
            Self::Stuck => "stuck",
        })
    }
}

impl fmt::Display for SourceState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Waiting => "waiting",
            Self::Silent => "silent",
            Self::Noise => "noise",
            Self::Overload => "overload",
            Self::Receiving => "receiving",
        })
    }
}

impl fmt::Display for ClockState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Unset => "unset",
            Self::Set => "set",
            Self::Jumped => "jumped",
        })
    }
}

impl fmt::Display for AlarmOn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stage = if self.stage == Stage::Event { "alarm" } else { "warning" };
        write!(f, "{stage}: {}", self.kind.says())?;
        if let Some(motor) = self.motor {
            write!(f, " (motor {})", motor + 1)?;
        }
        write!(f, " since {:.1} s after the start", self.since_ms as f64 / 1e3)
    }
}

impl Status {
    /// Nothing for a bridge without readings at full rate.
    fn high_rate_line(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let counts = self.high_rate;
        if counts.came == 0 {
            return Ok(());
        }
        write!(f, "fine     {} readings at full rate came", counts.came)?;
        write!(f, ", {} stored for {} events", counts.given, counts.events)?;
        writeln!(f, ", {} lost, {} left the memory early", counts.lost, counts.left_early)
    }
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let boot = self.boot.map_or("not begun".to_owned(), |boot| boot.to_string());
        let machine = self.machine.escape_debug();
        writeln!(f, "machine  {machine}, power-on {boot}, running for {} s", self.up_s)?;
        let (waiting, dropped) = (self.waiting_entries, self.readings_dropped);
        write!(f, "disk     {}", self.disk)?;
        if let Some(error) = &self.disk_error {
            write!(f, " ({})", error.escape_debug())?;
        }
        write!(f, ": {} readings stored, {waiting} entries waiting", self.readings_stored)?;
        writeln!(f, ", {dropped} readings dropped, {} failures", self.disk_failures)?;
        let (archives, journals) = (self.archives, self.journals_waiting);
        write!(f, "log      {archives} archives made, {journals} journals waiting to be sealed")?;
        write!(f, ", {} bytes torn, {} damaged", self.torn_bytes, self.damaged_bytes)?;
        writeln!(f, ", {} removed ({} uncopied)", self.removed, self.removed_uncopied)?;
        write!(f, "kept     {} archives, {} bytes", self.log_archives, self.log_bytes)?;
        let (held, short) = (self.held_for_copy, self.short_bytes);
        writeln!(f, ", {held} waiting to be copied, {short} bytes of room missing")?;
        write!(f, "source   {} ({})", self.source, self.source_name.escape_debug())?;
        write!(f, ": {} frames, {} in the last second", self.frames, self.frames_per_s)?;
        write!(f, ", {} missing, {} damaged", self.frames_missing, self.packets_damaged)?;
        writeln!(f, ", {} port losses, {} restarts", self.port_losses, self.bridge_restarts)?;
        write!(f, "clock    {}", self.clock)?;
        if let Some(ms) = self.clock_uncertainty_ms {
            write!(f, ": known to {} s", f64::from(ms) / 1e3)?;
        }
        writeln!(f, ", {} jumps", self.clock_jumps)?;
        write!(f, "alarms   {} so far, {} not heard", self.alarms_told, self.warnings_hushed)?;
        for on in &self.alarms {
            write!(f, "; {on}")?;
        }
        writeln!(f)?;
        let HookCounts { well, failed, killed, left_out } = self.alarm_commands;
        write!(
            f,
            "told     {well} commands run, {failed} failed, {killed} killed, {left_out} left out"
        )?;
        writeln!(
            f,
            ", {} relay failures, {} unsent to the bridge",
            self.relay_failures, self.bridge_unsent
        )?;
        self.high_rate_line(f)
    }
}
