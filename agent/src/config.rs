//! The agent's settings file and the machine file that it names.

mod alarm;
mod high_rate;
mod retention;
mod source;

pub use source::{ADAPTER_BITRATES, CanAdapter, Source};

use crate::decode::canopen::read_eds_files;
use crate::error::AgentError;
use crate::record::{Limits, Rotation};
use crate::ring::HighRateSettings;
use crate::watch::AlarmSettings;
use alarm::AlarmTable;
use high_rate::HighRateTable;
use retention::RetentionTable;
use serde::Deserialize;
use source::SourceTable;
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::{Machine, SettingsError, error_at, parse};
use underbrush_protocol::si::Seconds;

/// A journal is sealed at this size too. Sealing holds the whole journal and one block
/// of the archive in memory, and a small board should do that in 10 MB. An hour of 80
/// readings a second, at 3 to 4 bytes each, takes about 1 MB.
pub const SEAL_AT_BYTES: u64 = 3 << 19;

const SOCKET: &str = "agent.sock";

/// Everything a run needs to know.
#[derive(Clone, Debug, PartialEq)]
pub struct Config {
    /// Where the log goes.
    pub log_dir: PathBuf,
    /// The socket at which a live agent answers; by default `agent.sock` beside the log.
    pub control: PathBuf,
    /// What is recorded.
    pub machine: Machine,
    /// The machine file's path, for messages.
    pub machine_file: PathBuf,
    /// Its text, to find lines in.
    pub machine_text: String,
    /// Where the data come from.
    pub source: Source,
    /// How the journal is kept.
    pub journal: Journal,
    /// How much of the log is kept.
    pub retention: Limits,
    /// What is told while it happens.
    pub alarm: AlarmSettings,
    /// What is kept at full rate around events.
    pub high_rate: HighRateSettings,
}

/// How the journal is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Journal {
    /// A power cut loses at most this much.
    pub sync_every_ms: u64,
    /// When a journal ends and is sealed.
    pub rotation: Rotation,
}

impl Default for Journal {
    fn default() -> Self {
        Self {
            sync_every_ms: 1_000,
            rotation: Rotation { after_ms: 3_600_000, bytes: SEAL_AT_BYTES },
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    log_dir: PathBuf,
    control: Option<PathBuf>,
    machine: PathBuf,
    source: SourceTable,
    #[serde(default)]
    journal: JournalTable,
    #[serde(default)]
    retention: RetentionTable,
    #[serde(default)]
    alarm: AlarmTable,
    #[serde(default)]
    high_rate: HighRateTable,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct JournalTable {
    sync_every: Option<Seconds>,
    seal_after: Option<Seconds>,
}

impl Config {
    /// Reads a settings file and the machine file that it names.
    pub fn read(path: &Path) -> Result<Self, AgentError> {
        let text = read(path)?;
        let dir = path.parent().unwrap_or(Path::new(""));
        let name = path.display().to_string();
        let mut config = Self::parse(&name, &text)?;
        let below = |path: &mut PathBuf| *path = dir.join(&*path);
        below(&mut config.log_dir);
        below(&mut config.control);
        below(&mut config.machine_file);
        config.source.files().for_each(below);
        let config = config.with_machine()?;
        config.source.check_map(&config.machine, &name, &text)?;
        Ok(config)
    }

    /// Checks the text of a settings file alone, without the files that it names.
    pub fn check_text(name: &str, text: &str) -> Result<(), SettingsError> {
        Self::parse(name, text).map(drop)
    }

    /// Reads the text of a settings file, up to the machine file.
    fn parse(name: &str, text: &str) -> Result<Checked, SettingsError> {
        let file: File = parse(name, text)?;
        let source = file.source.check(name, text)?;
        let journal = file.journal.check(name, text)?;
        let retention = file.retention.check(name, text)?;
        let alarm = file.alarm.check(name, text)?;
        let high_rate = file.high_rate.check(name, text)?;
        let control = file.control.unwrap_or_else(|| file.log_dir.join(SOCKET));
        let (log_dir, machine_file) = (file.log_dir, file.machine);
        Ok(Checked { log_dir, control, machine_file, source, journal, retention, alarm, high_rate })
    }
}

/// All of a [`Config`] but the machine.
struct Checked {
    log_dir: PathBuf,
    control: PathBuf,
    machine_file: PathBuf,
    source: Source,
    journal: Journal,
    retention: Limits,
    alarm: AlarmSettings,
    high_rate: HighRateSettings,
}

impl Checked {
    fn with_machine(self) -> Result<Config, AgentError> {
        let Self { log_dir, control, machine_file, source, .. } = self;
        let Self { journal, retention, alarm, high_rate, .. } = self;
        let machine_text = read(&machine_file)?;
        let mut machine = Machine::parse(&machine_file.display().to_string(), &machine_text)?;
        read_eds_files(&mut machine, &machine_file, &machine_text)?;
        Ok(Config {
            log_dir,
            control,
            machine,
            machine_file,
            machine_text,
            source,
            journal,
            retention,
            alarm,
            high_rate,
        })
    }
}

fn read(path: &Path) -> Result<String, AgentError> {
    std::fs::read_to_string(path)
        .map_err(|source| AgentError::Read { path: path.to_owned(), source })
}

impl JournalTable {
    fn check(self, name: &str, text: &str) -> Result<Journal, SettingsError> {
        let ms = |time: Option<Seconds>, key: &str, usual: u64, (least, most): (u64, u64)| {
            let Some(Seconds(seconds)) = time else { return Ok(usual) };
            let ms = seconds * 1000.0;
            if (least as f64..=most as f64).contains(&ms) {
                return Ok(ms as u64);
            }
            let message = format!("must be {} s to {} s", least as f64 / 1e3, most as f64 / 1e3);
            Err(error_at(name, text, &format!("journal.{key}"), message))
        };
        let usual = Journal::default();
        Ok(Journal {
            sync_every_ms: ms(self.sync_every, "sync_every", usual.sync_every_ms, (10, 60_000))?,
            rotation: Rotation {
                after_ms: ms(
                    self.seal_after,
                    "seal_after",
                    usual.rotation.after_ms,
                    (1_000, 86_400_000),
                )?,
                ..usual.rotation
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::time::UtcMs;

    const HEAD: &str = "log_dir = \"log\"\nmachine = \"machine.toml\"\n[source]\n";

    fn source(keys: &str) -> Result<Source, String> {
        let text = format!("{HEAD}{keys}");
        Config::parse("agent.toml", &text).map(|c| c.source).map_err(|e| e.to_string())
    }

    #[test]
    fn each_kind_has_its_keys() {
        let serial = source("kind = \"serial\"\nport = \"/dev/ttyACM0\"\n").unwrap();
        assert_eq!(serial, Source::Serial { port: "/dev/ttyACM0".to_owned(), baud: 115_200 });
        let capture =
            source("kind = \"capture\"\nfile = \"n.bytes\"\nstart = 1996-12-19T16:39:57-08:00\n");
        // Source: RFC 3339 section 5.8, the same instant as 1996-12-20T00:39:57Z = 851042397 s.
        let start = Some(UtcMs(851_042_397_000));
        assert_eq!(capture.unwrap(), Source::Capture { file: "n.bytes".into(), start });
        let given = source(
            "kind = \"can-capture\"\nfile = \"n.blf\"\ndbc = \"d\"\nstart = 1996-12-19T16:39:57-08:00\n",
        );
        let dbc = Some("d".into());
        let file = "n.blf".into();
        assert_eq!(given.unwrap(), Source::CanCapture { file, format: None, start, dbc });
        let given =
            source("kind = \"can-adapter\"\nport = \"p\"\nbitrate = 250_000\ndbc = \"d\"\n");
        let Source::CanAdapter { adapter, .. } = given.unwrap() else { panic!() };
        assert!(adapter.listen_only && !adapter.timestamps);
        assert_eq!((adapter.baud, adapter.bitrate), (115_200, 250_000));
    }

    #[test]
    fn wrong_keys_are_named_with_their_line() {
        for (keys, start) in [
            (
                "kind = \"serial\"\n",
                "agent.toml, line 4, key `source.kind`: kind = \"serial\" needs the key `port`",
            ),
            (
                "kind = \"serial\"\nport = \"p\"\nfile = \"f\"\n",
                "agent.toml, line 6, key `source.file`: does not go with",
            ),
            (
                "kind = \"candump\"\ndbc = \"f\"\n",
                "agent.toml, line 4, key `source.kind`: kind = \"candump\" needs the key `file`",
            ),
            (
                "kind = \"capture\"\nfile = \"f\"\ndbc = \"d\"\n",
                "agent.toml, line 6, key `source.dbc`: does not go with kind = \"capture\": for a recording",
            ),
            (
                "kind = \"can-adapter\"\nport = \"p\"\n",
                "agent.toml, line 4, key `source.kind`: kind = \"can-adapter\" needs the key `bitrate`",
            ),
            (
                "kind = \"can-adapter\"\nport = \"p\"\nbitrate = 300000\n",
                "agent.toml, line 6, key `source.bitrate`: an adapter can be set to 10000, ",
            ),
            (
                "kind = \"serail\"\n",
                "agent.toml, line 4, key `source.kind`: unknown word `serail`; did you mean `serial`?",
            ),
            (
                "kind = \"serial\"\nport = \"p\"\nboud = 3\n",
                "agent.toml, line 6, key `source.boud`: unknown key `boud`; did you mean `baud`?",
            ),
            (
                "kind = \"serial\"\nport = \"p\"\nbaud = 3\n",
                "agent.toml, line 6, key `source.baud`: a port can",
            ),
            (
                "kind = \"serial\"\nport = 7\n",
                "agent.toml, line 5, key `source.port`: invalid type",
            ),
            (
                "kind = \"capture\"\nfile = \"f\"\nstart = 2026-11-23T22:00:00\n",
                "agent.toml, line 6, key `source.start`: `2026-11-23T22:00:00` is no date",
            ),
            ("port = \"p\"\n", "agent.toml, line 3"),
            (
                "kind = \"serial\"\nport = \"p\"\n[journal]\nsync_every = \"0 s\"\n",
                "agent.toml, line 7, key `journal.sync_every`: must be 0.01 s to 60 s",
            ),
            (
                "kind = \"serial\"\nport = \"p\"\n[journal]\nseal_after = 3\n",
                "agent.toml, line 7, key `journal.seal_after`: ",
            ),
        ] {
            let told = source(keys).unwrap_err();
            assert!(told.starts_with(start), "{told}\nshould begin with\n{start}");
        }
    }

    #[cfg(not(feature = "socketcan"))]
    #[test]
    fn a_can_interface_needs_its_feature() {
        let told = source("kind = \"socketcan\"\ninterface = \"can0\"\ndbc = \"d\"\n").unwrap_err();
        assert!(told.contains("built without CAN interfaces"), "{told}");
    }
}
