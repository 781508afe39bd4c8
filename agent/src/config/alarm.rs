//! The table `[alarm]`: what is told while it happens.

use crate::watch::{AlarmKind, AlarmSettings, HookSettings, RelaySettings};
use serde::Deserialize;
use serde::de::{Deserializer, Error, IntoDeserializer, Unexpected, Visitor};
use std::fmt;
use std::path::PathBuf;
use underbrush_protocol::settings::{SettingsError, error_at};
use underbrush_protocol::si::Seconds;

/// A warning later than this is none.
const LATEST_S: f64 = 60.0;

/// The table as it stands in the file.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AlarmTable {
    #[serde(default)]
    off: Vec<AlarmKind>,
    #[serde(default)]
    warn: WarnTable,
    warnings_in_a_row: Option<u32>,
    warning_rest: Option<Seconds>,
    #[serde(default)]
    bridge_buzzer: bool,
    relay: Option<RelayTable>,
    command: Option<CommandTable>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RelayTable {
    chip: PathBuf,
    line: u32,
    #[serde(default)]
    active_low: bool,
    hold: Option<Seconds>,
    warnings: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CommandTable {
    program: PathBuf,
    #[serde(default)]
    arguments: Vec<String>,
    time_limit: Option<Seconds>,
    least_between: Option<Seconds>,
}

/// When to warn before the event; `"0 s"` is at once, `false` never.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct WarnTable {
    stationary: Option<Warning>,
    stall: Option<Warning>,
    over_pressure: Option<Warning>,
    trip: Option<Warning>,
    vacuum: Option<Warning>,
    water: Option<Warning>,
    pressure: Option<Warning>,
    head: Option<Warning>,
}

#[derive(Clone, Copy)]
enum Warning {
    Never,
    After(Seconds),
}

impl<'de> Deserialize<'de> for Warning {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(WarningVisitor)
    }
}

struct WarningVisitor;

impl Visitor<'_> for WarningVisitor {
    type Value = Warning;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "a time with its unit in quotes, for instance \"0.5 s\", or false for no warning",
        )
    }

    fn visit_bool<E: Error>(self, warns: bool) -> Result<Warning, E> {
        if warns {
            Err(E::invalid_value(Unexpected::Bool(true), &self))
        } else {
            Ok(Warning::Never)
        }
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Warning, E> {
        Seconds::deserialize(text.into_deserializer()).map(Warning::After)
    }
}

impl WarnTable {
    fn given(&self) -> impl Iterator<Item = (AlarmKind, Warning)> {
        let given = |kind: AlarmKind| match kind {
            AlarmKind::Stationary => self.stationary,
            AlarmKind::Stall => self.stall,
            AlarmKind::OverPressure => self.over_pressure,
            AlarmKind::Trip => self.trip,
            AlarmKind::Vacuum => self.vacuum,
            AlarmKind::Water => self.water,
            AlarmKind::Pressure => self.pressure,
            AlarmKind::Head => self.head,
        };
        AlarmKind::ALL.into_iter().filter_map(move |kind| Some((kind, given(kind)?)))
    }
}

impl AlarmTable {
    pub(super) fn check(self, name: &str, text: &str) -> Result<AlarmSettings, SettingsError> {
        let within = |time: Option<Seconds>, key: &str, usual: u64, (least, most): (f64, f64)| {
            let Some(Seconds(s)) = time else { return Ok(usual) };
            if (least..=most).contains(&s) {
                return Ok((s * 1000.0) as u64);
            }
            let message = format!("must be {least} s to {most} s");
            Err(error_at(name, text, &format!("alarm.{key}"), message))
        };
        let usual = AlarmSettings::default();
        let warning_rest_ms =
            within(self.warning_rest, "warning_rest", usual.warning_rest_ms, (0.0, 3_600.0))?;
        let warnings_in_a_row = self.warnings_in_a_row.unwrap_or(usual.warnings_in_a_row);
        if !(1..=100).contains(&warnings_in_a_row) {
            return Err(error_at(name, text, "alarm.warnings_in_a_row", "must be 1 to 100"));
        }
        let relay = self.relay.map(|table| {
            let RelayTable { chip, line, active_low, hold, warnings } = table;
            if cfg!(not(all(feature = "gpio", target_os = "linux"))) {
                let message = "this agent was built without GPIO lines: build it on Linux with \
                               `--features gpio`, or use `alarm.command`";
                return Err(error_at(name, text, "alarm.relay.chip", message));
            }
            let hold_ms = within(hold, "relay.hold", 1_000, (0.1, 60.0))?;
            let warnings = warnings.unwrap_or(true);
            Ok(RelaySettings { chip, line, active_low, hold_ms, warnings })
        });
        let command = self.command.map(|table| {
            let CommandTable { program, arguments, time_limit, least_between } = table;
            if !program.is_absolute() {
                let message = "needs its whole path: it is run without a shell";
                return Err(error_at(name, text, "alarm.command.program", message));
            }
            let time_limit_ms = within(time_limit, "command.time_limit", 5_000, (0.1, 60.0))?;
            let least_between_ms =
                within(least_between, "command.least_between", 1_000, (0.1, 3_600.0))?;
            Ok(HookSettings { program, arguments, time_limit_ms, least_between_ms })
        });
        let mut settings = AlarmSettings {
            off: self.off,
            warnings_in_a_row,
            warning_rest_ms,
            bridge_buzzer: self.bridge_buzzer,
            relay: relay.transpose()?,
            command: command.transpose()?,
            ..usual
        };
        for (kind, warning) in self.warn.given() {
            settings.warn_ms.retain(|(other, _)| *other != kind);
            match warning {
                Warning::Never => {}
                Warning::After(Seconds(s)) if (0.0..=LATEST_S).contains(&s) => {
                    settings.warn_ms.push((kind, (s * 1000.0) as u64));
                }
                Warning::After(_) => {
                    let key = format!("alarm.warn.{}", kind.word());
                    return Err(error_at(name, text, &key, "must be 0 s to 60 s"));
                }
            }
        }
        Ok(settings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::settings::parse;

    #[derive(Deserialize)]
    struct File {
        #[serde(default)]
        alarm: AlarmTable,
    }

    fn settings(text: &str) -> Result<AlarmSettings, String> {
        let file: File = parse("agent.toml", text).map_err(|error| error.to_string())?;
        file.alarm.check("agent.toml", text).map_err(|error| error.to_string())
    }

    #[test]
    fn kinds_and_times() {
        let usual = settings("").unwrap();
        assert_eq!(usual, AlarmSettings::default());
        assert_eq!(usual.warns_after_ms(AlarmKind::Stationary), Some(500));
        let text = "[alarm]\noff = [\"head\", \"trip\"]\n[alarm.warn]\nstationary = \"300 ms\"\n\
                    stall = false\nwater = \"2 s\"\n";
        let given = settings(text).unwrap();
        assert_eq!(given.warns_after_ms(AlarmKind::Stationary), Some(300));
        assert_eq!(given.warns_after_ms(AlarmKind::Stall), None);
        assert_eq!(given.warns_after_ms(AlarmKind::Water), Some(2_000));
        assert_eq!(given.warns_after_ms(AlarmKind::OverPressure), Some(1_000));
        assert!(!given.tells(AlarmKind::Head) && given.tells(AlarmKind::Vacuum));
        assert_eq!((usual.warnings_in_a_row, usual.warning_rest_ms), (3, 10_000));
        let given = settings("[alarm]\nwarnings_in_a_row = 5\nwarning_rest = \"0 s\"\n").unwrap();
        assert_eq!((given.warnings_in_a_row, given.warning_rest_ms), (5, 0));
    }

    #[test]
    fn wrong_values_are_named_with_their_line() {
        for (text, start) in [
            (
                "[alarm]\nof = []\n",
                "agent.toml, line 2, key `alarm.of`: unknown key `of`; did you mean `off`?",
            ),
            (
                "[alarm]\n\noff = [\"watr\"]\n",
                "agent.toml, line 3, key `alarm.off`: unknown word `watr`; did you mean `water`?",
            ),
            (
                "[alarm]\nwarnings_in_a_row = 0\n",
                "agent.toml, line 2, key `alarm.warnings_in_a_row`: must be 1 to 100",
            ),
            (
                "[alarm]\nwarning_rest = \"2 h\"\n",
                "agent.toml, line 2, key `alarm.warning_rest`: must be 0 s to 3600 s",
            ),
            (
                "[alarm.warn]\nstall = \"90 s\"\n",
                "agent.toml, line 2, key `alarm.warn.stall`: must be 0 s to 60 s",
            ),
            (
                "[alarm.warn]\nstall = \"-1 s\"\n",
                "agent.toml, line 2, key `alarm.warn.stall`: must be",
            ),
            (
                "[alarm.warn]\nstall = true\n",
                "agent.toml, line 2, key `alarm.warn.stall`: invalid value",
            ),
            (
                "[alarm.warn]\nstall = \"1 lb\"\n",
                "agent.toml, line 2, key `alarm.warn.stall`: unknown unit `lb`",
            ),
            (
                "[alarm.warn]\nstall = 1\n",
                "agent.toml, line 2, key `alarm.warn.stall`: invalid type",
            ),
        ] {
            let told = settings(text).unwrap_err();
            assert!(told.starts_with(start), "{told}\nshould begin with\n{start}");
        }
    }
}
