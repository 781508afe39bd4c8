//! The command line.

mod browse;
mod compare;
mod events;
mod export;
mod files;
mod lead;
mod look;
mod programme;
mod range;
mod trace;
mod trends;
mod values;
mod watch;

pub(super) use browse::{BrowseArgs, BrowseAt};
pub(super) use compare::CompareArgs;
pub(super) use events::{EventsArgs, ListForm};
pub(super) use export::{ExportArgs, TablesArgs};
pub(super) use files::{FileOptions, Files, SettingsFiles};
pub(super) use lead::{BookArgs, NewSiteArgs};
pub(super) use look::Look;
pub(super) use programme::{Form, ProgrammeArgs};
pub(super) use range::RangeArgs;
pub(super) use trace::{TraceArgs, TraceForm};
pub(super) use trends::{TrendsArgs, TrendsForm};
pub(super) use watch::{Printing, WatchArgs};

use crate::timeline::ShiftError;
use crate::units::Units;
use chrono::NaiveDate;
use lexopt::prelude::*;
use std::ffi::OsString;
use std::path::PathBuf;
use values::shifts;

/// Printed by `--help`.
pub(super) const HELP: &str = "\
underbrush: the morning shift sheet from a floor machine's logs

underbrush sheet [--shift DATE] [files] [options]
    --shift DATE     local date on which the shift starts, 2026-11-23, or
                     FIRST..LAST for one sheet each; without it the last
                     night that the logs cover
    --out PATH       PDF file (for several shifts: a directory)
    --json PATH      the findings as JSON, too; - prints them instead
    --text           print the sheet as text instead of writing a PDF
    --paper SIZE     letter or a4, instead of the site file's
    --units SYSTEM   us or si, instead of the site file's
    --language CODE  en, es or de, instead of the site file's
    --colour         marks also in colour
    --details        also maps, brush motors, driving and data
    --technician     also a page for each serious event
underbrush sheet --from DATE --to DATE [files] [options as above]
    one summary of all nights from the one to the other, with trends
    --csv PATH       the same numbers, a line for each night; - prints them
    --json PATH      the same numbers and sums; - prints them
underbrush programme [--shift DATE] [files] [options]
    where every section stands, how fast it goes, when the floor will be done,
    and a plan for the night after --shift (without it: after the last night
    that the logs cover)
    --csv | --json   sections and steps as a table, or everything as JSON
    --pdf FILE       a printed page
    --width N        width of the text, instead of the terminal's
    --paper, --units, --language, --colour as for sheet
underbrush compare EVENT [--days N] [files] [--json | --width N]
    an event against the earlier ones of its kind on its machine (90 nights
    back), against the motor's own normal, and against slow changes
underbrush trends [--from DATE] [--to DATE] [files]
                  [--csv | --json | --pdf FILE | --width N]
    what changes in the machine itself over weeks: current in the air, coasting,
    windings, battery, drive current, wheel; what that may be, what to check
    first. Without dates: the 90 days before the last night
    --pdf FILE       a printed page, a chart for each sign
    --language CODE  of text and page: en, es or de, instead of the site file's
    --paper, --units, --colour as for sheet
underbrush why [FIGURE [--shift DATE] [files] [--units SYSTEM]]
    prints where a figure comes from: readings, settings with file and line,
    formula and source, assumptions; without FIGURE lists all figures.
    `stationary.2` is the second event, `speed` all figures of speed
underbrush events [--shift DATE | --from DATE [--to DATE]] [files] [filters]
    lists what happened: standing brushes, load, switches, battery, sensors and
    gaps, each with an id; without dates the last night that the logs cover
    --kind K,K       only these: stall, over-pressure, stationary and others, or
                     all of brush, care, battery, sensing or record
    --section ID     only in this section; again for more
    --severity WORD  at least note, slight, inspect or severe
    --machine ID     only of this machine; again for more
    --between 22:00 01:30   only those that began then
    --csv | --json   as a table for spreadsheets, or as JSON
    --width N        width of the text, instead of the terminal's
underbrush trace EVENT [files] [options]
    explains one event of the list: the readings from shortly before to shortly
    after it, likely causes with what speaks for and against them, safety steps
    and what to check in order; 2 is the second event of the last night
    --around TIME    how much before and after: 30s, 2min
    --pdf FILE       a printed page
    --svg FILE | --png FILE   the drawing alone
    --json           the numbers behind it
    --screen         shows it as browse does; without this it is printed
    --width N        width of the text, instead of the terminal's
    --paper, --units, --language, --colour as for sheet
underbrush browse [EVENT | --shift DATE | --at TIME] [files] [options]
    the readings of a night on the terminal, to scroll and to zoom from the whole
    night to a second: speed, motors, battery, heat, switches, limits, detectors
    and events, with the values under a cursor; ? tells the keys
    --at TIME        local time, 2026-11-24T01:23:45
    --machine ID     which machine, where there are several
    --print SIZE     prints one picture of columns x rows, like 100x30, and ends
    --no-colour      bold and dim only; so does NO_COLOR
    --units SYSTEM   us or si, instead of the site file's
    --language CODE  en, es or de, instead of the site file's
underbrush watch-folder [files] [options as of sheet]
    makes the sheet of each finished night when its logs have arrived, each
    once; --once looks one time and ends, for a timer
    --out DIR        folder for the sheets; without it `sheets` in the folder
    --print [NAME]   prints each sheet once, by `lp`, on the printer NAME
    --print-command WORDS   prints by this command; the file is put at its end
    --reprint-changed   prints a sheet again that more logs have changed
    --every SECONDS  how often to look, 60
    --quiet SECONDS  how long the logs must not have changed, 60
    --wait MINUTES   how long after the shift to wait for logs that are still
                     to come, 30
underbrush export TABLE... [--shift DATE] [files] [options]
    writes tables for other programs: readings, steps, events, nights,
    sections, measurements, or all; without dates everything there is
    --from DATE --to DATE   instead of --shift DATE or FIRST..LAST
    --format NAME    csv, jsonl, parquet or mcap; without it by the file's
                     ending, else csv
    --out PATH       a file, a folder, or - to print; else the folder at hand
    --machine ID     only this machine
    --units SYSTEM   si (else), us, or people: those of the site file
    --force          replaces files that are there
underbrush export --dictionary [--json] [--units SYSTEM]
    what every column means, and which figure of the sheet it equals
underbrush verify DIR
    says of every log file what is whole and what is not; writes nothing
underbrush new-site [DIR] [--yes]
    asks a few questions and writes site.toml, machine.toml and book.toml into
    a folder that has none; --yes takes all defaults
underbrush check-files [files]
    says all that is wrong in site, machine files and shift book, with lines
underbrush book FILE [--out PATH] [--semicolon]
    the shift book as a table (CSV) that a spreadsheet can edit, or from such
    a table back; comments are not kept
underbrush --help | --version

Files, where not in the folder at hand under their usual names:
    --in DIR         the folder with site.toml, machine*.toml, book.toml or
                     book.csv, and log
    --log DIR        log files as the agent writes them, or a folder for each
                     machine
    --site FILE      site file: sections, steps, bands, shift hours, time zone
    --machine FILE   machine file: brush width, motor, limits; once for each
    --book FILE      shift book: tools fitted, lengths measured, work begun
    --boot N=TIME    local time of power-on N, for logs that never learned it

Exit codes: 0 whole; 1 wrong use, settings or nothing to read; 2 failed;
3 done, but data are missing (the sheet says which).
";

/// What is wrong with the arguments.
#[derive(Debug, thiserror::Error)]
#[error("{0}; see underbrush --help")]
pub struct UsageError(String);

impl UsageError {
    /// What only the files tell to be wrong.
    pub(super) fn new(words: String) -> Self {
        Self(words)
    }
}

impl From<lexopt::Error> for UsageError {
    fn from(error: lexopt::Error) -> Self {
        Self(error.to_string())
    }
}

impl From<ShiftError> for UsageError {
    fn from(error: ShiftError) -> Self {
        Self(error.to_string())
    }
}

#[derive(Debug)]
pub(super) enum Command {
    Help,
    Version,
    Sheet(Box<SheetArgs>),
    Programme(Box<ProgrammeArgs>),
    Range(Box<RangeArgs>),
    Browse(Box<BrowseArgs>),
    Compare(Box<CompareArgs>),
    Trends(Box<TrendsArgs>),
    Why(Box<WhyArgs>),
    Events(Box<EventsArgs>),
    Export(ExportArgs),
    Trace(Box<TraceArgs>),
    Verify(PathBuf),
    Watch(Box<WatchArgs>),
    Check(Box<SettingsFiles>),
    Book(BookArgs),
    NewSite(NewSiteArgs),
}

#[derive(Debug)]
pub(super) struct WhyArgs {
    /// `None`: list the figures.
    pub(super) asked: Option<Asked>,
}

#[derive(Debug)]
pub(super) struct Asked {
    pub(super) figure: String,
    pub(super) files: Files,
    /// `None`: the last night that the logs cover.
    pub(super) date: Option<NaiveDate>,
    pub(super) units: Option<Units>,
}

#[derive(Debug)]
pub(super) struct SheetArgs {
    pub(super) files: Files,
    pub(super) out: Option<PathBuf>,
    /// The first and the last; `None`: the last night that the logs cover.
    pub(super) shifts: Option<(NaiveDate, NaiveDate)>,
    /// Where the findings go as JSON.
    pub(super) json: Option<PathBuf>,
    pub(super) text: bool,
    pub(super) look: Look,
}

pub(super) fn parse(args: impl Iterator<Item = OsString>) -> Result<Command, UsageError> {
    let mut parser = lexopt::Parser::from_args(args);
    match parser.next()? {
        None => Err(UsageError("no command given".to_owned())),
        Some(Short('h') | Long("help")) => Ok(Command::Help),
        Some(Short('V') | Long("version")) => Ok(Command::Version),
        Some(Value(name)) if name == "sheet" => parse_sheet(&mut parser),
        Some(Value(name)) if name == "programme" => programme::parse(&mut parser),
        Some(Value(name)) if name == "browse" => browse::parse(&mut parser),
        Some(Value(name)) if name == "compare" => compare::parse(&mut parser),
        Some(Value(name)) if name == "trends" => trends::parse(&mut parser),
        Some(Value(name)) if name == "why" => parse_why(&mut parser),
        Some(Value(name)) if name == "events" => events::parse(&mut parser),
        Some(Value(name)) if name == "export" => export::parse(&mut parser),
        Some(Value(name)) if name == "trace" => trace::parse(&mut parser),
        Some(Value(name)) if name == "verify" => parse_verify(&mut parser),
        Some(Value(name)) if name == "watch-folder" => watch::parse(&mut parser),
        Some(Value(name)) if name == "check-files" => lead::parse_check(&mut parser),
        Some(Value(name)) if name == "book" => lead::parse_book(&mut parser),
        Some(Value(name)) if name == "new-site" => lead::parse_new_site(&mut parser),
        Some(Value(name)) if name == "help" => Ok(Command::Help),
        Some(Value(name)) => Err(UsageError(format!("no command `{}`", name.to_string_lossy()))),
        Some(other) => Err(other.unexpected().into()),
    }
}

fn parse_verify(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut directory = None;
    while let Some(arg) = parser.next()? {
        match arg {
            Value(path) if directory.is_none() => directory = Some(PathBuf::from(path)),
            Short('h') | Long("help") => return Ok(Command::Help),
            other => return Err(other.unexpected().into()),
        }
    }
    let missing = || UsageError("verify needs the directory of log files".to_owned());
    directory.map(Command::Verify).ok_or_else(missing)
}

/// Options that several commands have.
#[derive(Default)]
struct Common {
    files: FileOptions,
    shifts: Option<(NaiveDate, NaiveDate)>,
    look: Look,
}

impl Common {
    fn take(&mut self, name: &str, parser: &mut lexopt::Parser) -> Result<(), UsageError> {
        match name {
            "shift" => self.shifts = Some(shifts(&parser.value()?.string()?)?),
            other if self.files.take(other, parser)? => {}
            other if self.look.take(other, parser)? => {}
            other => return Err(Long(other).unexpected().into()),
        }
        Ok(())
    }
}

fn parse_sheet(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut common = Common::default();
    let (mut out, mut text, mut json) = (None, false, None);
    let mut range = range::RangeOptions::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Long("out") => out = Some(parser.value()?.into()),
            Long("json") => json = Some(parser.value()?.into()),
            Long("text") => text = true,
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                if !range.take(&name, parser)? {
                    common.take(&name, parser)?;
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    if let Some((dates, csv)) = range.finish(common.shifts)? {
        let (files, look) = (common.files.find()?, common.look);
        let args = RangeArgs { files, look, dates, out, text, csv, json };
        return Ok(Command::Range(Box::new(args)));
    }
    let Common { files, shifts, look } = common;
    let files = files.find()?;
    Ok(Command::Sheet(Box::new(SheetArgs { files, out, shifts, json, text, look })))
}

fn parse_why(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut common = Common::default();
    let mut figure = None;
    while let Some(arg) = parser.next()? {
        match arg {
            Value(name) if figure.is_none() => figure = Some(name.string()?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name @ ("shift" | "units")) => {
                let name = name.to_owned();
                common.take(&name, parser)?;
            }
            Long(name) => {
                let name = name.to_owned();
                if !common.files.take(&name, parser)? {
                    return Err(Long(&name).unexpected().into());
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let Some(figure) = figure else {
        return Ok(Command::Why(Box::new(WhyArgs { asked: None })));
    };
    let date = match common.shifts {
        Some((first, last)) if first != last => {
            return Err(UsageError("why explains one shift: give --shift one date".to_owned()));
        }
        shifts => shifts.map(|(first, _)| first),
    };
    let asked = Some(Asked { figure, files: common.files.find()?, date, units: common.look.units });
    Ok(Command::Why(Box::new(WhyArgs { asked })))
}
