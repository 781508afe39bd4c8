//! `underbrush book`: the shift book as a table for a spreadsheet, and back.

use super::args::BookArgs;
use super::{CliError, Outcome, read_text, say, write_fresh};
use crate::settings::Book;
use crate::settings::table::{to_table, to_toml};

pub(super) fn run(args: &BookArgs) -> Result<Outcome, CliError> {
    let name = args.book.display().to_string();
    let text = read_text(&args.book)?;
    let is_table = args.book.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let other = if is_table {
        Book::parse(&name, &text)?;
        to_toml(&name, &text).toml
    } else {
        to_table(&name, &text, if args.semicolon { b';' } else { b',' })?
    };
    match &args.out {
        None => say(&other)?,
        Some(path) => write_fresh(path, &other)?,
    }
    Ok(Outcome::Whole)
}
