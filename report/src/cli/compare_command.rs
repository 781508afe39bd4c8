//! `underbrush compare`.

use super::args::CompareArgs;
use super::loaded::Loaded;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::events::cause::Signature;
use crate::events::{
    Compared, Comparison, Context, Event, Reference, compare_json, compare_text, night,
    of_findings, read,
};
use crate::findings::{Inputs, trace};
use crate::ledger::{Building, Ledger};
use crate::trends;
use chrono::{Days, Duration};
use underbrush_protocol::settings::Machine;

/// Readings before and after that the comparison looks at, in s.
const AROUND_S: i64 = 30;
/// The latest of the earlier events are enough.
const MOST_EARLIER: usize = 40;

pub(super) fn run(args: &CompareArgs) -> Result<Outcome, CliError> {
    let asked = Reference::parse(&args.event)?;
    let loaded = Loaded::open(&args.files)?;
    let inputs = loaded.inputs();
    let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
    let number = asked.machine(&machines)?;
    let date = asked.night.map_or_else(|| loaded.last_night(), Ok)?;
    let building = Building { site: &loaded.site, book: &loaded.book, machines: &inputs };
    let machine = inputs.get(number).ok_or(CliError::WhichMachine(inputs.len()))?;
    let findings = night(&building, number, date)?.ok_or(CliError::WhichMachine(inputs.len()))?;
    let tonight = of_findings(&machines, number, &findings);
    let event = asked.find(date, &tonight.events)?;
    let from = date.checked_sub_days(Days::new(args.days.into())).unwrap_or(date);
    let nights = read(&building, &(from..=date))?;
    let same = |other: &&Event| {
        other.machine == number && other.kind == event.kind && other.span.from < event.span.from
    };
    let mut earlier: Vec<&Event> = nights.iter().flat_map(|n| &n.events).filter(same).collect();
    let later = earlier.len().saturating_sub(MOST_EARLIER);
    earlier.drain(..later);
    let earlier: Vec<Compared> = earlier.into_iter().map(|e| compared(machine, e)).collect();
    let comparison = Comparison::of(&compared(machine, event), &earlier, &findings);
    let ledger = Ledger::read(&building, date);
    let trends = trends::read(machine, &ledger, number, (from, date));
    let context = Context { site: &loaded.site, machines: &machines };
    if args.json {
        say(&compare_json(&comparison, &trends, context))?;
    } else {
        let width = args.width.unwrap_or_else(width_of_output);
        say(&compare_text(&comparison, &trends, context, width))?;
    }
    Ok(Outcome::Whole)
}

fn compared(machine: &Inputs<'_>, event: &Event) -> Compared {
    let around = trace(machine, event.span, Duration::seconds(AROUND_S));
    let signature = Signature::of_readings(event, Some(&around), machine.machine);
    Compared { event: event.clone(), signature }
}
