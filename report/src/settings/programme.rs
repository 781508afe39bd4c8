//! How the floor is worked: speed bands, grinding steps, upkeep and what a night can hold.

use serde::Deserialize;
use underbrush_protocol::si::{MetresPerSecond, Seconds, SquareMetres};

/// A speed band.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Lowest good speed.
    pub low: MetresPerSecond,
    /// Highest good speed.
    pub high: MetresPerSecond,
}

impl Band {
    /// Its middle.
    pub fn middle(&self) -> MetresPerSecond {
        (self.low + self.high) * 0.5
    }
}

/// The speed bands.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bands {
    /// While grinding: 1 to 1.5 mph (common practice, no published source).
    pub restoration: Band,
    /// On the finished floor: 2 to 3 mph (common practice, no published source).
    pub maintenance: Band,
}

impl Default for Bands {
    fn default() -> Self {
        let mph = |v: f64| MetresPerSecond(v * 0.447_04);
        Self {
            restoration: Band { low: mph(1.0), high: mph(1.5) },
            maintenance: Band { low: mph(2.0), high: mph(3.0) },
        }
    }
}

/// One grinding step.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// 1 is the first.
    pub number: u8,
    /// Grit as printed on the tool.
    pub grit: String,
    /// Minutes of work at band speed that a section needs.
    pub minutes: f64,
}

/// The regular run over finished floor.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Maintenance {
    /// Grit as printed on the tool.
    pub grit: String,
    /// Days from one run to the next: 1 is every night.
    #[serde(default = "daily")]
    pub every: u16,
    /// Floor done in an hour, turns included, where the site knows it; else from band and width.
    #[serde(default)]
    pub area_per_hour: Option<SquareMetres>,
}

fn daily() -> u16 {
    1
}

impl Maintenance {
    /// Time that a floor of this area takes, where the file says how much an hour does.
    pub fn time(&self, area: SquareMetres) -> Option<Seconds> {
        self.area_per_hour.map(|hour| Seconds(3600.0 * area.0 / hour.0))
    }
}

/// What a night can hold.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct NightSettings {
    /// Minutes that a change of tools takes, 15 if not given (common practice, no published
    /// source).
    pub setup_minutes: f64,
    /// Minutes of brush work on one charge; not given: learned from the nights on record.
    pub battery_minutes: Option<f64>,
}

impl Default for NightSettings {
    fn default() -> Self {
        Self { setup_minutes: 15.0, battery_minutes: None }
    }
}
