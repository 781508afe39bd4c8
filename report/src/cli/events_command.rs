//! `underbrush events`.

use super::args::{EventsArgs, ListForm, UsageError};
use super::loaded::Loaded;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::events::{
    Context, Event, Filter, NightEvents, Reference, machine_tags, read, to_csv, to_json, to_text,
};
use chrono::NaiveDate;
use underbrush_protocol::settings::{Machine, did_you_mean};

/// More nights with losses than this are only counted.
const MOST_LOSSES: usize = 6;
/// More than this is no list that anybody reads.
const MOST_DAYS: i64 = 800;

pub(super) fn run(args: &EventsArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let inputs = loaded.inputs();
    let building = loaded.building(&inputs);
    let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
    let filter = filter(args, &loaded, &machines)?;
    let (from, to) = dates(args, &loaded)?;
    let nights = read(&building, &(from..=to))?;
    let zone = loaded.site.zone;
    let events: Vec<&Event> = nights
        .iter()
        .flat_map(|night| &night.events)
        .filter(|event| filter.lets(event, zone))
        .collect();
    let context = Context { site: &loaded.site, machines: &machines };
    match args.form {
        ListForm::Csv => say(&to_csv(&events, context))?,
        ListForm::Json => say(&to_json(&events, (from, to), context))?,
        ListForm::Text(width) => {
            say(&to_text(&events, context, width.unwrap_or_else(width_of_output)))?;
        }
    }
    Ok(tell_losses(&nights, &machines))
}

fn dates(args: &EventsArgs, loaded: &Loaded) -> Result<(NaiveDate, NaiveDate), CliError> {
    let last = |given: Option<NaiveDate>| given.map_or_else(|| loaded.last_night(), Ok);
    let (from, to) = match (args.from, args.to) {
        (None, to) => {
            let night = last(to)?;
            (night, night)
        }
        (Some(from), to) => {
            let to = last(to)?;
            (from, if args.to.is_none() { to.max(from) } else { to })
        }
    };
    if (to - from).num_days() >= MOST_DAYS {
        let words = format!("{from} and {to} are more than {MOST_DAYS} days apart");
        return Err(UsageError::new(words).into());
    }
    Ok((from, to))
}

fn filter(args: &EventsArgs, loaded: &Loaded, machines: &[&Machine]) -> Result<Filter, UsageError> {
    let site = &loaded.site;
    let section = |id: &String| {
        let same = |s: &&crate::settings::Section| s.id.eq_ignore_ascii_case(id.trim());
        let alike = || site.sections.iter().find(same).and_then(|s| site.section_by_id(&s.id));
        site.section_by_id(id).or_else(alike).ok_or_else(|| {
            let hint = did_you_mean(id, site.sections.iter().map(|s| s.id.as_str()));
            UsageError::new(format!("section `{id}` is not in the site file{hint}"))
        })
    };
    let tags = machine_tags(machines);
    let machine = |id: &String| {
        // As in an id: by its own name, or its number.
        let found = Reference::parse(&format!("{id}.1")).and_then(|r| r.machine(machines));
        let by_id = machines.iter().position(|machine| machine.id == *id);
        by_id.or(found.ok()).ok_or_else(|| {
            let hint = did_you_mean(id, tags.iter().map(String::as_str));
            UsageError::new(format!("no machine is called `{id}`, and no file either{hint}"))
        })
    };
    Ok(Filter {
        kinds: args.kinds.clone(),
        sections: args.sections.iter().map(section).collect::<Result<_, _>>()?,
        severity: args.severity,
        machines: args.machines.iter().map(machine).collect::<Result<_, _>>()?,
        between: args.between,
    })
}

/// Says on standard error what is missing of the nights.
fn tell_losses(nights: &[NightEvents], machines: &[&Machine]) -> Outcome {
    let several = machines.len() > 1;
    let of = |night: &NightEvents| match machines.get(night.machine).filter(|_| several) {
        Some(machine) => format!("shift {}, machine {}", night.date, machine.id),
        None => format!("shift {}", night.date),
    };
    let with_loss: Vec<&NightEvents> = nights.iter().filter(|n| !n.losses.is_empty()).collect();
    for night in with_loss.iter().take(MOST_LOSSES) {
        eprintln!("underbrush: {}: {}", of(night), night.losses.join("; "));
    }
    let more = with_loss.len().saturating_sub(MOST_LOSSES);
    if more > 0 {
        eprintln!("underbrush: data are missing in {more} more nights; `verify` says which");
    }
    let nothing = nights.iter().all(|night| !night.recorded);
    if nothing {
        eprintln!("underbrush: nothing was recorded in these nights");
    }
    if nothing || !with_loss.is_empty() { Outcome::WithLoss } else { Outcome::Whole }
}
