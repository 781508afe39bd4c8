//! One event against the earlier ones of its kind on the same machine, against what is
//! normal for its motor, and against what changes slowly.
//!
//! A *fact* is a number of the event, or of the 10 s before it (see `cause::Signature`),
//! with the smallest, the median and the largest of the earlier ones. What repeats, the
//! motor or the section, points at the machine or at the floor: common practice, no
//! published source. With fewer than [`FEWEST`] earlier events nothing is concluded.

use super::Event;
use super::cause::Signature;
use super::rows::{Context, Row};
use super::table::{length, number, to_text};
use crate::findings::robust::median;
use crate::findings::{AgainstNormal, Findings, Normal, Source};
use crate::trends::MachineTrends;
use serde::Serialize;
use std::fmt::Write;

/// Earlier events that say something together.
const FEWEST: usize = 2;
/// Raised when a key changes its meaning.
const VERSION: u32 = 1;

/// An event with the readings around it in numbers.
#[derive(Clone, Debug)]
pub struct Compared {
    /// Which.
    pub event: Event,
    /// Its readings.
    pub signature: Signature,
}

/// What a fact is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OfFact {
    /// How long it lasted, in s.
    Lasted,
    /// Largest current in it over that before.
    PeakRatio,
    /// Time from normal to the limit, in s.
    Rise,
    /// Current before, in A.
    CurrentBefore,
    /// Speed before, in m/s.
    SpeedBefore,
    /// Battery voltage before, in V.
    VoltsBefore,
}

impl OfFact {
    const ALL: [Self; 6] = [
        Self::Lasted,
        Self::PeakRatio,
        Self::Rise,
        Self::CurrentBefore,
        Self::SpeedBefore,
        Self::VoltsBefore,
    ];

    fn value(self, signature: &Signature) -> Option<f64> {
        match self {
            Self::Lasted => Some(signature.lasted_s),
            Self::PeakRatio => signature.peak_ratio,
            Self::Rise => signature.rise_s,
            Self::CurrentBefore => signature.before_a,
            Self::SpeedBefore => signature.speed_before_m_s,
            Self::VoltsBefore => signature.volts_before,
        }
    }

    fn says(self) -> (&'static str, &'static str) {
        match self {
            Self::Lasted => ("lasted", "s"),
            Self::PeakRatio => ("peak over current before", "x"),
            Self::Rise => ("rise to the limit", "s"),
            Self::CurrentBefore => ("current before", "A"),
            Self::SpeedBefore => ("speed before", "m/s"),
            Self::VoltsBefore => ("battery before", "V"),
        }
    }
}

/// A number of the event beside the earlier ones.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fact {
    /// What it is of.
    pub of: OfFact,
    /// Of the event.
    pub value: f64,
    /// Earlier ones that have it.
    pub earlier: usize,
    /// Smallest of these; `None` without any.
    pub low: Option<f64>,
    /// Their median.
    pub median: Option<f64>,
    /// Largest of these.
    pub high: Option<f64>,
}

impl Fact {
    /// Outside of all earlier ones, of which there are enough.
    pub fn stands_out(&self) -> bool {
        let outside = self
            .low
            .zip(self.high)
            .is_some_and(|(low, high)| self.value < low || self.value > high);
        outside && self.earlier >= FEWEST
    }
}

/// An event beside the earlier ones.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The event.
    pub event: Event,
    /// Earlier ones of its kind on its machine, in order.
    pub earlier: Vec<Event>,
    /// How many of these were of its motor.
    pub same_motor: usize,
    /// How many were in its section; `None`: its section is not known.
    pub same_section: Option<usize>,
    /// Numbers.
    pub facts: Vec<Fact>,
    /// Tonight's current of its motor in normal work, and what is normal.
    pub normal: Option<AgainstNormal>,
}

impl Comparison {
    /// Sets an event beside earlier ones of its kind and machine.
    pub fn of(this: &Compared, earlier: &[Compared], night: &Findings) -> Self {
        let event = &this.event;
        let fact = |of: OfFact| {
            let value = of.value(&this.signature)?;
            let others: Vec<f64> =
                earlier.iter().filter_map(|other| of.value(&other.signature)).collect();
            let least = others.iter().copied().reduce(f64::min);
            let most = others.iter().copied().reduce(f64::max);
            let (median, earlier) = (median(&others), others.len());
            Some(Fact { of, value, earlier, low: least, median, high: most })
        };
        let alike = |same: &dyn Fn(&Event) -> bool| {
            earlier.iter().filter(|other| same(&other.event)).count()
        };
        let section = event.place.section;
        let motor = event.motor.and_then(|motor| night.load.motors.get(motor));
        Self {
            event: event.clone(),
            earlier: earlier.iter().map(|other| other.event.clone()).collect(),
            same_motor: alike(&|other| other.motor == event.motor),
            same_section: section.map(|_| alike(&|other| other.place.section == section)),
            facts: OfFact::ALL.into_iter().filter_map(fact).collect(),
            normal: motor.and_then(|motor| motor.normal),
        }
    }

    /// What repeats, in words; empty where there are too few to tell.
    pub fn repeats(&self) -> Vec<&'static str> {
        let all = self.earlier.len();
        let mut says = Vec::new();
        if all < FEWEST {
            return says;
        }
        // One of two motors is right by chance in half of the cases.
        if self.event.motor.is_some() && self.same_motor == all && all > FEWEST {
            says.push("Always the same motor: look at this motor, its brush and its drive first.");
        }
        if self.same_section.is_some_and(|same| 2 * same >= all) {
            says.push("Mostly in this section: look at the floor there first.");
        }
        if self.same_section == Some(0) && self.same_motor < all {
            says.push("Neither motor nor section repeats: look at pressure, water and the way of working.");
        }
        says
    }
}

/// A comparison as text, `width` characters wide at most.
pub fn compare_text(
    comparison: &Comparison,
    trends: &MachineTrends,
    context: Context<'_>,
    width: usize,
) -> String {
    let mut out = to_text(&[&comparison.event], context, width);
    // Writing to a string cannot fail.
    let earlier: Vec<&Event> = comparison.earlier.iter().collect();
    if earlier.is_empty() {
        let _ =
            writeln!(out, "\nNo earlier one of its kind on this machine in the nights looked at.");
    } else {
        let _ = writeln!(out, "\nEarlier ones of its kind on this machine:");
        out.push_str(&to_text(&earlier, context, width));
    }
    let _ = writeln!(out, "\nThis one against them:");
    for fact in &comparison.facts {
        let (what, unit) = fact.of.says();
        let _ = write!(out, "  {what}: {} {unit}", number(fact.value));
        match (fact.low, fact.median, fact.high) {
            (Some(low), Some(median), Some(high)) => {
                let _ = write!(
                    out,
                    "; earlier {} to {}, median {}",
                    number(low),
                    number(high),
                    number(median)
                );
            }
            _ => out.push_str("; no earlier one has it"),
        }
        out.push_str(if fact.stands_out() { "  <- outside of all earlier ones\n" } else { "\n" });
    }
    let all = comparison.earlier.len();
    if comparison.event.motor.is_some() && all > 0 {
        let _ = writeln!(out, "  same motor: {} of {all}", comparison.same_motor);
    }
    if let Some(same) = comparison.same_section.filter(|_| all > 0) {
        let _ = writeln!(out, "  same section: {same} of {all}");
    }
    for says in comparison.repeats() {
        let _ = writeln!(out, "  {says}");
    }
    let _ = writeln!(out, "\nAgainst the machine's own normal:");
    match comparison.normal {
        Some(against) => {
            let (tonight, normal) = (against.tonight.0, against.normal.current.0);
            let share = if normal > 0.0 { 100.0 * (tonight / normal - 1.0) } else { 0.0 };
            let _ = writeln!(
                out,
                "  current in normal work that night {} A, normal {} A ({share:+.0} %, over {}); normal by {}",
                number(tonight),
                number(normal),
                length(against.time),
                source(&against.normal)
            );
        }
        None => out.push_str("  not known for this event\n"),
    }
    let told: Vec<_> = trends.told().collect();
    let looked = trends.dates;
    match told.as_slice() {
        [] => {
            let _ = writeln!(
                out,
                "  slow changes from {} to {}: none told (`underbrush trends`)",
                looked.0, looked.1
            );
        }
        told => {
            for series in told {
                let name = crate::trends::name(series.sign);
                let _ = writeln!(
                    out,
                    "  slow change: {name} ({}; `underbrush trends` says what to check)",
                    crate::trends::verdict_key(series.trend.verdict)
                );
            }
        }
    }
    out
}

/// Where a normal current comes from, in words.
fn source(normal: &Normal) -> String {
    let nights = normal.nights;
    match normal.source {
        Source::Place => format!("{nights} nights in this section and step"),
        Source::Phase => format!("{nights} nights in this step"),
        Source::Machine => format!("{nights} nights of all work"),
        Source::MachineFile => "the machine file".to_owned(),
        Source::Tonight => "that night itself: what was wrong all night does not show".to_owned(),
    }
}

#[derive(Serialize)]
struct Whole<'a> {
    format: &'static str,
    version: u32,
    event: Row<'a>,
    earlier: Vec<Row<'a>>,
    same_motor: usize,
    same_section: Option<usize>,
    facts: &'a [Fact],
    normal: Option<AgainstNormal>,
    repeats: Vec<&'static str>,
    slow_changes: Vec<String>,
}

/// The same as JSON.
pub fn compare_json(
    comparison: &Comparison,
    trends: &MachineTrends,
    context: Context<'_>,
) -> String {
    let whole = Whole {
        format: "underbrush-comparison",
        version: VERSION,
        event: Row::of(&comparison.event, context),
        earlier: comparison.earlier.iter().map(|event| Row::of(event, context)).collect(),
        same_motor: comparison.same_motor,
        same_section: comparison.same_section,
        facts: &comparison.facts,
        normal: comparison.normal,
        repeats: comparison.repeats(),
        slow_changes: trends.told().map(|series| crate::trends::name(series.sign)).collect(),
    };
    // Strings, numbers and lists of them always can be written.
    let mut text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    text.push('\n');
    text
}
