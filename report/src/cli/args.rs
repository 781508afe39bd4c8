//! The command line.

use crate::settings::site::Paper;
use crate::timeline::{ShiftError, parse_shift_date};
use crate::units::Units;
use chrono::{NaiveDate, NaiveDateTime};
use lexopt::prelude::*;
use std::ffi::OsString;
use std::path::PathBuf;

/// Printed by `--help`.
pub(super) const HELP: &str = "\
underbrush: the morning shift sheet from a floor machine's logs

underbrush sheet --log DIR --site FILE --machine FILE --shift DATE [options]
    --log DIR        directory of log files, as the agent writes it or a copy
    --site FILE      site file: sections, steps, bands, shift hours, time zone
    --machine FILE   machine file: brush width, motor, limits
    --shift DATE     local date on which the shift starts, 2026-11-23;
                     or FIRST..LAST for one sheet each
    --book FILE      shift book: tools fitted, lengths measured, work begun
    --out PATH       PDF file (for several shifts: a directory)
    --text           print the sheet as text instead of writing a PDF
    --paper SIZE     letter or a4, instead of the site file's
    --units SYSTEM   us or si, instead of the site file's
    --boot N=TIME    local time of power-on N, for logs that never learned it
underbrush why [FIGURE --log DIR --site FILE --machine FILE --shift DATE [options]]
    prints where a figure comes from: readings, settings with file and line,
    formula and source, assumptions; without FIGURE lists all figures.
    `stationary.2` is the second event, `speed` all figures of speed;
    options: --book, --units, --boot
underbrush verify DIR
    says of every log file what is whole and what is not; writes nothing
underbrush --help | --version

Exit codes: 0 whole; 1 wrong use, settings or nothing to read; 2 failed;
3 done, but data are missing (the sheet says which).
";

/// What is wrong with the arguments.
#[derive(Debug, thiserror::Error)]
#[error("{0}; see underbrush --help")]
pub struct UsageError(String);

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
    Why(Box<WhyArgs>),
    Verify(PathBuf),
}

#[derive(Debug)]
pub(super) struct Files {
    pub(super) log: PathBuf,
    pub(super) site: PathBuf,
    pub(super) machine: PathBuf,
    pub(super) book: Option<PathBuf>,
    pub(super) boots: Vec<(u32, NaiveDateTime)>,
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
    pub(super) date: NaiveDate,
    pub(super) units: Option<Units>,
}

#[derive(Debug)]
pub(super) struct SheetArgs {
    pub(super) files: Files,
    pub(super) out: Option<PathBuf>,
    pub(super) first: NaiveDate,
    pub(super) last: NaiveDate,
    pub(super) text: bool,
    pub(super) paper: Option<Paper>,
    pub(super) units: Option<Units>,
}

pub(super) fn parse(args: impl Iterator<Item = OsString>) -> Result<Command, UsageError> {
    let mut parser = lexopt::Parser::from_args(args);
    match parser.next()? {
        None => Err(UsageError("no command given".to_owned())),
        Some(Short('h') | Long("help")) => Ok(Command::Help),
        Some(Short('V') | Long("version")) => Ok(Command::Version),
        Some(Value(name)) if name == "sheet" => parse_sheet(&mut parser),
        Some(Value(name)) if name == "why" => parse_why(&mut parser),
        Some(Value(name)) if name == "verify" => parse_verify(&mut parser),
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

#[derive(Default)]
struct Given {
    figure: Option<String>,
    log: Option<PathBuf>,
    site: Option<PathBuf>,
    machine: Option<PathBuf>,
    book: Option<PathBuf>,
    out: Option<PathBuf>,
    shift: Option<(NaiveDate, NaiveDate)>,
    text: bool,
    paper: Option<Paper>,
    units: Option<Units>,
    boots: Vec<(u32, NaiveDateTime)>,
}

fn parse_sheet(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut given = Given::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Long("out") => given.out = Some(parser.value()?.into()),
            Long("text") => given.text = true,
            Long("paper") => given.paper = Some(paper(&parser.value()?.string()?)?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                given.common(&name, parser)?;
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let (first, last) = given.shift.ok_or_else(|| missing("--shift"))?;
    Ok(Command::Sheet(Box::new(SheetArgs {
        out: given.out.take(),
        first,
        last,
        text: given.text,
        paper: given.paper,
        units: given.units,
        files: given.files()?,
    })))
}

fn parse_why(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut given = Given::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Value(name) if given.figure.is_none() => given.figure = Some(name.string()?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                given.common(&name, parser)?;
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let Some(figure) = given.figure.take() else {
        return Ok(Command::Why(Box::new(WhyArgs { asked: None })));
    };
    let (date, last) = given.shift.ok_or_else(|| missing("--shift"))?;
    if last != date {
        return Err(UsageError("why explains one shift: give --shift one date".to_owned()));
    }
    let units = given.units;
    let asked = Some(Asked { figure, files: given.files()?, date, units });
    Ok(Command::Why(Box::new(WhyArgs { asked })))
}

fn missing(name: &str) -> UsageError {
    UsageError(format!("{name} is missing"))
}

impl Given {
    /// Takes an option that several commands have.
    fn common(&mut self, name: &str, parser: &mut lexopt::Parser) -> Result<(), UsageError> {
        match name {
            "log" => self.log = Some(parser.value()?.into()),
            "site" => self.site = Some(parser.value()?.into()),
            "machine" => self.machine = Some(parser.value()?.into()),
            "book" => self.book = Some(parser.value()?.into()),
            "shift" => self.shift = Some(shifts(&parser.value()?.string()?)?),
            "units" => self.units = Some(units(&parser.value()?.string()?)?),
            "boot" => self.boots.push(boot(&parser.value()?.string()?)?),
            other => return Err(Long(other).unexpected().into()),
        }
        Ok(())
    }

    fn files(self) -> Result<Files, UsageError> {
        Ok(Files {
            log: self.log.ok_or_else(|| missing("--log"))?,
            site: self.site.ok_or_else(|| missing("--site"))?,
            machine: self.machine.ok_or_else(|| missing("--machine"))?,
            book: self.book,
            boots: self.boots,
        })
    }
}

fn shifts(text: &str) -> Result<(NaiveDate, NaiveDate), UsageError> {
    let (first, last) = text.split_once("..").unwrap_or((text, text));
    let (first, last) = (parse_shift_date(first)?, parse_shift_date(last)?);
    if last < first {
        return Err(UsageError(format!("--shift {text}: the last date is before the first")));
    }
    Ok((first, last))
}

fn paper(text: &str) -> Result<Paper, UsageError> {
    match text {
        "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        _ => Err(UsageError(format!("--paper {text}: use letter or a4"))),
    }
}

fn units(text: &str) -> Result<Units, UsageError> {
    match text {
        "us" => Ok(Units::Us),
        "si" => Ok(Units::Si),
        _ => Err(UsageError(format!("--units {text}: use us or si"))),
    }
}

fn boot(text: &str) -> Result<(u32, NaiveDateTime), UsageError> {
    let wrong = || UsageError(format!("--boot {text}: write it like 12=2026-11-23T22:00"));
    let (number, time) = text.split_once('=').ok_or_else(wrong)?;
    let time = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(time, form).ok())
        .ok_or_else(wrong)?;
    Ok((number.parse().map_err(|_| wrong())?, time))
}
