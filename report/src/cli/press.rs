//! Makes the sheet of a night: all machines of the building on one.

use super::CliError;
use super::loaded::Loaded;
use crate::events::cause::InTheAir;
use crate::events::judged_or;
use crate::findings::whereabouts::AssumedMark;
use crate::findings::{Findings, Inputs, Judge, Shift, traces};
use crate::ledger::Ledger;
use crate::programme::{Programme, ProgrammeCase};
use crate::sheet::{Closeup, Sheet, SheetInput, SheetOptions};
use crate::timeline::shift_of;
use chrono::NaiveDate;
use std::path::Path;
use underbrush_protocol::settings::Machine;

/// Knows the nights up to a date, and judges each sheet with them.
pub(super) struct Press<'a> {
    loaded: &'a Loaded,
    options: SheetOptions,
    inputs: Vec<Inputs<'a>>,
    /// The nights before the last one.
    ledger: Ledger,
    judges: Vec<Judge<'a>>,
}

/// A sheet, and what it is made of.
pub(super) struct Made {
    pub(super) sheet: Sheet,
    /// The findings behind it.
    pub(super) json: serde_json::Value,
    /// What is wrong, one sentence each, for the one who runs the program.
    pub(super) losses: Vec<String>,
    /// Data of this night are missing.
    pub(super) data_lost: bool,
}

/// A judged night.
pub(super) struct Night {
    /// What was found of each machine.
    pub(super) findings: Vec<Findings>,
    /// The places of each machine that nobody told.
    pub(super) assumed: Vec<Vec<AssumedMark>>,
    /// Where the programme stands after it.
    programme: Programme,
}

impl<'a> Press<'a> {
    /// For the sheets of nights up to `last`.
    pub(super) fn new(loaded: &'a Loaded, last: NaiveDate, options: SheetOptions) -> Self {
        let inputs = loaded.inputs();
        // A sheet tells of its own night what the ledger would, so that is not read twice.
        let before = last.pred_opt().unwrap_or(last);
        let building = loaded.building(&inputs);
        let ledger = Ledger::read(&building, before);
        let judges = inputs.iter().enumerate();
        let judges = judges.map(|(machine, inputs)| ledger.judge(machine, *inputs)).collect();
        Self { loaded, options, inputs, ledger, judges }
    }

    /// The sheet of the shift that starts on `date`.
    pub(super) fn sheet(&mut self, date: NaiveDate) -> Result<Made, CliError> {
        let site = &self.loaded.site;
        let (findings, programme) = self.night(date)?;
        let machines = self.loaded.machines.iter().map(|m| &m.machine);
        let nights: Vec<(&Machine, &Findings)> = machines.zip(&findings).collect();
        let programme = Some(&programme);
        let closeups = self.closeups(date, &findings);
        let input = SheetInput { site, nights: &nights, programme, closeups: &closeups };
        let sheet = Sheet::build(&input, &self.options);
        let mut made = Made {
            sheet,
            json: crate::json::of(site, &nights),
            losses: Vec::new(),
            data_lost: false,
        };
        for (machine, findings) in nights {
            let name = (self.judges.len() > 1).then_some(machine.id.as_str());
            let (told, data_lost) = losses(name, findings);
            made.losses.extend(told);
            made.data_lost |= data_lost;
        }
        Ok(made)
    }

    /// What was found of each machine, its steps by the minutes of all nights, and where the
    /// programme stands after it.
    pub(super) fn night(
        &mut self,
        date: NaiveDate,
    ) -> Result<(Vec<Findings>, Programme), CliError> {
        let night = self.judged(date)?;
        Ok((night.findings, night.programme))
    }

    /// The same, with the places that were assumed.
    pub(super) fn judged(&mut self, date: NaiveDate) -> Result<Night, CliError> {
        let shift = shift_of(&self.loaded.site, date)?;
        let (mut findings, assumed): (Vec<_>, Vec<_>) = self.findings(&shift).into_iter().unzip();
        let programme = self.programme(date, &findings);
        for found in &mut findings {
            programme.judge_steps(&mut found.sections);
        }
        Ok(Night { findings, assumed, programme })
    }

    fn findings(&mut self, shift: &Shift) -> Vec<(Findings, Vec<AssumedMark>)> {
        let building = self.loaded.building(&self.inputs);
        let judges = self.judges.iter_mut().enumerate();
        let judged = judges.map(|(machine, judge)| {
            judged_or(&building, machine, shift, || {
                let told = building.told(machine, judge, shift);
                self.ledger.judge_told(&building, machine, (judge, shift), told)
            })
        });
        judged.collect()
    }

    /// What is read for the pages of serious events, where somebody wants them.
    fn closeups(&self, date: NaiveDate, findings: &[Findings]) -> Vec<Closeup<'a>> {
        if !self.options.technician {
            return Vec::new();
        }
        let building = self.loaded.building(&self.inputs);
        let of = |(number, (inputs, findings)): (usize, (&Inputs<'a>, &Findings))| {
            let traces = traces(inputs, findings);
            let air = !traces.is_empty();
            let air = air.then(|| InTheAir::read(&building, number, date));
            Closeup { book: inputs.book, traces, air }
        };
        self.inputs.iter().zip(findings).enumerate().map(of).collect()
    }

    fn programme(&self, date: NaiveDate, findings: &[Findings]) -> Programme {
        let machines: Vec<&Machine> = self.inputs.iter().map(|inputs| inputs.machine).collect();
        Programme::judge(&ProgrammeCase {
            site: &self.loaded.site,
            book: &self.loaded.book,
            machines: &machines,
            records: &self.ledger.until(&self.inputs, date, findings),
            nights: &self.ledger.recorded(date, findings),
            date,
        })
    }
}

/// What the sheet says of missing data, and whether any are.
pub(super) fn losses(machine: Option<&str>, findings: &Findings) -> (Vec<String>, bool) {
    let of = machine.map_or_else(String::new, |id| format!(", machine {id}"));
    let date = findings.shift.date;
    let (mut told, mut data_lost) = (Vec::new(), false);
    let mut tell = |words: &str| told.push(format!("shift {date}{of}: {words}"));
    for problem in &findings.data.problems {
        tell(&problem.message);
        data_lost |= problem.data_lost;
    }
    if findings.data.boots == 0 {
        tell("nothing was recorded; the sheet says what to check");
        return (told, true);
    }
    if let Some(losses) = findings.data.losses() {
        tell(&losses);
        data_lost = true;
    }
    (told, data_lost)
}

/// The usual name of the sheet of `date`.
pub(super) fn file_name(loaded: &Loaded, date: NaiveDate) -> String {
    let [only] = loaded.machines.as_slice() else { return format!("shift-{date}.pdf") };
    let letter = |c: char| if c.is_alphanumeric() || c == '-' { c } else { '_' };
    let id: String = only.machine.id.chars().map(letter).collect();
    format!("shift-{id}-{date}.pdf")
}

/// Writes beside the target and renames, so that nobody prints half a sheet.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    let fail = |source| CliError::File { path: path.display().to_string(), source };
    if let Some(parent) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
        std::fs::create_dir_all(parent).map_err(fail)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(".part");
    let part = path.with_file_name(name);
    std::fs::write(&part, bytes).map_err(fail)?;
    std::fs::rename(&part, path).map_err(fail)
}
