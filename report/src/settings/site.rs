//! The site file: sections, grit steps, speed bands, shift hours, checks and crew.

pub use super::checks::Check;
pub use super::phase::Phase;
pub use super::programme::{Band, Bands, Maintenance, NightSettings, Step};
pub use super::sections::{Group, Section};

use super::sections::{SectionEntry, check_groups, sections};
use super::{Wrong, checks, first, unknown};
use crate::units::Units;
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use serde::Deserialize;
use std::collections::BTreeMap;
use underbrush_protocol::settings::{SettingsError, parse_all};

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
    #[serde(default)]
    colour: bool,
    #[serde(default)]
    crew: Vec<String>,
    #[serde(default)]
    per_operator: bool,
    #[serde(default)]
    never_polish: Vec<String>,
    shift: ShiftHours,
    #[serde(default)]
    bands: Bands,
    #[serde(default)]
    night: NightSettings,
    #[serde(default)]
    step: Vec<Step>,
    maintenance: Option<Maintenance>,
    #[serde(default)]
    group: Vec<Group>,
    #[serde(default)]
    section: Vec<SectionEntry>,
    #[serde(default)]
    button: Vec<Button>,
    check: Option<Vec<Check>>,
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
    /// Whether the sheet may use colour.
    pub colour: bool,
    /// People who work here, by whatever names the site uses; may be empty.
    pub crew: Vec<String>,
    /// Whether summaries may name people; off unless the site asks for it.
    pub per_operator: bool,
    /// Surfaces that are never polished.
    pub never_polish: Vec<String>,
    /// Local time at which a shift starts.
    pub shift_start: NaiveTime,
    /// Local time at which it ends; not later than the start: on the next day.
    pub shift_end: NaiveTime,
    /// Speed bands.
    pub bands: Bands,
    /// What a night can hold.
    pub night: NightSettings,
    /// Grinding steps in order.
    pub steps: Vec<Step>,
    /// The regular run.
    pub maintenance: Option<Maintenance>,
    /// Groups of sections.
    pub groups: Vec<Group>,
    /// Sections in the order of the file.
    pub sections: Vec<Section>,
    /// Buttons of the bridge.
    pub buttons: BTreeMap<u8, Phase>,
    /// Checks that come round every few days.
    pub checks: Vec<Check>,
}

impl Site {
    /// Reads and checks a site file. `file` is its name for messages.
    pub fn parse(file: &str, text: &str) -> Result<Self, SettingsError> {
        match Self::check(file, text) {
            (Some(site), wrong) if wrong.is_empty() => Ok(site),
            (_, wrong) => Err(first(file, wrong)),
        }
    }

    /// What can be read of a site file, and all that is wrong with it.
    pub fn check(file: &str, text: &str) -> (Option<Self>, Vec<SettingsError>) {
        let (raw, mut errors) = parse_all::<SiteFile>(file, text);
        let Some(raw) = raw else { return (None, errors) };
        let (site, wrong) = Self::checked(raw);
        errors.extend(wrong.into_iter().map(|wrong| wrong.found(file, text)));
        (Some(site), errors)
    }

    /// The site, and what of it cannot be.
    fn checked(raw: SiteFile) -> (Self, Vec<Wrong>) {
        let mut wrong = Vec::new();
        let zone = raw.time_zone.parse().unwrap_or_else(|_| {
            let zones = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
            let message = unknown("time zone", &raw.time_zone, "in the IANA list", zones);
            wrong.push(Wrong::key("time_zone", message));
            Tz::UTC
        });
        let mut time = |key, value: &str| {
            NaiveTime::parse_from_str(value, "%H:%M").unwrap_or_else(|_| {
                let message = format!("`{value}` is not a time; write it like 22:00");
                wrong.push(Wrong::key(key, message));
                NaiveTime::MIN
            })
        };
        let shift_start = time("shift.start", &raw.shift.start);
        let shift_end = time("shift.end", &raw.shift.end);
        wrong.extend(check_bands(&raw.bands));
        wrong.extend(check_steps(&raw.step));
        wrong.extend(check_nights(&raw.night, raw.maintenance.as_ref()));
        wrong.extend(check_groups(&raw.group));
        wrong.extend(check_crew(&raw.crew));
        let (sections, in_sections) = sections(raw.section, &raw.group, &raw.never_polish);
        wrong.extend(in_sections);
        let checks = raw.check.unwrap_or_else(checks::usual);
        wrong.extend(checks::faults(&checks));
        let (buttons, in_buttons) = buttons(&raw.button);
        wrong.extend(in_buttons);
        let site = Self {
            name: raw.name,
            zone,
            units: raw.units,
            paper: raw.paper,
            language: raw.language,
            colour: raw.colour,
            crew: raw.crew,
            per_operator: raw.per_operator,
            never_polish: raw.never_polish,
            shift_start,
            shift_end,
            bands: raw.bands,
            night: raw.night,
            steps: raw.step,
            maintenance: raw.maintenance,
            groups: raw.group,
            sections,
            buttons,
            checks,
        };
        (site, wrong)
    }

    /// The group that a section (its place in `sections`) belongs to.
    pub fn group_of(&self, section: usize) -> Option<&Group> {
        let id = self.sections.get(section)?.group.as_ref()?;
        self.groups.iter().find(|group| group.id == *id)
    }

    /// Days from one maintenance run of a section to the next: its own, else those of its
    /// group, else those of `[maintenance]`, else 1.
    pub fn maintain_every(&self, section: usize) -> u16 {
        let own = self.sections.get(section).and_then(|s| s.maintain_every);
        own.or_else(|| self.group_of(section)?.maintain_every)
            .or_else(|| self.maintenance.as_ref().map(|m| m.every))
            .unwrap_or(1)
    }

    /// Days after which traffic has used up a restored section; `None`: never.
    pub fn refresh_after(&self, section: usize) -> Option<u16> {
        self.group_of(section)?.refresh_after
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

fn check_bands(bands: &Bands) -> Vec<Wrong> {
    let all = [("bands.restoration", bands.restoration), ("bands.maintenance", bands.maintenance)];
    let bad = |band: &Band| !(band.low.0 >= 0.0 && band.high > band.low);
    let wrong = all.into_iter().filter(|(_, band)| bad(band));
    wrong.map(|(key, _)| Wrong::key(key, "`low` must be less than `high`".to_owned())).collect()
}

fn check_steps(steps: &[Step]) -> Vec<Wrong> {
    let mut wrong = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let mut say = |key, message: String| wrong.push(Wrong::entry(key, at, message));
        if usize::from(step.number) != at + 1 {
            let number = step.number;
            say("step.number", format!("steps must be numbered 1, 2, 3 ...: found {number}"));
        }
        if !(step.minutes > 0.0 && step.minutes.is_finite()) {
            say("step.minutes", format!("step {}: must be more than 0", step.number));
        }
    }
    wrong
}

fn check_nights(night: &NightSettings, maintenance: Option<&Maintenance>) -> Vec<Wrong> {
    let mut wrong = Vec::new();
    let mut say = |key, message: &str| wrong.push(Wrong::key(key, message.to_owned()));
    if !(night.setup_minutes >= 0.0 && night.setup_minutes.is_finite()) {
        say("night.setup_minutes", "must not be less than 0");
    }
    if night.battery_minutes.is_some_and(|m| !(m > 0.0 && m.is_finite())) {
        say("night.battery_minutes", "must be more than 0; leave it out if it is not known");
    }
    if maintenance.is_some_and(|m| m.every == 0) {
        say("maintenance.every", "days: at least 1");
    }
    let hour = maintenance.and_then(|m| m.area_per_hour);
    if hour.is_some_and(|area| !(area.0 > 0.0 && area.0.is_finite())) {
        say("maintenance.area_per_hour", "must be more than 0");
    }
    wrong
}

fn check_crew(crew: &[String]) -> Option<Wrong> {
    let twice = crew.iter().enumerate().find(|(at, name)| crew[..*at].contains(name));
    twice.map(|(_, name)| Wrong::key("crew", format!("{name} is given twice")))
}

fn buttons(given: &[Button]) -> (BTreeMap<u8, Phase>, Vec<Wrong>) {
    let mut buttons = BTreeMap::new();
    let mut wrong = Vec::new();
    for (at, button) in given.iter().enumerate() {
        if buttons.insert(button.number, button.phase).is_some() {
            let message = format!("button {} is given twice", button.number);
            wrong.push(Wrong::entry("button.number", at, message));
        }
    }
    (buttons, wrong)
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
