//! The site file: sections, grit steps, speed bands and shift hours.

use crate::units::Units;
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt;
use underbrush_protocol::settings::{SettingsError, error_at, error_at_entry, parse};
use underbrush_protocol::si::{MetresPerSecond, SquareMetres};

/// What is being done to the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Grinding with the grit of this step, from 1.
    Step(u8),
    /// The daily run over a finished floor.
    Maintenance,
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Step(n) => write!(f, "step {n}"),
            Self::Maintenance => f.write_str("maintenance"),
        }
    }
}

impl std::str::FromStr for Phase {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        if text == "maintenance" {
            return Ok(Self::Maintenance);
        }
        text.strip_prefix("step ")
            .and_then(|n| n.trim().parse().ok())
            .filter(|n| *n > 0)
            .map(Self::Step)
            .ok_or_else(|| format!("`{text}` is no phase: write `step 1` or `maintenance`"))
    }
}

impl<'de> Deserialize<'de> for Phase {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

/// Paper of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 8.5 in x 11 in.
    Letter,
    /// 210 mm x 297 mm.
    A4,
}

/// Language of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Language {
    /// `en`
    #[default]
    #[serde(rename = "en")]
    English,
    /// `es`
    #[serde(rename = "es")]
    Spanish,
    /// `de`
    #[serde(rename = "de")]
    German,
}

impl Language {
    /// Every language there is a catalogue for.
    pub const ALL: [Self; 3] = [Self::English, Self::Spanish, Self::German];

    /// Its tag by BCP 47, as files and settings write it.
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
            Self::German => "de",
        }
    }
}

/// A speed band.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
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

/// The daily run.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Maintenance {
    /// Grit as printed on the tool.
    pub grit: String,
}

/// A piece of floor that is worked as one.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// Short id, unique on the site.
    pub id: String,
    /// What people call it.
    #[serde(default)]
    pub name: String,
    /// Floor area.
    pub area: SquareMetres,
    /// What the floor is.
    #[serde(default)]
    pub surface: String,
    /// `false`: never to be polished.
    #[serde(default = "yes")]
    pub polish: bool,
    /// Number of the floor tag that the bridge reads.
    #[serde(default)]
    pub tag: Option<u64>,
}

fn yes() -> bool {
    true
}

/// What a button of the bridge means.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Button {
    /// Its number.
    pub number: u8,
    /// The phase that begins when it is pressed.
    pub phase: Phase,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShiftHours {
    start: String,
    end: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SiteFile {
    name: String,
    time_zone: String,
    #[serde(default = "us")]
    units: Units,
    #[serde(default = "letter")]
    paper: Paper,
    #[serde(default)]
    language: Language,
    shift: ShiftHours,
    #[serde(default)]
    bands: Bands,
    #[serde(default)]
    step: Vec<Step>,
    maintenance: Option<Maintenance>,
    #[serde(default)]
    section: Vec<Section>,
    #[serde(default)]
    button: Vec<Button>,
}

fn us() -> Units {
    Units::Us
}

fn letter() -> Paper {
    Paper::Letter
}

/// The whole file, checked.
#[derive(Clone, Debug)]
pub struct Site {
    /// Name of the building.
    pub name: String,
    /// IANA time zone.
    pub zone: Tz,
    /// Units of the sheet.
    pub units: Units,
    /// Paper of the sheet.
    pub paper: Paper,
    /// Language of the sheet.
    pub language: Language,
    /// Local time at which a shift starts.
    pub shift_start: NaiveTime,
    /// Local time at which it ends; not later than the start: on the next day.
    pub shift_end: NaiveTime,
    /// Speed bands.
    pub bands: Bands,
    /// Grinding steps in order.
    pub steps: Vec<Step>,
    /// The daily run.
    pub maintenance: Option<Maintenance>,
    /// Sections in the order of the file.
    pub sections: Vec<Section>,
    /// Buttons of the bridge.
    pub buttons: BTreeMap<u8, Phase>,
}

impl Site {
    /// Reads and checks a site file. `file` is its name for messages.
    pub fn parse(file: &str, text: &str) -> Result<Self, SettingsError> {
        let raw: SiteFile = parse(file, text)?;
        let fail = |key: &str, message: String| error_at(file, text, key, message);
        let zone = raw.time_zone.parse().map_err(|_| {
            let message = format!(
                "`{}` is not a time zone name; write it like America/Chicago",
                raw.time_zone
            );
            fail("time_zone", message)
        })?;
        let time = |key: &str, value: &str| {
            NaiveTime::parse_from_str(value, "%H:%M")
                .map_err(|_| fail(key, format!("`{value}` is not a time; write it like 22:00")))
        };
        for (key, band) in [
            ("bands.restoration", raw.bands.restoration),
            ("bands.maintenance", raw.bands.maintenance),
        ] {
            if !(band.low.0 >= 0.0 && band.high > band.low) {
                return Err(fail(key, "`low` must be less than `high`".to_owned()));
            }
        }
        check_steps(&raw.step)
            .map_err(|(entry, m)| error_at_entry(file, text, "step.number", entry, m))?;
        check_sections(&raw.section)
            .map_err(|(entry, m)| error_at_entry(file, text, "section.id", entry, m))?;
        let mut buttons = BTreeMap::new();
        for (entry, button) in raw.button.iter().enumerate() {
            if buttons.insert(button.number, button.phase).is_some() {
                let message = format!("button {} is given twice", button.number);
                return Err(error_at_entry(file, text, "button.number", entry, message));
            }
        }
        Ok(Self {
            shift_start: time("shift.start", &raw.shift.start)?,
            shift_end: time("shift.end", &raw.shift.end)?,
            name: raw.name,
            zone,
            units: raw.units,
            paper: raw.paper,
            language: raw.language,
            bands: raw.bands,
            steps: raw.step,
            maintenance: raw.maintenance,
            sections: raw.section,
            buttons,
        })
    }

    /// The speed band of a phase.
    pub fn band(&self, phase: Phase) -> Band {
        match phase {
            Phase::Step(_) => self.bands.restoration,
            Phase::Maintenance => self.bands.maintenance,
        }
    }

    /// The step of that number.
    pub fn step(&self, number: u8) -> Option<&Step> {
        self.steps.iter().find(|s| s.number == number)
    }

    /// The local date on which the shift of an instant starts; between shifts, that of the last one.
    pub fn shift_date(&self, at: DateTime<Utc>) -> NaiveDate {
        let since_midnight = self.shift_start.signed_duration_since(NaiveTime::MIN);
        let local = at.with_timezone(&self.zone).naive_local();
        local.checked_sub_signed(since_midnight).unwrap_or(local).date()
    }

    /// Place of the section with this id in `sections`.
    pub fn section_by_id(&self, id: &str) -> Option<usize> {
        self.sections.iter().position(|s| s.id == id)
    }

    /// Place of the section with this tag in `sections`.
    pub fn section_by_tag(&self, tag: u64) -> Option<usize> {
        self.sections.iter().position(|s| s.tag == Some(tag))
    }
}

/// The error is the place in the list and what is wrong.
fn check_steps(steps: &[Step]) -> Result<(), (usize, String)> {
    for (i, step) in steps.iter().enumerate() {
        let fail = |message: String| Err((i, message));
        if usize::from(step.number) != i + 1 {
            return fail(format!("steps must be numbered 1, 2, 3 ...: found {}", step.number));
        }
        if !(step.minutes > 0.0 && step.minutes.is_finite()) {
            return fail(format!("step {}: `minutes` must be more than 0", step.number));
        }
    }
    Ok(())
}

/// The error is the place in the list and what is wrong.
fn check_sections(sections: &[Section]) -> Result<(), (usize, String)> {
    for (i, section) in sections.iter().enumerate() {
        let fail = |message: String| Err((i, message));
        if section.id.trim().is_empty() {
            return fail(format!("section number {} has an empty id", i + 1));
        }
        if !(section.area.0 > 0.0 && section.area.0.is_finite()) {
            return fail(format!("section {}: `area` must be more than 0", section.id));
        }
        for other in &sections[..i] {
            if other.id == section.id {
                return fail(format!("section {} is given twice", section.id));
            }
            if section.tag.is_some() && other.tag == section.tag {
                return fail(format!("sections {} and {} have the same tag", other.id, section.id));
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    // Chicago is 6 h behind UTC in November (IANA tz): 04:00Z is 22:00 of the day before.
    #[test]
    fn a_night_over_midnight_is_one_shift() {
        let text = "name = \"x\"\ntime_zone = \"America/Chicago\"\n[shift]\nstart = \"22:00\"\nend = \"06:00\"\n";
        let site = Site::parse("site.toml", text).unwrap();
        let date = |at: &str| site.shift_date(at.parse().unwrap()).to_string();
        assert_eq!(date("2026-11-24T04:00:00Z"), "2026-11-23");
        assert_eq!(date("2026-11-24T11:59:59Z"), "2026-11-23");
        assert_eq!(date("2026-11-24T03:59:59Z"), "2026-11-22");
        assert_eq!(date("2026-11-25T04:00:00Z"), "2026-11-24");
    }
}
