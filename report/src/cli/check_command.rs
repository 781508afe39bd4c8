//! `underbrush check-files`: all that is wrong in site, machine files and shift book at once.

use super::args::SettingsFiles;
use super::{CliError, Outcome, say};
use crate::settings::{Book, Site};
use std::path::Path;
use underbrush_protocol::settings::{Machine, SettingsError};

pub(super) fn run(files: &SettingsFiles) -> Result<Outcome, CliError> {
    let mut wrong = Vec::new();
    let (name, text) = read(&files.site)?;
    let (site, in_site) = Site::check(&name, &text);
    let site_is_whole = in_site.is_empty();
    wrong.extend(in_site);
    let mut machines: Vec<Machine> = Vec::new();
    let mut machines_are_whole = true;
    for path in &files.machines {
        let (name, text) = read(path)?;
        let (machine, in_machine) = Machine::check(&name, &text);
        machines_are_whole &= in_machine.is_empty();
        wrong.extend(in_machine);
        let Some(machine) = machine else { continue };
        if machines.iter().any(|other| other.id == machine.id) {
            let message =
                format!("machine {} is given twice: each needs an id of its own", machine.id);
            let key = Some("id".to_owned());
            wrong.push(SettingsError { file: name, line: None, key, message });
        }
        machines.push(machine);
    }
    let mut notes = Vec::new();
    if let Some(path) = &files.book {
        let (name, text) = read(path)?;
        let (book, in_book) = Book::check(&name, &text);
        wrong.extend(in_book);
        match &site {
            Some(site) if site_is_whole && machines_are_whole => {
                let known: Vec<&Machine> = machines.iter().collect();
                wrong.extend(book.against(site, &known));
            }
            _ => notes.push(format!(
                "{name}: sections, grits and machines are looked up once the other files are right"
            )),
        }
    } else {
        notes.push("no shift book (book.toml or book.csv)".to_owned());
    }
    for error in &wrong {
        say(&format!("{error}\n"))?;
    }
    for note in notes {
        say(&format!("{note}\n"))?;
    }
    let count = files.machines.len() + 1 + usize::from(files.book.is_some());
    if wrong.is_empty() {
        say(&format!("{count} files, nothing wrong\n"))?;
        return Ok(Outcome::Whole);
    }
    say(&format!("{count} files, {} to correct\n", wrong.len()))?;
    Ok(Outcome::ToCorrect)
}

fn read(path: &Path) -> Result<(String, String), CliError> {
    let name = path.display().to_string();
    super::read_text(path).map(|text| (name, text))
}
