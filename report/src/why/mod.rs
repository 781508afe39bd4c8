//! Why a figure is what it is: `underbrush why`.
//!
//! The chain is printed from the result back to its readings: the numbers put
//! into the formula, the formula with its source, the settings with file and
//! line, what was assumed, and which readings of which files were used.

mod amount;
mod readings;
mod settings;

pub use settings::SettingsText;

use crate::findings::{Case, Figure, Known, figures};
use crate::logset::LogSet;
use crate::sheet::wrap;
use crate::units::Units;
use std::fmt::Write;

/// What `why` prints from.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// What was found, and the settings it was judged by.
    pub known: Known<'a>,
    /// The logs.
    pub logs: &'a LogSet,
    /// The settings files as they were written.
    pub texts: SettingsText<'a>,
    /// Units to print in.
    pub units: Units,
}

/// A figure was asked for that there is none of.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WhyError {
    /// No figure has this name.
    #[error("no figure `{0}`; `underbrush why` lists all")]
    Unknown(String),
    /// The figure has fewer cases in this shift.
    #[error("{figure} has {cases} cases in this shift, so there is no number {number}")]
    NoSuchCase {
        /// The figure.
        figure: &'static str,
        /// How many it has.
        cases: usize,
        /// Which was asked for.
        number: usize,
    },
}

/// Width of the text, in characters.
const WIDTH: usize = 96;

/// All figures by name, one line each.
pub fn list() -> String {
    let width = figures().map(|f| f.id.len()).max().unwrap_or(0);
    let mut out = "Figures that can be explained:\n".to_owned();
    for figure in figures() {
        // Writing to a string cannot fail.
        let _ = writeln!(out, "  {:width$}  {}", figure.id, figure.says);
    }
    out
}

/// Explains `name`: one figure, all whose names begin with it (`speed`), or one
/// case of a list (`stationary.2`).
pub fn explain(source: &Source<'_>, name: &str) -> Result<String, WhyError> {
    let (base, number) = match name.rsplit_once('.') {
        Some((base, digits)) if digits.parse::<usize>().is_ok() => (base, digits.parse().ok()),
        _ => (name, None),
    };
    let exact = figures().find(|f| f.id == base);
    let family = |f: &&Figure| number.is_none() && f.id.split('.').next() == Some(base);
    let chosen: Vec<&Figure> =
        exact.map_or_else(|| figures().filter(family).collect(), |figure| vec![figure]);
    if chosen.is_empty() {
        return Err(WhyError::Unknown(name.to_owned()));
    }
    let mut out = String::new();
    for figure in chosen {
        if !out.is_empty() {
            out.push('\n');
        }
        one(source, figure, number, &mut out)?;
    }
    Ok(out)
}

fn one(
    source: &Source<'_>,
    figure: &'static Figure,
    number: Option<usize>,
    out: &mut String,
) -> Result<(), WhyError> {
    let mut cases = (figure.worked)(&source.known);
    if let Some(number) = number {
        let count = cases.len();
        let missing = WhyError::NoSuchCase { figure: figure.id, cases: count, number };
        let wanted = number.checked_sub(1).filter(|i| *i < count).ok_or(missing)?;
        cases = vec![cases.swap_remove(wanted)];
    }
    let shift = &source.known.findings.shift;
    line(out, 0, &format!("{}: {}", figure.id, figure.says));
    line(out, 2, &format!("shift of {}, {}", shift.date, source.known.machine.name));
    heading(out, "How");
    line(out, 2, figure.formula);
    line(out, 2, &format!("Source: {}.", figure.source));
    heading(out, "Numbers");
    if cases.is_empty() {
        line(out, 2, "None in this shift.");
    }
    for case in &cases {
        numbers(source, case, out);
    }
    heading(out, "Settings");
    for key in figure.settings {
        for text in source.texts.quote(key) {
            line(out, 2, &text);
        }
    }
    if !figure.assumed.is_empty() {
        heading(out, "Assumed");
        for text in figure.assumed {
            line(out, 2, text);
        }
    }
    heading(out, "Read");
    for text in readings::census(source.logs, shift.span, figure.channels, &source.known) {
        line(out, 2, &text);
    }
    for case in cases.iter().filter(|case| case.span.is_some()) {
        out.push_str(&readings::around(source.logs, case, shift.zone, figure.channels));
    }
    Ok(())
}

fn numbers(source: &Source<'_>, case: &Case, out: &mut String) {
    let zone = source.known.findings.shift.zone;
    if !case.title.is_empty() {
        let span = case.span.map_or(String::new(), |s| format!(", {}", amount::span(zone, s)));
        line(out, 2, &format!("{}{span}", case.title));
    }
    let width = case.numbers.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
    let last = case.numbers.len().saturating_sub(1);
    for (i, (name, value)) in case.numbers.iter().enumerate() {
        let sign = if i == last && last > 0 { "=" } else { " " };
        let text = amount::text(source.units, zone, value);
        let _ = writeln!(out, "  {sign} {name:width$}  {text}");
    }
}

fn heading(out: &mut String, text: &str) {
    let _ = writeln!(out, "{text}");
}

fn line(out: &mut String, indent: usize, text: &str) {
    for (i, part) in wrap(text, WIDTH - indent).iter().enumerate() {
        let more = if i > 0 { 2 } else { 0 };
        let _ = writeln!(out, "{:pad$}{part}", "", pad = indent + more);
    }
}
