//! The table `[retention]`: how much of the log is kept.

use crate::record::Limits;
use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use std::fmt;
use underbrush_protocol::settings::{SettingsError, error_at, parse_quantity};

/// Sizes as disks are sold (powers of 1000) and as memory is (powers of 1024).
const SIZES: &[(&str, f64)] = &[
    ("MB", 1e6),
    ("GB", 1e9),
    ("kB", 1e3),
    ("TB", 1e12),
    ("MiB", 1_048_576.0),
    ("GiB", 1_073_741_824.0),
];
const AGES: &[(&str, f64)] = &[
    ("days", 86_400e3),
    ("d", 86_400e3),
    ("day", 86_400e3),
    ("weeks", 604_800e3),
    ("week", 604_800e3),
];
/// A log younger than this is not reported on yet.
const LEAST_AGE_MS: f64 = 7.0 * 86_400e3;
const MOST_AGE_MS: f64 = 36_525.0 * 86_400e3;
/// Last night's archives always stay, and may take some 12 MB.
const LEAST_SIZE: f64 = 16e6;
const LEAST_FREE: f64 = 1e6;
/// Far above any disk, far below what a count of bytes can hold.
const MOST_BYTES: f64 = 1e15;

/// The table as it stands in the file.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RetentionTable {
    keep: Option<Age>,
    max_size: Option<Size>,
    min_free: Option<Size>,
    wait_for_copy: Option<bool>,
}

/// Bytes.
pub(super) struct Size(pub(super) f64);

/// Milliseconds.
struct Age(f64);

impl RetentionTable {
    pub(super) fn check(&self, name: &str, text: &str) -> Result<Limits, SettingsError> {
        let within = |key: &str, value: Option<f64>, least: f64, most: f64, range: &str| {
            if value.is_none_or(|value| (least..=most).contains(&value)) {
                return Ok(value);
            }
            Err(error_at(name, text, &format!("retention.{key}"), format!("must be {range}")))
        };
        let keep = self.keep.as_ref().map(|age| age.0);
        let keep = within("keep", keep, LEAST_AGE_MS, MOST_AGE_MS, "7 days to 36525 days")?;
        let bytes = |size: &Option<Size>| size.as_ref().map(|size| size.0);
        let max_size =
            within("max_size", bytes(&self.max_size), LEAST_SIZE, MOST_BYTES, "16 MB or more")?;
        let min_free =
            within("min_free", bytes(&self.min_free), LEAST_FREE, MOST_BYTES, "1 MB or more")?;
        Ok(Limits {
            keep_ms: keep.map(|ms| ms as i64),
            max_bytes: max_size.map(|bytes| bytes as u64),
            min_free_bytes: min_free.map(|bytes| bytes as u64),
            wait_for_copy: self.wait_for_copy.unwrap_or(false),
        })
    }
}

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_str(Quantity { units: SIZES, example: "2 GB" }).map(Self)
    }
}

impl<'de> Deserialize<'de> for Age {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_str(Quantity { units: AGES, example: "400 days" }).map(Self)
    }
}

struct Quantity {
    units: &'static [(&'static str, f64)],
    example: &'static str,
}

impl Visitor<'_> for Quantity {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a number with its unit in quotes, for instance \"{}\"", self.example)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<f64, E> {
        parse_quantity(text, self.units).map_err(E::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::settings::parse;

    #[derive(Deserialize)]
    struct File {
        #[serde(default)]
        retention: RetentionTable,
    }

    fn limits(text: &str) -> Result<Limits, String> {
        let file: File = parse("agent.toml", text).map_err(|error| error.to_string())?;
        file.retention.check("agent.toml", text).map_err(|error| error.to_string())
    }

    #[test]
    fn the_keys_and_their_units() {
        assert_eq!(limits(""), Ok(Limits::default()));
        let text = "[retention]\nkeep = \"400 days\"\nmax_size = \"2 GB\"\nmin_free = \"64 MiB\"\nwait_for_copy = true\n";
        assert_eq!(
            limits(text),
            Ok(Limits {
                keep_ms: Some(400 * 24 * 3_600_000),
                max_bytes: Some(2_000_000_000),
                // Source: IEC 80000-13: 1 MiB = 2^20 bytes.
                min_free_bytes: Some(64 << 20),
                wait_for_copy: true,
            })
        );
    }

    #[test]
    fn wrong_values_are_named_with_their_line() {
        for (text, start) in [
            ("[retention]\nkept = \"9 d\"\n", "agent.toml, line 2, key `retention.kept`: unknown"),
            (
                "[retention]\n\nkeep = 400\n",
                "agent.toml, line 3, key `retention.keep`: invalid type",
            ),
            (
                "[retention]\nkeep = \"400 GB\"\n",
                "agent.toml, line 2, key `retention.keep`: unknown unit",
            ),
            (
                "[retention]\nkeep = \"1 day\"\n",
                "agent.toml, line 2, key `retention.keep`: must be 7 days",
            ),
            (
                "[retention]\nmax_size = \"2\"\n",
                "agent.toml, line 2, key `retention.max_size`: `2` needs a unit",
            ),
            (
                "[retention]\nkeep = \"9 d\"\nmax_size = \"15.9 MB\"\n",
                "agent.toml, line 3, key `retention.max_size`: must be 16 MB",
            ),
            (
                "[retention]\nmin_free = \"-1 MB\"\n",
                "agent.toml, line 2, key `retention.min_free`: must",
            ),
            (
                "[retention]\nwait_for_copy = \"yes\"\n",
                "agent.toml, line 2, key `retention.wait_for_copy`",
            ),
        ] {
            let told = limits(text).unwrap_err();
            assert!(told.starts_with(start), "{told}\nshould begin with\n{start}");
        }
    }
}
