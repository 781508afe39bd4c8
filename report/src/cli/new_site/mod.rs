//! `underbrush new-site`: the first files of a building, after a few questions.
//!
//! Nothing that is there is written over, and nothing is written before all questions
//! are answered and the files pass their own check.

mod answers;
mod ask;
mod machine_text;
mod site_text;

use super::args::NewSiteArgs;
use super::{CliError, Outcome, say, write_fresh};
use crate::settings::{Book, Site};
use answers::Answers;
use ask::Asker;
use std::io::IsTerminal;
use std::path::Path;
use underbrush_protocol::settings::{Machine, SettingsError};

/// Form of the files, for editors: the schemas stand beside them.
const SCHEMAS: [(&str, &str); 3] = [
    ("site.json", include_str!("../../../schema/site.json")),
    ("machine.json", include_str!("../../../schema/machine.json")),
    ("book.json", include_str!("../../../schema/book.json")),
];

pub(super) fn run(args: &NewSiteArgs) -> Result<Outcome, CliError> {
    let folder = &args.folder;
    let names = ["site.toml", "machine.toml", "book.toml"];
    let there: Vec<String> = names
        .iter()
        .map(|name| folder.join(name))
        .filter(|path| path.exists())
        .map(|path| path.display().to_string())
        .collect();
    if !there.is_empty() {
        let message = format!("{} is there already; nothing was written", there.join(", "));
        return Err(CliError::NewSite(message));
    }
    let answers = if args.yes {
        Answers::default()
    } else {
        let stdin = std::io::stdin();
        // Where nobody types, the answers are printed too, so that the text can be read.
        let echo = !stdin.is_terminal();
        let mut asker = Asker::new(stdin.lock(), std::io::stdout(), echo);
        answers::ask(&mut asker).map_err(|error| CliError::NewSite(error.to_string()))?
    };
    let texts =
        [site_text::site(&answers), machine_text::machine(&answers), machine_text::book(&answers)];
    check(&texts).map_err(CliError::Settings)?;
    write(folder, &names, &texts)?;
    say(&format!(
        "Written to {}: {}.\nLook through them, put in the motor's numbers and your sections, then run\n\
         underbrush check-files --in {}\n",
        folder.display(),
        names.join(", "),
        folder.display()
    ))?;
    Ok(Outcome::Whole)
}

/// What is written must be read again without an error.
fn check([site, machine, book]: &[String; 3]) -> Result<(), SettingsError> {
    let site = Site::parse("site.toml", site)?;
    let machine = Machine::parse("machine.toml", machine)?;
    let book = Book::parse("book.toml", book)?;
    book.against(&site, &[&machine]).into_iter().next().map_or(Ok(()), Err)
}

fn write(folder: &Path, names: &[&str; 3], texts: &[String; 3]) -> Result<(), CliError> {
    let schema = folder.join("schema");
    std::fs::create_dir_all(&schema)
        .map_err(|source| CliError::File { path: schema.display().to_string(), source })?;
    for (name, text) in SCHEMAS {
        let path = schema.join(name);
        if !path.exists() {
            write_fresh(&path, text)?;
        }
    }
    names.iter().zip(texts).try_for_each(|(name, text)| write_fresh(&folder.join(name), text))
}
