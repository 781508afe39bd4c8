//! Which events somebody wants to see.

use super::{Event, EventKind, Severity};
use chrono::{NaiveTime, Timelike};
use chrono_tz::Tz;

/// All that is asked for; what is `None` or empty lets everything through.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    /// Of these kinds.
    pub kinds: Vec<EventKind>,
    /// In these sections, by their place in the site file.
    pub sections: Vec<usize>,
    /// At least so bad.
    pub severity: Option<Severity>,
    /// Of these machines.
    pub machines: Vec<usize>,
    /// Begun from the one local time of day to the other, which may be past midnight; the
    /// second minute counts to its end.
    pub between: Option<(NaiveTime, NaiveTime)>,
}

impl Filter {
    /// Whether an event is asked for.
    pub fn lets(&self, event: &Event, zone: Tz) -> bool {
        let kind = self.kinds.is_empty() || self.kinds.contains(&event.kind);
        let there = |section| self.sections.contains(&section);
        let section = self.sections.is_empty() || event.place.section.is_some_and(there);
        let severity = self.severity.is_none_or(|least| event.severity >= least);
        let machine = self.machines.is_empty() || self.machines.contains(&event.machine);
        let local = event.span.from.with_timezone(&zone).time();
        let minutes = |time: NaiveTime| time.hour() * 60 + time.minute();
        let time = self.between.is_none_or(|(from, to)| {
            let (at, from, to) = (minutes(local), minutes(from), minutes(to));
            if from <= to { (from..=to).contains(&at) } else { at >= from || at <= to }
        });
        kind && section && severity && machine && time
    }
}
