//! The table `[high_rate]`: what is kept at full rate around events.

use super::retention::Size;
use crate::ring::HighRateSettings;
use serde::Deserialize;
use underbrush_protocol::settings::{SettingsError, error_at};
use underbrush_protocol::si::Seconds;

/// Longer than this is no moment around an event.
const LONGEST_S: f64 = 60.0;
/// Between a tenth of the fastest rate and the slowest that a bridge may have.
const NORMAL_S: (f64, f64) = (0.01, 1.0);
const MEMORY: (f64, f64) = (64e3, 64e6);

/// The table as it stands in the file.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HighRateTable {
    before: Option<Seconds>,
    after: Option<Seconds>,
    normal: Option<Seconds>,
    memory: Option<Size>,
}

impl HighRateTable {
    pub(super) fn check(&self, name: &str, text: &str) -> Result<HighRateSettings, SettingsError> {
        let usual = HighRateSettings::default();
        let ms = |time: Option<Seconds>, key: &str, usual: u64, (least, most): (f64, f64)| {
            let Some(Seconds(seconds)) = time else { return Ok(usual) };
            if (least..=most).contains(&seconds) {
                return Ok((seconds * 1e3) as u64);
            }
            let message = format!("must be {least} s to {most} s");
            Err(error_at(name, text, &format!("high_rate.{key}"), message))
        };
        let memory = self.memory.as_ref().map(|size| size.0);
        if memory.is_some_and(|bytes| !(MEMORY.0..=MEMORY.1).contains(&bytes)) {
            let message = "must be 64 kB to 64 MB";
            return Err(error_at(name, text, "high_rate.memory", message));
        }
        Ok(HighRateSettings {
            before_ms: ms(self.before, "before", usual.before_ms, (0.0, LONGEST_S))?,
            after_ms: ms(self.after, "after", usual.after_ms, (0.0, LONGEST_S))?,
            normal_ms: ms(self.normal, "normal", usual.normal_ms, NORMAL_S)?,
            memory_bytes: memory.map(|bytes| bytes as u64),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::settings::parse;

    #[derive(Deserialize)]
    struct File {
        #[serde(default)]
        high_rate: HighRateTable,
    }

    fn check(text: &str) -> Result<HighRateSettings, String> {
        let file: File = parse("agent.toml", text).map_err(|e| e.to_string())?;
        file.high_rate.check("agent.toml", text).map_err(|e| e.to_string())
    }

    #[test]
    fn times_and_memory_with_their_units() {
        assert_eq!(check("").unwrap(), HighRateSettings::default());
        let given = check(
            "[high_rate]\nbefore = \"2 s\"\nafter = \"0.5 s\"\nnormal = \"0.2 s\"\nmemory = \"2 MB\"\n",
        );
        let expected = HighRateSettings {
            before_ms: 2_000,
            after_ms: 500,
            normal_ms: 200,
            memory_bytes: Some(2_000_000),
        };
        assert_eq!(given.unwrap(), expected);
    }

    #[test]
    fn what_cannot_be_is_told_with_its_line() {
        for (key, start) in [
            (
                "before = \"61 s\"",
                "agent.toml, line 2, key `high_rate.before`: must be 0 s to 60 s",
            ),
            ("after = \"-1 s\"", "agent.toml, line 2, key `high_rate.after`: "),
            (
                "normal = \"2 s\"",
                "agent.toml, line 2, key `high_rate.normal`: must be 0.01 s to 1 s",
            ),
            ("memory = \"1 GB\"", "agent.toml, line 2, key `high_rate.memory`: must be 64 kB to"),
            ("befor = \"1 s\"", "agent.toml, line 2, key `high_rate.befor`: unknown key"),
        ] {
            let told = check(&format!("[high_rate]\n{key}\n")).unwrap_err();
            assert!(told.starts_with(start), "{told}\nshould begin with\n{start}");
        }
    }

    #[test]
    fn the_usual_memory_holds_each_motor_at_1_khz() {
        // 10 s before, 5 s for the detector, 1 s on the way, 1 s to spare.
        assert_eq!(HighRateSettings::default().readings(2), 2 * 17_000);
        let small = HighRateSettings { memory_bytes: Some(64_000), ..HighRateSettings::default() };
        assert_eq!(small.readings(4), 4_000, "16 bytes each");
    }
}
