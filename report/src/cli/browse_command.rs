//! `underbrush browse`, and `underbrush trace --screen`.

use super::args::{BrowseArgs, BrowseAt, UsageError};
use super::loaded::Loaded;
use super::{CliError, Outcome, say};
use crate::events::{Reference, machine_tags, night, of_findings};
use crate::findings::{Inputs, Span};
use crate::logset::BootLog;
use crate::screen::{
    Colours, Lane, Nights, Opening, Scene, Show, Told, Waiting, lanes, run as run_screen, shown,
    text,
};
use crate::settings::site::Language;
use crate::timeline::{ShiftError, shift_of, utc_of};
use crate::units::Units;
use crate::window::{Overview, Quantity, Window, read};
use chrono::{DateTime, NaiveDate, Utc};
use std::io::IsTerminal;
use std::sync::Arc;
use underbrush_protocol::settings::{Machine, did_you_mean};

pub(super) fn run(args: &BrowseArgs) -> Result<Outcome, CliError> {
    let asked = match &args.at {
        BrowseAt::Event(id, _) => Some(Reference::parse(id)?),
        _ => None,
    };
    if args.print.is_none() && !(std::io::stdout().is_terminal() && std::io::stdin().is_terminal())
    {
        let words = "browse needs a terminal; --print 100x30 prints one picture";
        return Err(UsageError::new(words.to_owned()).into());
    }
    let loaded = Loaded::open(&args.files)?;
    let machines: Vec<&Machine> = loaded.machines.iter().map(|m| &m.machine).collect();
    let machine = match &asked {
        Some(asked) => asked.machine(&machines)?,
        None => which(args.machine.as_deref(), &machines)?,
    };
    let units = args.units.unwrap_or(loaded.site.units);
    let language = args.language.unwrap_or(loaded.site.language);
    let nights = OfMachine { loaded, machine, units, language };
    let opening = nights.opening(&args.at, asked)?;
    let (losses, empty) = if let Some(size) = args.print {
        print(&nights, opening, size)?
    } else {
        let nights: Arc<dyn Nights> = Arc::new(nights);
        let colours = if args.colours { Colours::Sixteen } else { Colours::None };
        let ended = run_screen(&nights, opening, colours)
            .map_err(|source| CliError::File { path: "the terminal".to_owned(), source })?;
        (ended.losses, ended.empty)
    };
    for loss in &losses {
        eprintln!("underbrush: {loss}");
    }
    if empty {
        eprintln!("underbrush: nothing was recorded in this night");
    }
    Ok(if empty || !losses.is_empty() { Outcome::WithLoss } else { Outcome::Whole })
}

/// Prints one picture; says what is missing of the night, and whether nothing was recorded.
fn print(
    nights: &OfMachine,
    opening: Opening,
    size: (u16, u16),
) -> Result<(Vec<String>, bool), CliError> {
    let mut show = Show::open(nights, opening)?;
    let overview = nights.overview(show.scene.extent, &shown());
    show.take_overview(nights, overview);
    if show.scene.waiting.events {
        let told = nights.events(show.scene.night)?;
        show.take_events(told);
    }
    say(&text(&show.picture(nights, size, Colours::None)))?;
    Ok((show.losses, show.scene.empty))
}

/// The machine that was asked for; the only one where none was.
fn which(asked: Option<&str>, machines: &[&Machine]) -> Result<usize, UsageError> {
    let tags = machine_tags(machines);
    let Some(id) = asked else {
        if machines.len() == 1 {
            return Ok(0);
        }
        let known = tags.join(", ");
        return Err(UsageError::new(format!("say with --machine which one: {known}")));
    };
    let by_id = machines.iter().position(|machine| machine.id == id);
    let found = Reference::parse(&format!("{id}.1")).and_then(|r| r.machine(machines));
    by_id.or(found.ok()).ok_or_else(|| {
        let hint = did_you_mean(id, tags.iter().map(String::as_str));
        UsageError::new(format!("no machine is called `{id}`, and no file either{hint}"))
    })
}

/// The nights of one machine.
struct OfMachine {
    loaded: Loaded,
    /// By its place among all.
    machine: usize,
    units: Units,
    language: Language,
}

impl OfMachine {
    fn opening(&self, at: &BrowseAt, asked: Option<Reference>) -> Result<Opening, CliError> {
        let loaded = &self.loaded;
        Ok(match (at, asked) {
            (BrowseAt::Event(_, around_s), Some(asked)) => {
                let date = asked.night.map_or_else(|| loaded.last_night(), Ok)?;
                let told = self.events(date)?;
                let event = asked.find(date, &told.events)?;
                let number = told.events.iter().position(|other| other.id == event.id);
                Opening::Event(date, told, number.unwrap_or(0), i64::from(*around_s) * 1000)
            }
            (BrowseAt::Night(date), _) => Opening::Night(*date),
            (BrowseAt::Time(local), _) => {
                let at = utc_of(loaded.site.zone, *local, false);
                let at = at.ok_or_else(|| ShiftError::OutOfRange(local.date()))?;
                Opening::Instant(at.timestamp_millis())
            }
            (BrowseAt::Last | BrowseAt::Event(..), _) => Opening::Night(loaded.last_night()?),
        })
    }

    /// Of the machine that is shown.
    fn inputs(&self) -> Option<Inputs<'_>> {
        self.loaded.machines.get(self.machine).map(|machine| self.loaded.inputs_of(machine))
    }

    /// The shift, and what was recorded after it until the next one.
    fn extent(&self, date: NaiveDate) -> Result<Span, ShiftError> {
        let span = shift_of(&self.loaded.site, date)?.span;
        let next = date.succ_opt().and_then(|next| shift_of(&self.loaded.site, next).ok());
        let until = next.map_or(span.to, |next| next.span.from.max(span.to)).timestamp_millis();
        let from = span.from.timestamp_millis();
        let logs = self.inputs().map(|inputs| inputs.logs);
        let spans = logs.into_iter().flat_map(|logs| &logs.boots).filter_map(BootLog::utc_span);
        let here = spans.filter(|(first, last)| first.0 < until && last.0 > from);
        let last = here.map(|(_, last)| last.0.min(until)).max().unwrap_or(i64::MIN);
        let to = DateTime::from_timestamp_millis(last).map_or(span.to, |last| last.max(span.to));
        Ok(Span { from: span.from, to })
    }
}

impl Nights for OfMachine {
    fn scene(&self, night: NaiveDate) -> Result<Scene, ShiftError> {
        let machine = self.inputs().map_or("", |inputs| inputs.machine.name.as_str());
        let plain = |text: &str| -> String { text.chars().filter(|c| !c.is_control()).collect() };
        Ok(Scene {
            title: format!("{} · {}", plain(&self.loaded.site.name), plain(machine)),
            night,
            zone: self.loaded.site.zone,
            extent: self.extent(night)?,
            lanes: Vec::new(),
            events: Vec::new(),
            waiting: Waiting::default(),
            empty: false,
            language: self.language,
        })
    }

    fn night_of(&self, at: DateTime<Utc>) -> NaiveDate {
        self.loaded.site.shift_date(at)
    }

    fn window(&self, span: Span, cells: usize, wanted: &[Quantity]) -> Window {
        match self.inputs() {
            Some(inputs) => read(&inputs, span, cells, wanted),
            None => Window { span, cells, lines: Vec::new() },
        }
    }

    fn overview(&self, extent: Span, wanted: &[Quantity]) -> Overview {
        match self.inputs() {
            Some(inputs) => Overview::read(&inputs, extent, wanted),
            None => Overview::empty(extent),
        }
    }

    fn events(&self, date: NaiveDate) -> Result<Told, ShiftError> {
        let inputs = self.loaded.inputs();
        let building = self.loaded.building(&inputs);
        let Some(findings) = night(&building, self.machine, date)? else {
            return Ok(Told::default());
        };
        let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
        let told = of_findings(&machines, self.machine, &findings);
        let losses = told.losses.iter().map(|loss| format!("shift {date}: {loss}")).collect();
        Ok(Told { events: told.events, recorded: told.recorded, losses })
    }

    fn lanes(&self, range: &dyn Fn(Quantity) -> Option<(f32, f32)>) -> Vec<Lane> {
        let Some(inputs) = self.inputs() else { return Vec::new() };
        lanes(inputs.machine, &self.loaded.site, (self.units, self.language), range)
    }
}
