//! Ids of events, as people type them.

use chrono::NaiveDate;
use underbrush_protocol::settings::{Machine, did_you_mean};

/// A machine's id longer than this is no fun to type.
const LONGEST_TAG: usize = 16;

/// What stands for each machine in ids: its own id where that is short and plain, else
/// `m` and its number, from 1, in order of the machine files.
pub fn machine_tags(machines: &[&Machine]) -> Vec<String> {
    let plain = |id: &str| {
        let letter = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
        !id.is_empty()
            && id.len() <= LONGEST_TAG
            && id.chars().all(letter)
            && id.chars().any(|c| c.is_ascii_alphabetic())
            // `c2` would be read as the second care event.
            && !matches!(Number::read(id), Some(Number { .. }))
    };
    let numbered = |at: usize| format!("m{}", at + 1);
    let same = |a: &str, b: &str| a.eq_ignore_ascii_case(b);
    let alone = |at: usize, id: &str| {
        let others = machines.iter().enumerate().filter(|(other, _)| *other != at);
        others.clone().all(|(_, machine)| !same(&machine.id, id))
            && (0..machines.len()).all(|other| !same(&numbered(other), id) || other == at)
    };
    let tag = |(at, machine): (usize, &&Machine)| {
        let id = machine.id.as_str();
        if plain(id) && alone(at, id) { id.to_owned() } else { numbered(at) }
    };
    machines.iter().enumerate().map(tag).collect()
}

/// The last part of an id: the family's letter and the number in it.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Number {
    letter: String,
    number: u32,
}

impl Number {
    fn read(text: &str) -> Option<Self> {
        let digits = text.trim_start_matches(|c: char| c.is_ascii_alphabetic());
        let letter = text.get(..text.len() - digits.len())?.to_ascii_lowercase();
        let known = super::Family::ALL.iter().any(|family| family.letter() == letter);
        let plain = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
        let number = digits.parse().ok().filter(|number| *number > 0)?;
        (known && plain).then_some(Self { letter, number })
    }
}

/// An id as somebody typed it. `2` alone is the second event of the last night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reference {
    /// `None`: the last night.
    pub night: Option<NaiveDate>,
    /// `None`: the only machine.
    machine: Option<String>,
    number: Number,
}

/// Why an id names no event.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum IdError {
    /// It is not made like an id.
    #[error(
        "`{0}` names no event: write it as `underbrush events` lists it, like 2026-11-13.2 or 2026-11-13.c1"
    )]
    Form(String),
    /// There is no such machine.
    #[error("no machine is called `{asked}` in ids of events{hint}")]
    Machine {
        /// What was asked for.
        asked: String,
        /// What may have been meant.
        hint: String,
    },
    /// Several machines, and it does not say which.
    #[error("there are several machines: write which, like {0}")]
    WhichMachine(String),
    /// The night has no such event.
    #[error("no event {asked} in the night of {night}: {there}")]
    Nothing {
        /// What was asked for.
        asked: String,
        /// Of which night.
        night: NaiveDate,
        /// What there is.
        there: String,
    },
}

impl Reference {
    /// Reads an id.
    pub fn parse(text: &str) -> Result<Self, IdError> {
        let wrong = || IdError::Form(text.chars().take(80).collect());
        // Out of a table for spreadsheets it comes with their sign of a text.
        let trimmed = text.trim().trim_start_matches('\'');
        let (before, number) = match trimmed.rsplit_once('.') {
            Some((before, number)) => (Some(before), number),
            None => (None, trimmed),
        };
        let number = Number::read(number).ok_or_else(wrong)?;
        let (date, machine) = match before {
            None | Some("") => (None, None),
            Some(before) => match before.split_once('.') {
                Some((date, machine)) => (Some(date), Some(machine)),
                None if before.starts_with(|c: char| c.is_ascii_digit()) => (Some(before), None),
                None => (None, Some(before)),
            },
        };
        let night = date.map(|date| date.parse().map_err(|_| wrong())).transpose()?;
        if machine.is_some_and(str::is_empty) {
            return Err(wrong());
        }
        Ok(Self { night, machine: machine.map(str::to_owned), number })
    }

    /// Which machine is meant.
    pub fn machine(&self, machines: &[&Machine]) -> Result<usize, IdError> {
        let tags = machine_tags(machines);
        let Some(asked) = &self.machine else {
            if machines.len() == 1 {
                return Ok(0);
            }
            let first = tags.first().map_or("m1", String::as_str);
            let tail = format!("{}{}", self.number.letter, self.number.number);
            let like = match self.night {
                Some(night) => format!("{night}.{first}.{tail}"),
                None => format!("{first}.{tail}"),
            };
            return Err(IdError::WhichMachine(like));
        };
        let same = |text: &str| text.eq_ignore_ascii_case(asked);
        let by_number = (0..machines.len()).find(|at| same(&format!("m{}", at + 1)));
        let by_tag = tags.iter().position(|tag| same(tag));
        let by_id = machines.iter().position(|machine| machine.id == *asked);
        by_tag.or(by_id).or(by_number).ok_or_else(|| IdError::Machine {
            asked: asked.chars().take(80).collect(),
            hint: did_you_mean(asked, tags.iter().map(String::as_str)),
        })
    }

    /// The event that is meant, among all of one machine's night.
    pub fn find<'a>(
        &self,
        night: NaiveDate,
        events: &'a [super::Event],
    ) -> Result<&'a super::Event, IdError> {
        let tail = format!("{}{}", self.number.letter, self.number.number);
        let last = |event: &super::Event| event.id.rsplit('.').next().map(str::to_owned);
        let found = events.iter().find(|event| last(event).as_deref() == Some(tail.as_str()));
        found.ok_or_else(|| {
            let same = |last: &String| {
                Number::read(last).is_some_and(|number| number.letter == self.number.letter)
            };
            let all: Vec<String> = events.iter().filter_map(last).filter(same).collect();
            let there = match (all.first(), all.last()) {
                (Some(first), Some(last)) if all.len() > 8 => {
                    format!("it has {} of them, {first} to {last}", all.len())
                }
                (Some(_), Some(_)) => format!("it has {}", all.join(", ")),
                _ if events.is_empty() => "it has none".to_owned(),
                _ => "it has none of that letter".to_owned(),
            };
            IdError::Nothing { asked: tail, night, there }
        })
    }
}

/// The id of the event with this number in its family.
pub(super) fn compose(
    night: NaiveDate,
    tag: Option<&str>,
    family: super::Family,
    number: usize,
) -> String {
    let letter = family.letter();
    match tag {
        None => format!("{night}.{letter}{number}"),
        Some(tag) => format!("{night}.{tag}.{letter}{number}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn machine(id: &str) -> Machine {
        let text = crate::events::list::tests::MACHINE
            .replace("id = \"scrubber-1\"", &format!("id = {id:?}"));
        Machine::parse("machine.toml", &text).unwrap()
    }

    #[test]
    fn ids_as_people_type_them() {
        let date = NaiveDate::from_ymd_opt(2026, 11, 13);
        let read = |text: &str| Reference::parse(text).unwrap();
        assert_eq!(read("2026-11-13.2").night, date);
        assert_eq!(read("2026-11-13.2").machine, None);
        assert_eq!(read(" 2026-11-13.scrubber-2.c1 ").machine.as_deref(), Some("scrubber-2"));
        assert_eq!(read("2026-11-13.M2.1").machine.as_deref(), Some("M2"));
        assert_eq!((read("3").night, read("3").machine), (None, None));
        assert_eq!(read("m2.3").machine.as_deref(), Some("m2"));
        assert_eq!(read("C4").number, Number { letter: "c".to_owned(), number: 4 });
        let wrong = [
            "",
            ".",
            "2026-11-13",
            "2026-11-13.",
            "2026-13-13.1",
            "2026-11-13..1",
            "x1",
            "2026-11-13.0",
            "2026-11-13.-1",
            "2026-11-13.1x",
            "c",
            "99999999999",
            "é1",
            "1é",
        ];
        for text in wrong {
            assert!(matches!(Reference::parse(text), Err(IdError::Form(_))), "{text}");
        }
    }

    #[test]
    fn tags_are_plain_and_differ() {
        let ids = ["scrubber-1", "two words", "", "c2", "Scrubber-3", "scrubber-3", "m1", "7"];
        let machines: Vec<Machine> =
            ids.iter().filter(|id| !id.is_empty()).map(|id| machine(id)).collect();
        let all: Vec<&Machine> = machines.iter().collect();
        assert_eq!(machine_tags(&all), ["scrubber-1", "m2", "m3", "m4", "m5", "m6", "m7"]);
        let read = |text: &str| Reference::parse(text).unwrap().machine(&all);
        assert_eq!(read("SCRUBBER-1.2"), Ok(0));
        assert_eq!(read("m6.2"), Ok(5));
        let told = read("srcubber-1.2").unwrap_err().to_string();
        assert!(told.ends_with("; did you mean scrubber-1?"), "{told}");
        let told = read("2026-11-13.c2").unwrap_err().to_string();
        assert!(told.ends_with("like 2026-11-13.scrubber-1.c2"), "{told}");
    }
}
