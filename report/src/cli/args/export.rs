//! Arguments of `underbrush export`.

use super::files::FileOptions;
use super::values::shifts;
use super::{Command, Files, UsageError};
use crate::export::{Format, Table};
use crate::timeline::parse_shift_date;
use crate::units::Units;
use chrono::NaiveDate;
use lexopt::prelude::*;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

#[derive(Debug)]
pub(in crate::cli) enum ExportArgs {
    Tables(Box<TablesArgs>),
    Dictionary { json: bool, units: Units },
}

#[derive(Debug)]
pub(in crate::cli) struct TablesArgs {
    pub(in crate::cli) tables: Vec<Table>,
    pub(in crate::cli) files: Files,
    /// Nights from the first to the last; `None`: everything.
    pub(in crate::cli) dates: Option<RangeInclusive<NaiveDate>>,
    /// Ids of the machines wanted; empty: all.
    pub(in crate::cli) machines: Vec<String>,
    pub(in crate::cli) format: Format,
    /// `None`: the folder at hand.
    pub(in crate::cli) out: Option<PathBuf>,
    /// `None`: those of the site.
    pub(in crate::cli) units: Option<Units>,
    pub(in crate::cli) force: bool,
}

#[derive(Default)]
struct Given {
    tables: Vec<Table>,
    files: FileOptions,
    shifts: Option<(NaiveDate, NaiveDate)>,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    machines: Vec<String>,
    format: Option<Format>,
    out: Option<PathBuf>,
    units: Option<Choice>,
    force: bool,
    dictionary: bool,
    json: bool,
}

/// What `--units` says.
#[derive(Clone, Copy)]
enum Choice {
    These(Units),
    People,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut given = Given::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Value(name) => given.table(&name.string()?)?,
            Long("force") => given.force = true,
            Long("dictionary") => given.dictionary = true,
            Long("json") => given.json = true,
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                given.take(&name, parser)?;
            }
            other @ Short(_) => return Err(other.unexpected().into()),
        }
    }
    Ok(Command::Export(given.finish()?))
}

fn wrong<T>(words: String) -> Result<T, UsageError> {
    Err(UsageError(words))
}

fn listed(names: impl Iterator<Item = &'static str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

impl Given {
    fn table(&mut self, name: &str) -> Result<(), UsageError> {
        let tables = match Table::by_name(name) {
            Some(table) => vec![table],
            None if name == "all" => Table::ALL.to_vec(),
            None => {
                let names = listed(Table::ALL.into_iter().map(Table::name));
                return wrong(format!("there is no table `{name}`; there are: {names}, or all"));
            }
        };
        for table in tables {
            if !self.tables.contains(&table) {
                self.tables.push(table);
            }
        }
        Ok(())
    }

    fn take(&mut self, name: &str, parser: &mut lexopt::Parser) -> Result<(), UsageError> {
        match name {
            "shift" => self.shifts = Some(shifts(&parser.value()?.string()?)?),
            "from" => self.from = Some(parse_shift_date(&parser.value()?.string()?)?),
            "to" => self.to = Some(parse_shift_date(&parser.value()?.string()?)?),
            "format" => self.format = Some(format(&parser.value()?.string()?)?),
            "out" => self.out = Some(parser.value()?.into()),
            "units" => self.units = Some(units(&parser.value()?.string()?)?),
            "machine" => {
                let value = PathBuf::from(parser.value()?);
                match value.to_str() {
                    // A machine by its id, or as elsewhere by its file.
                    Some(id)
                        if !value.exists()
                            && Path::new(id).extension().is_none_or(|e| e != "toml") =>
                    {
                        self.machines.push(id.to_owned());
                    }
                    _ => self.files.add_machine(value),
                }
            }
            other if self.files.take(other, parser)? => {}
            other => return Err(Long(other).unexpected().into()),
        }
        Ok(())
    }

    fn finish(self) -> Result<ExportArgs, UsageError> {
        if self.dictionary {
            if !self.tables.is_empty() {
                return wrong("--dictionary is of all tables: name none".to_owned());
            }
            let units = match self.units {
                Some(Choice::These(units)) => units,
                _ => Units::Si,
            };
            return Ok(ExportArgs::Dictionary { json: self.json, units });
        }
        if self.json {
            return wrong("--json is for --dictionary; rows as JSON are --format jsonl".to_owned());
        }
        if self.tables.is_empty() {
            let names = listed(Table::ALL.into_iter().map(Table::name));
            return wrong(format!("export needs a table: {names}, or all"));
        }
        let dates = dates(self.shifts, self.from, self.to)?;
        let by_ending = |path: &PathBuf| Format::by_name(path.extension()?.to_str()?);
        let format = self.format.or_else(|| self.out.as_ref().and_then(by_ending));
        let format = format.unwrap_or(Format::Csv);
        if self.out.as_ref().is_some_and(|out| out.as_os_str() == "-") {
            if self.tables.len() > 1 {
                return wrong("--out - prints one table: name one".to_owned());
            }
            if !format.is_text() {
                return wrong(format!("{} cannot be printed: give --out a file", format.name()));
            }
        }
        Ok(ExportArgs::Tables(Box::new(TablesArgs {
            tables: self.tables,
            files: self.files.find()?,
            dates,
            machines: self.machines,
            format,
            out: self.out,
            units: match self.units {
                None => Some(Units::Si),
                Some(Choice::These(units)) => Some(units),
                Some(Choice::People) => None,
            },
            force: self.force,
        })))
    }
}

fn format(name: &str) -> Result<Format, UsageError> {
    let names = || listed(Format::ALL.into_iter().map(Format::name));
    Format::by_name(name)
        .ok_or_else(|| UsageError(format!("--format {name}: use one of {}", names())))
}

fn units(text: &str) -> Result<Choice, UsageError> {
    match text {
        "si" => Ok(Choice::These(Units::Si)),
        "us" => Ok(Choice::These(Units::Us)),
        "people" => Ok(Choice::People),
        _ => wrong(format!("--units {text}: use si, us, or people for those of the site file")),
    }
}

fn dates(
    shifts: Option<(NaiveDate, NaiveDate)>,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
) -> Result<Option<RangeInclusive<NaiveDate>>, UsageError> {
    match (shifts, from, to) {
        (None, None, None) => Ok(None),
        (Some((first, last)), None, None) => Ok(Some(first..=last)),
        (None, Some(from), Some(to)) if to < from => wrong("--to is before --from".to_owned()),
        (None, Some(from), Some(to)) => Ok(Some(from..=to)),
        (None, _, _) => wrong("give both --from and --to, or --shift, or none of them".to_owned()),
        _ => wrong("give either --shift, or --from and --to".to_owned()),
    }
}
