//! The table `[source]`: where the data come from.

use crate::source::capture::CaptureFormat;
use serde::Deserialize;
use serde::de::{Deserializer, Error as _};
use std::path::PathBuf;
use underbrush_protocol::settings::{Machine, SettingsError, error_at};
use underbrush_protocol::time::UtcMs;

/// Bit rates that the adapters' protocol has a command for (`S0` to `S8`), in its order.
/// Source: Linux, `drivers/net/can/slcan/slcan-core.c`.
pub const ADAPTER_BITRATES: [u32; 9] =
    [10_000, 20_000, 50_000, 100_000, 125_000, 250_000, 500_000, 800_000, 1_000_000];

/// Where the data come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// A bridge at a serial port.
    Serial {
        /// Device, for instance `/dev/ttyACM0`.
        port: String,
        /// Bits a second.
        baud: u32,
    },
    /// A file with the bytes of a bridge.
    Capture {
        /// The file.
        file: PathBuf,
        /// Time of its first frame.
        start: Option<UtcMs>,
    },
    /// A recording of a CAN bus by another program.
    CanCapture {
        /// The file.
        file: PathBuf,
        /// How it is written, if its content does not say.
        format: Option<CaptureFormat>,
        /// Time of its first frame, if it is known better than the file knows it.
        start: Option<UtcMs>,
        /// Names and places of the signals.
        dbc: Option<PathBuf>,
    },
    /// A CAN interface of Linux.
    SocketCan {
        /// Its name, for instance `can0`.
        interface: String,
        /// Names and places of the signals.
        dbc: Option<PathBuf>,
    },
    /// A CAN adapter at a serial port that speaks the common ASCII protocol.
    CanAdapter {
        /// How it is reached and set.
        adapter: CanAdapter,
        /// Names and places of the signals.
        dbc: Option<PathBuf>,
    },
}

/// How a CAN adapter is reached and set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CanAdapter {
    /// Device, for instance `/dev/ttyACM0`.
    pub port: String,
    /// Bits a second of the port.
    pub baud: u32,
    /// Bits a second of the bus; one of [`ADAPTER_BITRATES`].
    pub bitrate: u32,
    /// Whether it only listens, and not even confirms frames. Nothing is ever sent either way.
    pub listen_only: bool,
    /// Whether it is told to put times to frames. Some keep that when switched off.
    pub timestamps: bool,
}

impl Source {
    /// The port, interface or file.
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Serial { port, .. } => port.clone(),
            Self::CanAdapter { adapter, .. } => adapter.port.clone(),
            Self::SocketCan { interface, .. } => interface.clone(),
            Self::Capture { file, .. } | Self::CanCapture { file, .. } => {
                file.display().to_string()
            }
        }
    }

    /// The files that it names.
    pub(super) fn files(&mut self) -> impl Iterator<Item = &mut PathBuf> {
        let (file, dbc) = match self {
            Self::Serial { .. } => (None, None),
            Self::Capture { file, .. } => (Some(file), None),
            Self::CanCapture { file, dbc, .. } => (Some(file), dbc.as_mut()),
            Self::SocketCan { dbc, .. } | Self::CanAdapter { dbc, .. } => (None, dbc.as_mut()),
        };
        file.into_iter().chain(dbc)
    }

    /// Whether something says what the frames of a CAN bus mean.
    pub(super) fn check_map(
        &self,
        machine: &Machine,
        name: &str,
        text: &str,
    ) -> Result<(), SettingsError> {
        let dbc = match self {
            Self::Serial { .. } | Self::Capture { .. } => return Ok(()),
            Self::CanCapture { dbc, .. }
            | Self::SocketCan { dbc, .. }
            | Self::CanAdapter { dbc, .. } => dbc,
        };
        if dbc.is_some() || (machine.signals.is_empty() && !machine.pdos.is_empty()) {
            return Ok(());
        }
        let message = if machine.signals.is_empty() {
            "the key `dbc` is missing: a CAN bus needs the DBC file that names its signals, or \
             [[pdo]] tables in the machine file"
        } else {
            "the key `dbc` is missing: the [[signal]] tables of the machine file name signals of it"
        };
        Err(error_at(name, text, "source.kind", message))
    }
}

/// All keys of all kinds. Which of them a kind needs is checked after parsing: a
/// tagged enum of serde would forget on which line each key stands.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SourceTable {
    kind: Kind,
    port: Option<String>,
    baud: Option<u32>,
    file: Option<PathBuf>,
    dbc: Option<PathBuf>,
    interface: Option<String>,
    start: Option<Instant>,
    bitrate: Option<u32>,
    listen_only: Option<bool>,
    timestamps: Option<bool>,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Serial,
    Capture,
    Candump,
    Socketcan,
    CanCapture,
    CanAdapter,
}

/// A TOML date-time with its offset from UTC.
struct Instant(UtcMs);

impl<'de> Deserialize<'de> for Instant {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = toml::value::Datetime::deserialize(d)?.to_string();
        chrono::DateTime::parse_from_rfc3339(&text)
            .map(|time| Self(UtcMs(time.timestamp_millis())))
            .map_err(|_| {
                D::Error::custom(format!(
                    "`{text}` is no date and time with an offset from UTC: \
                     write it like 2026-11-23T22:00:00-06:00"
                ))
            })
    }
}

impl Kind {
    /// The word, the keys it needs, and those that may stand beside them.
    fn keys(self) -> (&'static str, &'static [&'static str], &'static [&'static str]) {
        match self {
            Self::Serial => ("serial", &["port"], &["baud"]),
            Self::Capture => ("capture", &["file"], &["start"]),
            Self::Candump => ("candump", &["file"], &["dbc", "start"]),
            Self::Socketcan => ("socketcan", &["interface"], &["dbc"]),
            Self::CanCapture => ("can-capture", &["file"], &["dbc", "start"]),
            Self::CanAdapter => {
                let may = &["baud", "dbc", "listen_only", "timestamps"];
                ("can-adapter", &["port", "bitrate"], may)
            }
        }
    }
}

impl SourceTable {
    pub(super) fn check(self, name: &str, text: &str) -> Result<Source, SettingsError> {
        let (kind, needed, allowed) = self.kind.keys();
        let given = [
            ("port", self.port.is_some()),
            ("baud", self.baud.is_some()),
            ("file", self.file.is_some()),
            ("dbc", self.dbc.is_some()),
            ("interface", self.interface.is_some()),
            ("start", self.start.is_some()),
            ("bitrate", self.bitrate.is_some()),
            ("listen_only", self.listen_only.is_some()),
            ("timestamps", self.timestamps.is_some()),
        ];
        for (key, is_given) in given {
            if is_given && !needed.contains(&key) && !allowed.contains(&key) {
                let hint = match (self.kind, key) {
                    (Kind::Capture, "dbc") => "for a recording of a CAN bus write can-capture",
                    _ => "take it out",
                };
                let message = format!("does not go with kind = \"{kind}\": {hint}");
                return Err(error_at(name, text, &format!("source.{key}"), message));
            }
            if !is_given && needed.contains(&key) {
                let message = format!("kind = \"{kind}\" needs the key `{key}`");
                return Err(error_at(name, text, "source.kind", message));
            }
        }
        if self.baud.is_some_and(|baud| !(50..=20_000_000).contains(&baud)) {
            let message = "a port can run at 50 to 20000000 bits a second";
            return Err(error_at(name, text, "source.baud", message));
        }
        if self.bitrate.is_some_and(|bitrate| !ADAPTER_BITRATES.contains(&bitrate)) {
            let all = ADAPTER_BITRATES.map(|bitrate| bitrate.to_string()).join(", ");
            let message = format!("an adapter can be set to {all} bits a second of the bus");
            return Err(error_at(name, text, "source.bitrate", message));
        }
        if cfg!(not(all(feature = "socketcan", target_os = "linux")))
            && matches!(self.kind, Kind::Socketcan)
        {
            let message = "this agent was built without CAN interfaces: build it on Linux \
                           with `--features socketcan`, or record with `candump -L` and use kind = \"candump\"";
            return Err(error_at(name, text, "source.kind", message));
        }
        Ok(self.source())
    }

    /// The source, once the keys that it needs are there.
    fn source(self) -> Source {
        let port = self.port.unwrap_or_default();
        let baud = self.baud.unwrap_or(115_200);
        let file = self.file.unwrap_or_default();
        let start = self.start.map(|start| start.0);
        let dbc = self.dbc;
        match self.kind {
            Kind::Serial => Source::Serial { port, baud },
            Kind::Capture => Source::Capture { file, start },
            Kind::Candump => {
                Source::CanCapture { file, format: Some(CaptureFormat::Candump), start, dbc }
            }
            Kind::CanCapture => Source::CanCapture { file, format: None, start, dbc },
            Kind::Socketcan => {
                Source::SocketCan { interface: self.interface.unwrap_or_default(), dbc }
            }
            Kind::CanAdapter => {
                let adapter = CanAdapter {
                    port,
                    baud,
                    bitrate: self.bitrate.unwrap_or_default(),
                    listen_only: self.listen_only.unwrap_or(true),
                    timestamps: self.timestamps.unwrap_or(false),
                };
                Source::CanAdapter { adapter, dbc }
            }
        }
    }
}
