//! What is likely behind an event, by its signature.
//!
//! Each family of causes has one file of rules. A rule weighs facts of the
//! [`Signature`]: a fact with numbers stands for the cause or against it, with a weight of
//! 1 to 3; one that is not known stands for nothing. The sum decides the word: *likely*
//! from 3 on, *unlikely* below 0, *possible* between. Rules, weights and limits are common
//! practice in our own words, no published source. They rank what to look at first; they
//! prove nothing, and the machine's manual comes before them.

mod around;
mod battery;
mod drive;
mod in_the_air;
mod light;
mod load;
mod signature;
mod standing;
mod switches;
#[cfg(test)]
mod tests;
mod tool;

pub use in_the_air::{AgainstNights, AirOfMotor, InTheAir};
pub use signature::{OwnNormal, Signature};

use super::{Event, EventKind};
use crate::findings::{Findings, Trace};
use crate::settings::{Book, Site};
use underbrush_protocol::settings::Machine;

/// How likely, in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Likelihood {
    /// Look here first.
    Likely,
    /// Cannot be told from the readings.
    Possible,
    /// More speaks against it than for it.
    Unlikely,
}

impl Likelihood {
    /// The word in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Likely => "likely",
            Self::Possible => "possible",
            Self::Unlikely => "unlikely",
        }
    }
}

/// A number in an evidence line, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Number {
    /// In A.
    Amperes(f64),
    /// In s.
    Seconds(f64),
    /// In m/s.
    Speed(f64),
    /// In V.
    Volts(f64),
    /// In percent.
    Percent(f64),
    /// A ratio.
    Ratio(f64),
    /// So many.
    Count(u64),
    /// A motor, from 0.
    Motor(usize),
}

/// A fact that speaks for a cause or against it; its words are a message of the catalogues.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Id of the message.
    pub id: &'static str,
    /// Its variables.
    pub values: Vec<(&'static str, Number)>,
    /// From 1 to 3.
    pub weight: i32,
}

/// A cause that may be behind an event.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// Id of its message.
    pub id: &'static str,
    /// In a word.
    pub likelihood: Likelihood,
    /// Weights for it less those against it.
    pub score: i32,
    /// What speaks for it.
    pub evidence_for: Vec<Evidence>,
    /// What speaks against it.
    pub evidence_against: Vec<Evidence>,
    checks: &'static [&'static str],
}

impl Cause {
    fn new(id: &'static str, checks: &'static [&'static str]) -> Self {
        Self {
            id,
            likelihood: Likelihood::Possible,
            score: 0,
            evidence_for: Vec::new(),
            evidence_against: Vec::new(),
            checks,
        }
    }

    /// A fact that speaks for it where it is so, and as much against it where it is not.
    fn weigh(self, weight: i32, is_so: Option<bool>, fact: &Fact) -> Self {
        self.weigh_both((weight, weight), is_so, fact)
    }

    /// The same with a weight of its own for each side; 0 leaves that side out.
    fn weigh_both(mut self, weights: (i32, i32), is_so: Option<bool>, fact: &Fact) -> Self {
        let Some((id, values)) = fact else { return self };
        let Some(is_so) = is_so else { return self };
        let weight = if is_so { weights.0 } else { weights.1 };
        let evidence = Evidence { id, values: values.clone(), weight };
        match (weight, is_so) {
            (0, _) => {}
            (_, true) => self.evidence_for.push(evidence),
            (_, false) => self.evidence_against.push(evidence),
        }
        self
    }

    fn judged(mut self) -> Self {
        let sum = |list: &[Evidence]| list.iter().map(|e| e.weight).sum::<i32>();
        self.score = sum(&self.evidence_for) - sum(&self.evidence_against);
        self.likelihood = match self.score {
            3.. => Likelihood::Likely,
            0..3 => Likelihood::Possible,
            _ => Likelihood::Unlikely,
        };
        self
    }
}

/// A message and its variables; `None`: not known.
type Fact = Option<(&'static str, Vec<(&'static str, Number)>)>;

/// What an event is judged by, beside the readings around it.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The machine file.
    pub machine: &'a Machine,
    /// The site file.
    pub site: &'a Site,
    /// The machine's part of the shift book.
    pub book: &'a Book,
    /// What was found of the night.
    pub findings: &'a Findings,
    /// What its brushes do in the air; `None`: nobody looked.
    pub air: Option<&'a InTheAir>,
}

/// Causes, the most likely first, and what to check, the cheapest and safest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// In order of score.
    pub causes: Vec<Cause>,
    /// Ids of messages, without those of unlikely causes.
    pub checks: Vec<&'static str>,
}

/// Checks from the cheapest and safest to those for which hands or tools go to the deck.
const CHECKS: [&str; 21] = [
    "inspect-before-reset",
    "inspect-why-it-stood",
    "inspect-marks",
    "inspect-tool",
    "inspect-down-pressure",
    "inspect-water",
    "inspect-switches",
    "inspect-battery",
    "inspect-link",
    "inspect-floor-there",
    "inspect-spot-in-low-light",
    "inspect-brush-switch",
    "inspect-speed-sensor",
    "inspect-air-and-heat",
    "inspect-drive-wheels",
    "inspect-in-the-air",
    "inspect-segments",
    "inspect-brush-by-hand",
    "inspect-deck-level",
    "inspect-wiring",
    "inspect-motor",
];

/// Judges one event by the readings around it.
pub fn judge(event: &Event, trace: Option<&Trace>, case: &Case<'_>) -> Judgement {
    weigh(event.kind, &Signature::of(event, trace, case))
}

/// Weighs all causes that an event of this kind may have.
pub fn weigh(kind: EventKind, signature: &Signature) -> Judgement {
    use EventKind as K;
    let causes = match kind {
        K::Stall | K::NearStall => load::stall(signature),
        K::OverPressure | K::Heavy | K::Dry => load::over_pressure(signature),
        K::Trip => load::trip(signature),
        K::Hot => load::hot(signature),
        K::Light => light::light(signature),
        K::Uneven => light::uneven(signature),
        K::Stationary => standing::causes(signature),
        K::BatteryLow | K::BatteryDeep => battery::causes(signature),
        K::Vacuum | K::Water | K::Pressure | K::Head | K::Forbidden => {
            switches::causes(kind, signature)
        }
        K::Slip => drive::slip(signature),
        K::Sensor | K::Gap => switches::record(kind),
    };
    let mut causes: Vec<Cause> = causes.into_iter().map(Cause::judged).collect();
    causes.sort_by_key(|cause| -cause.score);
    let open = causes.iter().filter(|cause| cause.likelihood != Likelihood::Unlikely);
    let wanted: Vec<&str> = open.flat_map(|cause| cause.checks).copied().collect();
    let checks = CHECKS.into_iter().filter(|check| wanted.contains(check)).collect();
    Judgement { causes, checks }
}
