//! Sorts of event, and the words by which people ask for them.

use crate::findings::{CareRule, LoadKind};
use underbrush_protocol::settings::did_you_mean;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventKind {
    /// A brush turned while the machine stood.
    Stationary,
    /// The load held a brush motor.
    Stall,
    /// The load nearly held it, and let go.
    NearStall,
    /// A motor's current vanished at high load.
    Trip,
    /// Current above the machine's limit.
    OverPressure,
    /// Current far above the expected one.
    Heavy,
    /// Current far below the expected one, head down.
    Light,
    /// One motor drew much more than the other.
    Uneven,
    /// More current than expected for minutes, water not known.
    Dry,
    /// The thermal replica was above its warning.
    Hot,
    /// Brushes on the floor with the vacuum off.
    Vacuum,
    /// Brushes on the floor with no or too little water.
    Water,
    /// Brushes on the floor with less than full pressure.
    Pressure,
    /// Brushes turned with the head up.
    Head,
    /// Brushes on a floor that must never be polished.
    Forbidden,
    /// The battery fell below its limit `low`.
    BatteryLow,
    /// The battery was discharged too deep.
    BatteryDeep,
    /// A wheel probably slipped.
    Slip,
    /// A sensor said what cannot be, or always the same.
    Sensor,
    /// Nothing was read while the agent was recording.
    Gap,
}

/// Kinds that belong together; the letter stands before the number in an event's id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Brushes that stood, and load: those of the sheet's table of events, without a letter.
    Brush,
    /// Switches in the wrong place, forbidden floors.
    Care,
    /// The battery.
    Battery,
    /// Slipping wheels and sensors to doubt.
    Sensing,
    /// Gaps of the record.
    Record,
}

impl Family {
    /// All of them, in the order of the list.
    pub const ALL: [Self; 5] =
        [Self::Brush, Self::Care, Self::Battery, Self::Sensing, Self::Record];

    /// Before the number in an id.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Brush => "",
            Self::Care => "c",
            Self::Battery => "b",
            Self::Sensing => "s",
            Self::Record => "g",
        }
    }

    /// The word for the whole family.
    pub fn word(self) -> &'static str {
        match self {
            Self::Brush => "brush",
            Self::Care => "care",
            Self::Battery => "battery",
            Self::Sensing => "sensing",
            Self::Record => "record",
        }
    }
}

impl EventKind {
    /// All kinds, in the order of the manual.
    pub const ALL: [Self; 20] = [
        Self::Stationary,
        Self::Stall,
        Self::NearStall,
        Self::Trip,
        Self::OverPressure,
        Self::Heavy,
        Self::Light,
        Self::Uneven,
        Self::Dry,
        Self::Hot,
        Self::Vacuum,
        Self::Water,
        Self::Pressure,
        Self::Head,
        Self::Forbidden,
        Self::BatteryLow,
        Self::BatteryDeep,
        Self::Slip,
        Self::Sensor,
        Self::Gap,
    ];

    /// The word that people type, and that stands in JSON and CSV.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stationary => "stationary",
            Self::Stall => "stall",
            Self::NearStall => "near-stall",
            Self::Trip => "trip",
            Self::OverPressure => "over-pressure",
            Self::Heavy => "heavy",
            Self::Light => "light",
            Self::Uneven => "uneven",
            Self::Dry => "dry",
            Self::Hot => "hot",
            Self::Vacuum => "vacuum-off",
            Self::Water => "water-low",
            Self::Pressure => "pressure-low",
            Self::Head => "head-up",
            Self::Forbidden => "forbidden",
            Self::BatteryLow => "battery-low",
            Self::BatteryDeep => "battery-deep",
            Self::Slip => "slip",
            Self::Sensor => "sensor",
            Self::Gap => "gap",
        }
    }

    /// What happened, in a few English words.
    pub fn says(self) -> &'static str {
        match self {
            Self::Stationary => "stood, brush turning",
            Self::Stall => "motor stalled",
            Self::NearStall => "motor nearly stalled",
            Self::Trip => "motor lost its power",
            Self::OverPressure => "over pressure",
            Self::Heavy => "heavy load",
            Self::Light => "light contact",
            Self::Uneven => "uneven load",
            Self::Dry => "dry running suspected",
            Self::Hot => "motor hot",
            Self::Vacuum => "vacuum off",
            Self::Water => "too little water",
            Self::Pressure => "pressure not full",
            Self::Head => "turned, head up",
            Self::Forbidden => "forbidden floor",
            Self::BatteryLow => "battery low",
            Self::BatteryDeep => "battery too deep",
            Self::Slip => "wheel slipped",
            Self::Sensor => "sensor in doubt",
            Self::Gap => "no readings",
        }
    }

    /// Where it belongs.
    pub fn family(self) -> Family {
        match self {
            Self::Stationary
            | Self::Stall
            | Self::NearStall
            | Self::Trip
            | Self::OverPressure
            | Self::Heavy
            | Self::Light
            | Self::Uneven
            | Self::Dry
            | Self::Hot => Family::Brush,
            Self::Vacuum | Self::Water | Self::Pressure | Self::Head | Self::Forbidden => {
                Family::Care
            }
            Self::BatteryLow | Self::BatteryDeep => Family::Battery,
            Self::Slip | Self::Sensor => Family::Sensing,
            Self::Gap => Family::Record,
        }
    }

    /// The kinds that a word names: one, or a whole family.
    pub fn named(word: &str) -> Result<Vec<Self>, String> {
        let asked = word.trim().to_lowercase().replace('_', "-");
        let of = |test: &dyn Fn(&Self) -> bool| -> Vec<Self> {
            Self::ALL.into_iter().filter(|kind| test(kind)).collect()
        };
        let found = of(&|kind| kind.word() == asked);
        let found =
            if found.is_empty() { of(&|kind| kind.family().word() == asked) } else { found };
        if !found.is_empty() {
            return Ok(found);
        }
        let known = || Self::ALL.into_iter().map(Self::word);
        let known = || known().chain(Family::ALL.into_iter().map(Family::word));
        let hint = match did_you_mean(&asked, known()) {
            hint if hint.is_empty() => {
                format!("; there are {}", known().collect::<Vec<_>>().join(", "))
            }
            hint => hint,
        };
        Err(format!("no kind of event is called `{word}`{hint}"))
    }
}

impl From<LoadKind> for EventKind {
    fn from(kind: LoadKind) -> Self {
        match kind {
            LoadKind::Stall => Self::Stall,
            LoadKind::NearStall => Self::NearStall,
            LoadKind::Trip => Self::Trip,
            LoadKind::OverPressure => Self::OverPressure,
            LoadKind::Heavy => Self::Heavy,
            LoadKind::Light => Self::Light,
            LoadKind::Uneven => Self::Uneven,
            LoadKind::Dry => Self::Dry,
            LoadKind::Hot => Self::Hot,
        }
    }
}

impl From<CareRule> for EventKind {
    fn from(rule: CareRule) -> Self {
        match rule {
            CareRule::Vacuum => Self::Vacuum,
            CareRule::Water => Self::Water,
            CareRule::Pressure => Self::Pressure,
            CareRule::Head => Self::Head,
            CareRule::Forbidden => Self::Forbidden,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_word_names_its_kind() {
        for kind in EventKind::ALL {
            assert_eq!(EventKind::named(kind.word()), Ok(vec![kind]));
            assert_eq!(EventKind::named(&kind.word().to_uppercase()), Ok(vec![kind]));
        }
        let words: BTreeSet<&str> = EventKind::ALL.into_iter().map(EventKind::word).collect();
        assert_eq!(words.len(), EventKind::ALL.len());
        assert_eq!(EventKind::named("near_stall"), Ok(vec![EventKind::NearStall]));
        assert_eq!(EventKind::named("care").unwrap().len(), 5);
        let all: usize =
            Family::ALL.iter().map(|f| EventKind::named(f.word()).unwrap().len()).sum();
        assert_eq!(all, EventKind::ALL.len());
    }

    #[test]
    fn what_is_unknown_gets_a_hint() {
        let told = EventKind::named("stal").unwrap_err();
        assert_eq!(told, "no kind of event is called `stal`; did you mean stall?");
        let told = EventKind::named("overpressure").unwrap_err();
        assert!(told.ends_with("did you mean over-pressure?"), "{told}");
        let told = EventKind::named("nothing at all").unwrap_err();
        assert!(told.contains("; there are stationary, stall,"), "{told}");
    }
}
