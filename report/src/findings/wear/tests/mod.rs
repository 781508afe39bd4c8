//! Wear against the outside, against worked cases, and what is refused.

mod cases;
mod outside;
mod physics;
mod refusals;

use super::{WearCase, WearFinding, WearRemark};
use crate::findings::Observed;
use crate::findings::history::Night;
use crate::settings::Book;
use chrono::{Days, NaiveDate};
use underbrush_protocol::settings::machine::Blade;
use underbrush_protocol::si::{Joules, Metres, MetresPerJoule, Seconds};

/// Day `n` from 1 October 2026, which is day 0.
fn day(n: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 1).unwrap() + Days::new(n)
}

fn blade() -> Blade {
    Blade { wear_rate: MetresPerJoule(8e-11), wear_rate_uncertainty: 0.4, ..Blade::default() }
}

fn night(n: u64, megajoules: &[f64]) -> Night {
    Night {
        date: day(n),
        observed: Observed { seen: Seconds(9.0), of: Seconds(9.0) },
        energy: megajoules.iter().map(|mj| Joules(mj * 1e6)).collect(),
        ..Night::default()
    }
}

/// The same work each night from day 0 to day `last`: 3 MJ a brush wear 0.24 mm.
fn nights(last: u64) -> Vec<Night> {
    (0..=last).map(|n| night(n, &[3.0, 3.0])).collect()
}

fn judge(book: &str, nights: &[Night]) -> WearFinding {
    let book = Book::parse("book.toml", book).unwrap();
    let date = nights.last().map_or(day(0), |night| night.date);
    let blade = blade();
    WearCase {
        blade: &blade,
        brushes: 2,
        book: &book,
        nights,
        covered: nights.first().map(|night| night.date),
        last_logged: nights.last().map(|night| night.date),
        date,
    }
    .judge()
}

/// A tool fitted new on day 0, and lengths in mm.
fn book(lengths: &[(u64, f64)]) -> String {
    let lengths = lengths.iter().map(|(n, mm)| measured(*n, &format!("length = \"{mm} mm\"")));
    tool(0, 400) + &lengths.collect::<String>()
}

/// A tool fitted on day `n`.
fn tool(n: u64, grit: u32) -> String {
    format!("[[tool]]\nfitted = {}\ngrit = \"{grit}\"\n", day(n))
}

/// Lengths measured on day `n`.
fn measured(n: u64, lengths: &str) -> String {
    format!("[[measured]]\ndate = {}\n{lengths}\n", day(n))
}

/// The length after `n` nights of 3 MJ at 0.08 mm/MJ, in mm.
fn worn(n: u64) -> f64 {
    25.4 - 0.24 * n as f64
}

fn mm(length: Metres) -> f64 {
    length.0 * 1000.0
}

fn has(found: &WearFinding, wanted: fn(&WearRemark) -> bool) -> bool {
    found.remarks.iter().any(wanted)
}

/// Nothing is said of what is left and when.
fn says_nothing(found: &WearFinding) -> bool {
    found.left.is_none()
        && found.reorder_day.is_none()
        && found.end_day.is_none()
        && found.order_by.is_none()
}
