//! What is asked for, and what is missing of it.

use super::tables::Table;
use crate::duration;
use crate::findings::{Problem, Span, ToldStep};
use crate::logset::BootLog;
use chrono::NaiveDate;
use std::ops::RangeInclusive;
use underbrush_protocol::settings::Machine;

/// The time that readings are wanted of.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window {
    /// `None`: everything, undated power-ons included.
    pub(crate) span: Option<Span>,
}

impl Window {
    /// Whether an instant, in UTC ms, is in it.
    pub(crate) fn holds(&self, utc: Option<i64>) -> bool {
        let Some(span) = self.span else { return true };
        let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        utc.is_some_and(|at| at >= from && at < to)
    }
}

/// The nights and machines that are wanted.
#[derive(Clone, Debug)]
pub(crate) struct Dates {
    /// `None`: all there are.
    pub(crate) range: Option<RangeInclusive<NaiveDate>>,
    /// Ids.
    pub(crate) machines: Vec<String>,
}

impl Dates {
    pub(crate) fn holds(&self, date: NaiveDate) -> bool {
        self.range.as_ref().is_none_or(|range| range.contains(&date))
    }
}

/// Something that is missing or doubtful, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Loss {
    /// Whether data are missing for it.
    pub(crate) data_lost: bool,
    /// Where and what.
    pub(crate) words: String,
}

impl Loss {
    pub(crate) fn of(machine: &str, problem: Problem) -> Self {
        let Problem { data_lost, message } = problem;
        Self { data_lost, words: format!("machine {machine}: {message}") }
    }

    /// A power-on that no date can be given to was left out.
    pub(crate) fn undated(machine: &Machine, boot: &BootLog) -> Self {
        let length = duration::in_words(boot.length_ms());
        let words = format!(
            "machine {}: power-on {} has no date: its {length} were left out. Give --boot {}=TIME, or export all readings, with no dates asked for.",
            machine.id, boot.boot, boot.boot
        );
        Self { data_lost: true, words }
    }

    /// What an undated power-on means for the tables of nights.
    pub(crate) fn not_in_nights(
        machine: &Machine,
        boot: &BootLog,
        tables: &[Table],
    ) -> Option<Self> {
        let names: Vec<&str> =
            tables.iter().filter(|table| table.of_shifts()).map(|table| table.name()).collect();
        let length = duration::in_words(boot.length_ms());
        (!names.is_empty()).then(|| Self {
            data_lost: true,
            words: format!(
                "machine {}: power-on {} has no date: its {length} are not in {}. Give --boot {}=TIME.",
                machine.id,
                boot.boot,
                names.join(", "),
                boot.boot
            ),
        })
    }
}

/// Stretches in which speed or brush were not observed.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Gaps {
    longest_ms: u64,
    open_ms: u64,
    boot: u32,
    /// How many.
    pub(crate) count: u64,
    /// Their time in all.
    pub(crate) ms: u64,
}

impl Gaps {
    pub(super) fn longer_than(longest_ms: u64) -> Self {
        Self { longest_ms, ..Self::default() }
    }

    pub(super) fn step(&mut self, step: &ToldStep<'_>) {
        let observed = step.turning.is_some() && step.interval.speed_m_s.is_some();
        if observed || step.boot != self.boot {
            self.end();
            self.boot = step.boot;
        }
        if !observed {
            self.open_ms += step.interval.ms();
        }
    }

    pub(super) fn end(&mut self) {
        let open = std::mem::take(&mut self.open_ms);
        if open > self.longest_ms {
            self.count += 1;
            self.ms += open;
        }
    }

    pub(crate) fn add(&mut self, other: &Self) {
        self.count += other.count;
        self.ms += other.ms;
    }
}
