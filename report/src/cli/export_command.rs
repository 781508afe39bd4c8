//! `underbrush export`: tables of the data in files that other programs read.

use super::args::{ExportArgs, Look, TablesArgs};
use super::loaded::{Loaded, LoadedMachine};
use super::press::{Press, losses};
use super::{CliError, Outcome, say};
use crate::export::{
    Dates, ExportError, Gaps, Judged, Loss, Manner, Open, Out, Table, Told, Window, Written,
    dictionary, write_judged, write_measurements, write_readings, write_steps,
};
use crate::findings::Span;
use crate::timeline::shift_of;
use chrono::{Days, NaiveDate};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;

/// More sentences than this are only counted.
const MOST_TOLD: usize = 40;

pub(super) fn run(args: &ExportArgs) -> Result<Outcome, CliError> {
    match args {
        ExportArgs::Dictionary { json: true, units } => {
            say(&format!("{:#}\n", dictionary::json(*units)))?;
        }
        ExportArgs::Dictionary { json: false, units } => say(&dictionary::text(*units))?,
        ExportArgs::Tables(args) => return tables(args),
    }
    Ok(Outcome::Whole)
}

fn tables(args: &TablesArgs) -> Result<Outcome, CliError> {
    if !args.format.built_in() {
        return Err(ExportError::NotBuilt(args.format).into());
    }
    let loaded = Loaded::open(&args.files)?;
    let mut export = Export::begin(&loaded, args)?;
    let printed = args.out.as_deref() == Some(Path::new("-"));
    let done = export.write().and_then(|()| export.finish());
    let files = match done {
        // Who reads our output has seen enough.
        Err(CliError::Export(error)) if printed && error.reader_left() => {
            return Ok(Outcome::Whole);
        }
        other => other?,
    };
    let told = export.told(&files);
    // What is printed is the table's alone.
    if printed {
        eprint!("{told}");
    } else {
        say(&told)?;
    }
    Ok(export.tell_losses())
}

/// An export that is being made.
struct Export<'a> {
    loaded: &'a Loaded,
    args: &'a TablesArgs,
    /// The machines wanted, by their places.
    machines: Vec<usize>,
    dates: Dates,
    open: Vec<Open>,
    gaps: Gaps,
    losses: Vec<Loss>,
    nights: u32,
}

impl<'a> Export<'a> {
    fn begin(loaded: &'a Loaded, args: &'a TablesArgs) -> Result<Self, CliError> {
        let machines = wanted_machines(loaded, &args.machines)?;
        let ids = machines.iter().filter_map(|place| loaded.machines.get(*place));
        let ids = ids.map(|machine| machine.machine.id.clone()).collect();
        let dates = Dates { range: args.dates.clone(), machines: ids };
        let manner = Manner {
            format: args.format,
            units: args.units.unwrap_or(loaded.site.units),
            told: Told {
                zone: loaded.site.zone.name().to_owned(),
                program: concat!("underbrush ", env!("CARGO_PKG_VERSION")),
            },
        };
        // All names are looked at before the first file is begun.
        let outs: Result<Vec<Out>, ExportError> =
            args.tables.iter().map(|table| out(args, *table)).collect();
        let tables = args.tables.iter().zip(outs?);
        let open: Result<Vec<Open>, ExportError> =
            tables.map(|(table, out)| Open::begin(*table, out, &manner)).collect();
        let (open, gaps, losses) = (open?, Gaps::default(), Vec::new());
        Ok(Self { loaded, args, machines, dates, open, gaps, losses, nights: 0 })
    }

    /// Writes all rows of all tables.
    fn write(&mut self) -> Result<(), CliError> {
        if self.args.tables.contains(&Table::Readings) {
            self.readings()?;
        }
        if let Some(open) = self.open.iter_mut().find(|open| open.table == Table::Measurements) {
            write_measurements(&self.loaded.book, &self.dates, &mut open.pen);
        }
        if self.args.tables.iter().any(|table| table.of_shifts()) {
            self.nights()?;
        }
        Ok(())
    }

    fn readings(&mut self) -> Result<(), CliError> {
        let window = self.window()?;
        let Some(open) = self.open.iter_mut().find(|open| open.table == Table::Readings) else {
            return Ok(());
        };
        let units = self.args.units.unwrap_or(self.loaded.site.units);
        for LoadedMachine { machine, logs, .. } in
            self.machines.iter().filter_map(|place| self.loaded.machines.get(*place))
        {
            let problems = logs.problems.iter().map(|(_, problem)| problem.clone());
            self.losses.extend(problems.map(|problem| Loss::of(&machine.id, problem)));
            for boot in &logs.boots {
                let found = write_readings(machine, boot, &window, units, &mut open.pen);
                self.losses.extend(found);
            }
        }
        Ok(())
    }

    /// The nights that are wanted, as one span.
    fn window(&self) -> Result<Window, CliError> {
        let Some(range) = &self.dates.range else { return Ok(Window { span: None }) };
        let site = &self.loaded.site;
        let from = shift_of(site, *range.start())?.span.from;
        let after = range.end().checked_add_days(Days::new(1)).unwrap_or(*range.end());
        Ok(Window { span: Some(Span { from, to: shift_of(site, after)?.span.from }) })
    }

    fn nights(&mut self) -> Result<(), CliError> {
        self.tell_undated();
        let Some(logged) = self.logged() else { return Ok(()) };
        let (first, last) = match &self.dates.range {
            Some(range) => (*range.start().max(&logged.0), *range.end().min(&logged.1)),
            None => logged,
        };
        let mut press = Press::new(self.loaded, last, Look::default().options(&self.loaded.site));
        for date in first.iter_days().take_while(|date| *date <= last) {
            self.night(&mut press, date)?;
            if self.open.iter().any(|open| open.pen.failed()) {
                break;
            }
        }
        Ok(())
    }

    fn tell_undated(&mut self) {
        for LoadedMachine { machine, logs, .. } in
            self.machines.iter().filter_map(|place| self.loaded.machines.get(*place))
        {
            let undated = logs.boots.iter().filter(|boot| boot.clock().is_none());
            let told = undated.filter_map(|b| Loss::not_in_nights(machine, b, &self.args.tables));
            self.losses.extend(told);
        }
    }

    /// The first and the last night that a log of any machine reaches into.
    fn logged(&self) -> Option<(NaiveDate, NaiveDate)> {
        let spans = || self.loaded.machines.iter().filter_map(|machine| machine.logs.utc_span());
        let date = |ms: i64| {
            Some(self.loaded.site.shift_date(chrono::DateTime::from_timestamp_millis(ms)?))
        };
        let first = spans().map(|(first, _)| first.0).min()?;
        let last = spans().map(|(_, last)| last.0).max()?;
        Some((date(first)?, date(last)?))
    }

    fn night(&mut self, press: &mut Press<'_>, date: NaiveDate) -> Result<(), CliError> {
        let night = press.judged(date)?;
        let loaded = self.loaded;
        let machines: Vec<&Machine> = loaded.machines.iter().map(|m| &m.machine).collect();
        for place in &self.machines {
            let (Some(machine), Some(findings)) =
                (loaded.machines.get(*place), night.findings.get(*place))
            else {
                continue;
            };
            if findings.data.boots == 0 && findings.data.problems.is_empty() {
                continue;
            }
            self.nights += u32::from(findings.data.boots > 0);
            let (told, data_lost) = losses(Some(&machine.machine.id), findings);
            self.losses.extend(told.into_iter().map(|words| Loss { data_lost, words }));
            if findings.data.boots == 0 {
                // A row would say 0 of what nobody saw.
                continue;
            }
            let judged = Judged {
                site: &loaded.site,
                machines: &machines,
                number: *place,
                machine: &machine.machine,
                findings,
            };
            let assumed = night.assumed.get(*place).map_or(&[][..], Vec::as_slice);
            for open in &mut self.open {
                if open.table == Table::Steps {
                    let inputs = loaded.inputs_of(machine);
                    let (gaps, lost) = write_steps(inputs, &judged, assumed, &mut open.pen);
                    self.gaps.add(&gaps);
                    self.losses.extend(lost);
                } else if open.table.of_shifts() {
                    write_judged(open.table, &judged, &mut open.pen);
                }
            }
        }
        Ok(())
    }

    fn finish(&mut self) -> Result<Vec<(String, u64)>, CliError> {
        let ended = std::mem::take(&mut self.open).into_iter().map(Open::finish);
        // All are whole before the first comes to its name: of a full disk nothing is left.
        let ended: Vec<Written> = ended.collect::<Result<_, _>>()?;
        Ok(ended.into_iter().map(Written::keep).collect::<Result<_, _>>()?)
    }

    /// What was written, for the one who runs the program.
    fn told(&self, files: &[(String, u64)]) -> String {
        // Writing to a string cannot fail.
        let mut told = String::new();
        for (name, rows) in files {
            let _ = writeln!(told, "{name}: {rows} rows");
        }
        if self.args.tables.contains(&Table::Steps) {
            let seconds = self.gaps.ms as f64 / 1000.0;
            let (count, s) = (self.gaps.count, if self.gaps.count == 1 { "" } else { "s" });
            let _ =
                writeln!(told, "{count} gap{s}, {seconds:.1} s, without speed or brush readings");
        }
        told
    }

    /// Says what is missing.
    fn tell_losses(&mut self) -> Outcome {
        let shifts_wanted = self.args.tables.iter().any(|table| table.of_shifts());
        if shifts_wanted && self.nights == 0 {
            let words = "no log covers any of these nights".to_owned();
            self.losses.push(Loss { data_lost: true, words });
        }
        let mut told: Vec<&Loss> = Vec::new();
        for loss in &self.losses {
            if !told.contains(&loss) {
                told.push(loss);
            }
        }
        for loss in told.iter().take(MOST_TOLD) {
            eprintln!("underbrush: {}", loss.words);
        }
        if told.len() > MOST_TOLD {
            eprintln!("underbrush: and {} more like these", told.len() - MOST_TOLD);
        }
        let lost = self.losses.iter().any(|loss| loss.data_lost);
        if lost { Outcome::WithLoss } else { Outcome::Whole }
    }
}

/// Where a table goes.
fn out(args: &TablesArgs, table: Table) -> Result<Out, ExportError> {
    let name = format!("{}.{}", table.name(), args.format.name());
    let path = match &args.out {
        Some(path) if path == Path::new("-") => return Ok(Out::Printed),
        Some(path) if args.tables.len() > 1 || path.is_dir() || ends_as_folder(path) => {
            path.join(name)
        }
        Some(path) => path.clone(),
        None => PathBuf::from(name),
    };
    Out::file(&path, args.force)
}

fn ends_as_folder(path: &Path) -> bool {
    path.to_string_lossy().ends_with(std::path::MAIN_SEPARATOR)
}

fn wanted_machines(loaded: &Loaded, ids: &[String]) -> Result<Vec<usize>, CliError> {
    if ids.is_empty() {
        return Ok((0..loaded.machines.len()).collect());
    }
    let place = |id: &String| {
        let known = || loaded.machines.iter().map(|machine| machine.machine.id.as_str());
        known().position(|known| known == id).ok_or_else(|| CliError::NoMachine {
            id: id.clone(),
            known: known().collect::<Vec<_>>().join(", "),
        })
    };
    let mut places = ids.iter().map(place).collect::<Result<Vec<usize>, _>>()?;
    places.sort_unstable();
    places.dedup();
    Ok(places)
}
