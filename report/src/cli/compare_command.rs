//! `underbrush compare`.

use super::args::CompareArgs;
use super::asked_event::{AskedEvent, with_event};
use super::loaded::Loaded;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::events::cause::Signature;
use crate::events::{Compared, Comparison, Event, compare_json, compare_text, read};
use crate::findings::{Inputs, trace};
use crate::ledger::Ledger;
use crate::trends;
use chrono::{Days, Duration};

/// Readings before and after that the comparison looks at, in s.
const AROUND_S: i64 = 30;
/// The latest of the earlier events are enough.
const MOST_EARLIER: usize = 40;

pub(super) fn run(args: &CompareArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    with_event(&args.event, &loaded, |asked| compare(args, asked))
}

fn compare(args: &CompareArgs, asked: &AskedEvent<'_>) -> Result<Outcome, CliError> {
    let AskedEvent { event, number, date, machine, findings, building, context } = *asked;
    let from = date.checked_sub_days(Days::new(args.days.into())).unwrap_or(date);
    let nights = read(building, &(from..=date))?;
    let same = |other: &&Event| {
        other.machine == number && other.kind == event.kind && other.span.from < event.span.from
    };
    let mut earlier: Vec<&Event> = nights.iter().flat_map(|n| &n.events).filter(same).collect();
    let later = earlier.len().saturating_sub(MOST_EARLIER);
    earlier.drain(..later);
    let earlier: Vec<Compared> = earlier.into_iter().map(|e| compared(machine, e)).collect();
    let comparison = Comparison::of(&compared(machine, event), &earlier, findings);
    let ledger = Ledger::read(building, date);
    let trends = trends::read(building, &ledger, number, (from, date));
    let trends = trends.ok_or(CliError::WhichMachine(building.machines.len()))?;
    if args.json {
        say(&compare_json(&comparison, &trends, context))?;
    } else {
        let width = args.width.unwrap_or_else(width_of_output);
        say(&compare_text(&comparison, &trends, context, width))?;
    }
    Ok(Outcome::Whole)
}

fn compared(machine: &Inputs<'_>, event: &Event) -> Compared {
    let around = trace(machine, None, event.span, Duration::seconds(AROUND_S));
    let signature = Signature::of_readings(event, Some(&around), machine.machine);
    Compared { event: event.clone(), signature }
}
