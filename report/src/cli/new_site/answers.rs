//! What is asked, and what Enter stands for.

use super::ask::{AskError, Asker};
use crate::units::Units;
use chrono::NaiveTime;
use chrono_tz::Tz;
use std::io::{BufRead, Write};
use underbrush_protocol::settings::did_you_mean;

/// More time zones than this are not listed.
const MOST_ZONES: usize = 12;
/// More sections of a group than this are no slip-free list.
const MOST_SECTIONS: u32 = 200;

/// Sections alike: what people call one, letter of their ids, how many, area of one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Sections {
    pub(super) group: &'static str,
    pub(super) name: &'static str,
    pub(super) letter: char,
    pub(super) count: u32,
    pub(super) area: f64,
}

#[derive(Clone, Debug)]
pub(super) struct Answers {
    pub(super) name: String,
    pub(super) zone: Tz,
    pub(super) units: Units,
    pub(super) paper: &'static str,
    pub(super) language: &'static str,
    pub(super) start: String,
    pub(super) end: String,
    pub(super) machine: String,
    pub(super) brushes: u8,
    /// With its unit.
    pub(super) path_width: String,
    pub(super) grits: Vec<String>,
    pub(super) never_polish: Vec<String>,
    pub(super) sections: Vec<Sections>,
}

impl Default for Answers {
    fn default() -> Self {
        Self {
            name: "My building".to_owned(),
            zone: local_zone(),
            units: Units::Us,
            paper: "letter",
            language: "en",
            start: "22:00".to_owned(),
            end: "06:00".to_owned(),
            machine: "scrubber-1".to_owned(),
            brushes: 2,
            path_width: "28 in".to_owned(),
            grits: ["100", "400", "800", "1500"].map(str::to_owned).to_vec(),
            never_polish: ["vinyl tile", "carpet", "wood"].map(str::to_owned).to_vec(),
            sections: usual_sections(Units::Us),
        }
    }
}

/// Areas: common practice, no published source.
fn usual_sections(units: Units) -> Vec<Sections> {
    let area = |us: f64, si: f64| if units == Units::Us { us } else { si };
    [
        ("aisle", "Aisle", 'A', 12, area(575.0, 53.0)),
        ("main-aisle", "Main aisle", 'M', 2, area(750.0, 70.0)),
        ("receiving", "Receiving", 'R', 1, area(700.0, 65.0)),
    ]
    .map(|(group, name, letter, count, area)| Sections { group, name, letter, count, area })
    .to_vec()
}

/// The zone of this computer, where it says so.
fn local_zone() -> Tz {
    let named = std::env::var("TZ").ok();
    let file = || std::fs::read_to_string("/etc/timezone").ok();
    let text = named.filter(|name| !name.is_empty()).or_else(file).unwrap_or_default();
    text.trim().parse().unwrap_or(Tz::America__Chicago)
}

pub(super) fn ask<R: BufRead, W: Write>(asker: &mut Asker<R, W>) -> Result<Answers, AskError> {
    let usual = Answers::default();
    asker
        .say("Enter takes the answer in brackets. Nothing is written before the last question.")?;
    let name = asker.ask("Name of the building", &usual.name, text)?;
    let zone = asker.ask("Time zone, or a part of its name", usual.zone.name(), zone)?;
    let units = asker.ask("Units, us or si", "us", |answer| match answer {
        "us" => Ok(Units::Us),
        "si" => Ok(Units::Si),
        _ => Err("us or si".to_owned()),
    })?;
    let us = units == Units::Us;
    let paper = if us { "letter" } else { "a4" };
    let paper = asker.ask("Paper, letter or a4", paper, one_of(&["letter", "a4"]))?;
    let language =
        asker.ask("Language of the sheet, en, es or de", "en", one_of(&["en", "es", "de"]))?;
    let start = asker.ask("Start of the night shift", &usual.start, time)?;
    let end = asker.ask("End of the night shift", &usual.end, time)?;
    let machine = asker.ask("Id of the machine, as its recorder has it", &usual.machine, id)?;
    let brushes = asker.ask("Brushes of the machine", "2", number(1, 4))? as u8;
    let (width, unit) = if us { ("28", "in") } else { ("70", "cm") };
    let question = if us { "Path width in inches" } else { "Path width in cm" };
    let width = asker.ask(question, width, size)?;
    let grits = asker.ask("Grits, coarse to fine", &usual.grits.join(" "), grits)?;
    let never = usual.never_polish.join(", ");
    let never_polish = asker.ask("Surfaces never to be polished", &never, surfaces)?;
    let sections = sections(asker, units)?;
    Ok(Answers {
        name,
        zone,
        units,
        paper,
        language,
        start,
        end,
        machine,
        brushes,
        path_width: format!("{width} {unit}"),
        grits,
        never_polish,
        sections,
    })
}

fn sections<R: BufRead, W: Write>(
    asker: &mut Asker<R, W>,
    units: Units,
) -> Result<Vec<Sections>, AskError> {
    let questions = [
        ("Aisles: how many sections", "Aisles: area of one"),
        ("Main aisles: how many sections", "Main aisles: area of one"),
        ("Receiving: how many sections", "Receiving: area of one"),
    ];
    let unit = if units == Units::Us { "square feet" } else { "square metres" };
    asker.say(&format!("Areas in {unit}. A section is what is worked as one."))?;
    let mut all = usual_sections(units);
    for (group, (how_many, area)) in all.iter_mut().zip(questions) {
        let usual = group.count.to_string();
        group.count = asker.ask(how_many, &usual, number(0, MOST_SECTIONS))?;
        if group.count > 0 {
            group.area = asker.ask(area, &group.area.to_string(), size)?;
        }
    }
    Ok(all)
}

fn text(answer: &str) -> Result<String, String> {
    let clean: String = answer.chars().filter(|c| !c.is_control()).collect();
    if clean.is_empty() { Err("a name, please".to_owned()) } else { Ok(clean) }
}

fn id(answer: &str) -> Result<String, String> {
    match text(answer)? {
        id if id.len() <= 64 => Ok(id),
        _ => Err("at most 64 letters".to_owned()),
    }
}

fn one_of(words: &[&'static str]) -> impl Fn(&str) -> Result<&'static str, String> {
    move |answer| {
        let found = words.iter().find(|word| word.eq_ignore_ascii_case(answer));
        found.copied().ok_or_else(|| format!("one of {}", words.join(", ")))
    }
}

/// A whole name, or a part that only one zone has; spaces stand for `_`.
fn zone(answer: &str) -> Result<Tz, String> {
    let asked = answer.replace(' ', "_").to_lowercase();
    let found: Vec<Tz> = chrono_tz::TZ_VARIANTS
        .iter()
        .copied()
        .filter(|zone| zone.name().to_lowercase().contains(&asked))
        .collect();
    let whole = found.iter().find(|zone| zone.name().to_lowercase() == asked);
    let city = |zone: &&Tz| zone.name().to_lowercase().rsplit('/').next() == Some(asked.as_str());
    match (whole, found.as_slice()) {
        (Some(zone), _) | (None, [zone]) => Ok(*zone),
        (None, []) => {
            let names = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
            Err(format!("no time zone has `{answer}` in its name{}", did_you_mean(answer, names)))
        }
        (None, several) => {
            let mut cities = several.iter().filter(city);
            if let (Some(zone), None) = (cities.next(), cities.next()) {
                return Ok(*zone);
            }
            let names: Vec<&str> = several.iter().take(MOST_ZONES).map(|z| z.name()).collect();
            let more = several.len().saturating_sub(MOST_ZONES);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            Err(format!("which one: {}{more}", names.join(", ")))
        }
    }
}

fn time(answer: &str) -> Result<String, String> {
    NaiveTime::parse_from_str(answer, "%H:%M")
        .map(|time| time.format("%H:%M").to_string())
        .map_err(|_| "write it like 22:00".to_owned())
}

fn number(least: u32, most: u32) -> impl Fn(&str) -> Result<u32, String> {
    move |answer| {
        let number = answer.parse().ok().filter(|n| (least..=most).contains(n));
        number.ok_or_else(|| format!("a number from {least} to {most}"))
    }
}

/// A number above 0, with a decimal point or comma.
fn size(answer: &str) -> Result<f64, String> {
    let plain = answer.replace(',', ".");
    let in_range = |n: &f64| (0.001..=1e6).contains(n);
    plain.parse().ok().filter(in_range).ok_or_else(|| "a number above 0, without a unit".to_owned())
}

fn grits(answer: &str) -> Result<Vec<String>, String> {
    let list: Vec<String> =
        answer.split([' ', ',', ';']).filter(|grit| !grit.is_empty()).map(str::to_owned).collect();
    if (1..=20).contains(&list.len()) { Ok(list) } else { Err("1 to 20 grits".to_owned()) }
}

/// Parted by commas; `none` for none.
fn surfaces(answer: &str) -> Result<Vec<String>, String> {
    if answer.eq_ignore_ascii_case("none") {
        return Ok(Vec::new());
    }
    let names = answer.split(',').map(str::trim).filter(|name| !name.is_empty());
    names.map(text).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_by_a_part_of_their_name() {
        assert_eq!(zone("chicago"), Ok(Tz::America__Chicago));
        assert_eq!(zone("new york"), Ok(Tz::America__New_York));
        assert_eq!(zone("europe/berlin"), Ok(Tz::Europe__Berlin));
        assert!(zone("america").unwrap_err().contains("more"));
        assert!(zone("chicgo").unwrap_err().starts_with("no time zone has `chicgo`"));
    }

    #[test]
    fn numbers_in_either_way() {
        assert_eq!(size("70,5"), Ok(70.5));
        assert!(size("0").is_err() && size("28 in").is_err() && size("inf").is_err());
        assert!(number(1, 4)("5").is_err());
    }
}
