//! Nights that were read once, for whoever looks back on them.

use super::Inputs;
use super::history::{Night, read_night};
use super::kept::KeptNights;
use super::whereabouts::AssumedMark;
use crate::cores::share_out;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The nights of one machine, each read when it is first wanted.
#[derive(Clone, Debug, Default)]
pub(crate) struct Nights {
    read: BTreeMap<NaiveDate, Night>,
    kept: Option<Arc<KeptNights>>,
}

impl Nights {
    /// None yet; those that an earlier run kept are taken from there.
    pub(crate) fn keeping(kept: Option<Arc<KeptNights>>) -> Self {
        Self { read: BTreeMap::new(), kept }
    }

    /// Reads those of `dates` that are not there.
    pub(crate) fn fill(&mut self, inputs: &Inputs<'_>, dates: impl Iterator<Item = NaiveDate>) {
        let missing: Vec<NaiveDate> = dates.filter(|date| !self.read.contains_key(date)).collect();
        let read = share_out(missing.len(), |numbers| {
            let dates = numbers.filter_map(|number| missing.get(number).copied());
            dates.map(|date| (date, self.night(inputs, date, &[]))).collect::<Vec<_>>()
        });
        self.read.extend(read.into_iter().flatten());
    }

    /// A night that is there.
    pub(crate) fn get(&self, date: NaiveDate) -> Option<&Night> {
        self.read.get(&date)
    }

    /// Those that are there, in order of date.
    pub(crate) fn in_order(&self) -> impl Iterator<Item = &Night> {
        self.read.values()
    }

    /// The night with its work placed where nobody told, from now on; `assumed` in order of time.
    pub(crate) fn place(
        &mut self,
        inputs: &Inputs<'_>,
        date: NaiveDate,
        assumed: &[AssumedMark],
    ) -> &Night {
        if !assumed.is_empty() {
            self.read.insert(date, self.night(inputs, date, assumed));
        }
        self.read.entry(date).or_insert_with(|| read_night(inputs, date, assumed))
    }

    fn night(&self, inputs: &Inputs<'_>, date: NaiveDate, assumed: &[AssumedMark]) -> Night {
        let read = || read_night(inputs, date, assumed);
        match &self.kept {
            Some(kept) => kept.night_or(inputs, date, assumed, read),
            None => read(),
        }
    }
}
