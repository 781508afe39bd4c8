//! What the technician was asked to do, when, and what each signal should do then.
//!
//! Safety: nothing here drives the machine. The words defer to its manual, ask for a clear
//! area, and never ask for brushes that turn on the floor while the machine stands.

use serde::Deserialize;
use std::fmt::Write;
use underbrush_protocol::settings::{SettingsError, Spanned, line_of, parse};
use underbrush_protocol::si::Seconds;

/// Something to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Task {
    /// Stand, brushes off.
    Stand,
    /// Drive slowly, brushes off.
    DriveSlow,
    /// Drive fast, brushes off.
    DriveFast,
    /// Brushes on with the head lifted off the floor.
    BrushLifted,
    /// Drive with brushes on at the lowest pressure.
    BrushLow,
    /// Drive with brushes on at the highest pressure.
    BrushHigh,
}

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Ground speed.
    Speed,
    /// Current of a brush motor.
    BrushCurrent,
    /// Brushes switched on.
    BrushCommand,
    /// Brush head lowered.
    HeadDown,
    /// Down-pressure setting.
    Pressure,
    /// Battery voltage.
    Voltage,
}

/// One task with its time since the recording began.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prompt {
    /// Begin in s.
    pub from_s: f64,
    /// End in s.
    pub to_s: f64,
    /// What was asked.
    pub task: Task,
}

impl Task {
    /// The tasks in the order they are asked, with their seconds.
    pub const ROUND: [(Self, f64); 11] = [
        (Self::Stand, 15.0),
        (Self::DriveSlow, 20.0),
        (Self::Stand, 10.0),
        (Self::DriveFast, 20.0),
        (Self::Stand, 10.0),
        (Self::BrushLifted, 15.0),
        (Self::Stand, 10.0),
        (Self::BrushLow, 20.0),
        (Self::BrushHigh, 20.0),
        (Self::DriveSlow, 15.0),
        (Self::Stand, 10.0),
    ];

    /// Name in a prompts file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Stand => "stand",
            Self::DriveSlow => "drive_slow",
            Self::DriveFast => "drive_fast",
            Self::BrushLifted => "brush_lifted",
            Self::BrushLow => "brush_low",
            Self::BrushHigh => "brush_high",
        }
    }

    /// What the technician reads.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Stand => "STOP and stand still: brushes off, head lifted off the floor",
            Self::DriveSlow => "DRIVE slowly and evenly, about 1 mph: brushes off, head lifted",
            Self::DriveFast => {
                "DRIVE faster and evenly, about 2.5 mph where the area allows: brushes off, head lifted"
            }
            Self::BrushLifted => {
                "BRUSHES ON with the head lifted off the floor, nobody near it; skip this where \
                 the manual does not allow it or the machine will not do it"
            }
            Self::BrushLow => {
                "DRIVE slowly, and only while it moves lower the head and switch the brushes on \
                 at the LOWEST pressure"
            }
            Self::BrushHigh => {
                "KEEP DRIVING with the brushes on and raise to the HIGHEST pressure that the \
                 manual allows for this floor; brushes off and head up before you stop"
            }
        }
    }

    /// The level a quantity should have, in order; `None` where the task says nothing of it.
    #[allow(clippy::match_same_arms, reason = "one row for each task, quantity by quantity")]
    pub(super) fn level(self, quantity: Quantity) -> Option<u8> {
        use Task::{BrushHigh, BrushLifted, BrushLow, DriveFast, DriveSlow, Stand};
        match (quantity, self) {
            (Quantity::Speed, Stand) => Some(0),
            (Quantity::Speed, DriveSlow | BrushLow | BrushHigh) => Some(1),
            (Quantity::Speed, DriveFast) => Some(2),
            (Quantity::Speed, BrushLifted) => None,
            (Quantity::BrushCurrent, Stand | DriveSlow | DriveFast) => Some(0),
            (Quantity::BrushCurrent, BrushLifted) => Some(1),
            (Quantity::BrushCurrent, BrushLow) => Some(2),
            (Quantity::BrushCurrent, BrushHigh) => Some(3),
            (Quantity::BrushCommand, Stand | DriveSlow | DriveFast) => Some(0),
            (Quantity::BrushCommand, BrushLifted | BrushLow | BrushHigh) => Some(1),
            (Quantity::HeadDown, Stand | DriveSlow | DriveFast | BrushLifted) => Some(0),
            (Quantity::HeadDown, BrushLow | BrushHigh) => Some(1),
            (Quantity::Pressure, BrushLow) => Some(0),
            (Quantity::Pressure, BrushHigh) => Some(1),
            (Quantity::Pressure | Quantity::Voltage, _) => None,
        }
    }
}

impl Quantity {
    /// All that is looked for, in the order it is shown.
    pub const ALL: [Self; 6] = [
        Self::Speed,
        Self::BrushCurrent,
        Self::BrushCommand,
        Self::HeadDown,
        Self::Pressure,
        Self::Voltage,
    ];

    /// What people call it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Speed => "ground speed",
            Self::BrushCurrent => "brush motor current",
            Self::BrushCommand => "brushes on",
            Self::HeadDown => "head down",
            Self::Pressure => "down pressure",
            Self::Voltage => "battery voltage",
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    prompt: Vec<Spanned<Entry>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    from: Seconds,
    to: Seconds,
    task: Task,
}

/// Reads a prompts file: tables `[[prompt]]` with `from`, `to` (since the capture's first
/// frame) and `task`, in the order of time.
pub fn parse_prompts(file: &str, text: &str) -> Result<Vec<Prompt>, SettingsError> {
    let read: File = parse(file, text)?;
    let mut prompts: Vec<Prompt> = Vec::new();
    for entry in read.prompt {
        let line = line_of(text, entry.span().start);
        let Entry { from: Seconds(from_s), to: Seconds(to_s), task } = entry.into_inner();
        let wrong = |message: &str| SettingsError {
            file: file.to_owned(),
            line: Some(line),
            key: Some("prompt".to_owned()),
            message: message.to_owned(),
        };
        if !(from_s >= 0.0 && to_s > from_s && to_s.is_finite()) {
            return Err(wrong("`to` must be after `from`, and neither before the capture"));
        }
        if prompts.last().is_some_and(|last| last.to_s > from_s) {
            return Err(wrong("begins before the prompt above it has ended"));
        }
        prompts.push(Prompt { from_s, to_s, task });
    }
    if prompts.is_empty() {
        return Err(SettingsError {
            file: file.to_owned(),
            line: None,
            key: None,
            message: "it has no [[prompt]] table".to_owned(),
        });
    }
    Ok(prompts)
}

/// The text of a prompts file.
pub fn prompts_text(prompts: &[Prompt]) -> String {
    let mut text = String::from(
        "# What the technician was asked to do, in time since the capture's first frame.\n",
    );
    for prompt in prompts {
        // Writing to a String cannot fail.
        let _ = write!(
            text,
            "\n[[prompt]]\nfrom = \"{:.2} s\"\nto = \"{:.2} s\"\ntask = \"{}\"\n",
            prompt.from_s,
            prompt.to_s,
            prompt.task.name()
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_and_read_again() {
        let mut at = 0.0;
        let round = Task::ROUND.map(|(task, length)| {
            let prompt = Prompt { from_s: at, to_s: at + length, task };
            at += length;
            prompt
        });
        assert_eq!(parse_prompts("p.toml", &prompts_text(&round)).unwrap(), round);
    }

    #[test]
    fn wrong_files_are_told_with_their_line() {
        let told = |text: &str| parse_prompts("p.toml", text).unwrap_err().to_string();
        let entry = |from, to, task| {
            format!("[[prompt]]\nfrom = \"{from} s\"\nto = \"{to} s\"\ntask = \"{task}\"\n")
        };
        assert!(told(&entry(5, 5, "stand")).starts_with("p.toml, line 1, key `prompt`: `to`"));
        let twice = entry(0, 5, "stand") + &entry(4, 9, "stand");
        assert!(told(&twice).starts_with("p.toml, line 5, key `prompt`: begins"));
        assert!(told(&entry(0, 5, "fly")).contains("fly"));
        assert!(told("").contains("no [[prompt]]"));
    }

    /// Brushes never turn on the floor while the machine stands.
    #[test]
    fn no_task_asks_for_brushes_on_a_standing_machine() {
        for (task, _) in Task::ROUND {
            let on = task.level(Quantity::BrushCommand) == Some(1);
            let stands = task.level(Quantity::Speed).is_none_or(|level| level == 0);
            let down = task.level(Quantity::HeadDown) == Some(1);
            assert!(!(on && stands && down), "{task:?}");
            let words = task.words();
            assert!(!on || words.contains("lifted") || words.contains("DRIV"), "{words}");
        }
    }
}
