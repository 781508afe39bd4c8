//! Numbers as people read them: rounding happens here and nowhere else.
//!
//! No figure claims more than its reading can hold: speeds two decimals, areas
//! and energies three digits, times minutes or seconds. What is not a number is
//! "not known", never 0.

use crate::findings::Span;
use crate::units::Units;
use chrono::{DateTime, Datelike, LocalResult, NaiveDate, TimeZone, Utc};
use chrono_tz::Tz;
use underbrush_protocol::si::{Amperes, Joules, Metres, MetresPerSecond, Seconds, SquareMetres};

/// Printed in a table where a value is not known; a note below says why.
pub(super) const DASH: &str = "–";
/// Printed in a sentence where a value is not known.
pub(super) const NOT_KNOWN: &str = "not known";

fn known(v: f64, text: impl FnOnce(f64) -> String) -> String {
    if v.is_finite() && v >= 0.0 { text(v) } else { NOT_KNOWN.to_owned() }
}

/// Whole number with commas.
pub(super) fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// `digits` significant digits, with commas from 1,000.
pub(super) fn significant(v: f64, digits: i32) -> String {
    known(v, |v| {
        if v == 0.0 {
            return "0".to_owned();
        }
        if v >= 1e9 {
            return format!("{v:.2e}");
        }
        let magnitude = v.log10().floor() as i32;
        let decimals = digits - 1 - magnitude;
        if decimals > 0 {
            // Below a millionth of a unit there is nothing to read.
            return format!("{v:.*}", decimals.min(6) as usize);
        }
        let step = 10_f64.powi(-decimals);
        grouped(((v / step).round() * step) as u64)
    })
}

/// Speed, without its unit.
pub(super) fn speed(units: Units, v: MetresPerSecond) -> String {
    known(units.speed(v), |v| format!("{v:.2}"))
}

/// Speed limit, without its unit and without zeros at the end: `1.5`, `2`.
pub(super) fn limit(v: f64) -> String {
    known(v, |v| {
        let text = format!("{v:.2}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    })
}

/// Area, without its unit.
pub(super) fn area(units: Units, a: SquareMetres) -> String {
    significant(units.area(a), 3)
}

/// Segment length, without its unit.
pub(super) fn length(units: Units, l: Metres) -> String {
    known(units.length(l), |v| match units {
        Units::Us => format!("{v:.2}"),
        Units::Si => format!("{v:.1}"),
    })
}

/// Long way with its unit.
pub(super) fn distance(units: Units, l: Metres) -> String {
    let v = units.distance(l);
    if v.is_finite() {
        format!("{} {}", significant(v, 2), units.distance_unit())
    } else {
        NOT_KNOWN.to_owned()
    }
}

/// Current, without its unit.
pub(super) fn current(a: Amperes) -> String {
    known(a.0, |v| if v < 9.95 { format!("{v:.1}") } else { significant(v, 3) })
}

/// Energy with its unit.
pub(super) fn energy(e: Joules) -> String {
    known(e.0, |v| {
        if v >= 999_500.0 {
            format!("{} MJ", significant(v / 1e6, 3))
        } else {
            format!("{} kJ", significant(v / 1e3, 2))
        }
    })
}

/// Passes.
pub(super) fn passes(v: f64) -> String {
    known(v, |v| if v < 99.95 { format!("{v:.1}") } else { significant(v, 3) })
}

/// Share of a whole in percent: 0 and 100 only where it is exactly that.
pub(super) fn percent(part: f64, whole: f64) -> String {
    let share = 100.0 * part / whole;
    known(share, |p| match p {
        p if p > 0.0 && p < 1.0 => "under 1 %".to_owned(),
        p if p < 100.0 && p > 99.0 => "over 99 %".to_owned(),
        p => format!("{p:.0} %"),
    })
}

/// Duration in words: `14 s`, `12 min`, `5 h 12 min`.
pub(super) fn duration(t: Seconds) -> String {
    known(t.0, |s| {
        if s < 9.95 {
            return format!("{} s", limit((s * 10.0).round() / 10.0));
        }
        if s < 99.5 {
            return format!("{s:.0} s");
        }
        let minutes = (s / 60.0).round();
        if minutes < 60.0 {
            return format!("{minutes:.0} min");
        }
        let hours = (minutes / 60.0).floor();
        format!("{} h {:02.0} min", grouped(hours as u64), minutes - 60.0 * hours)
    })
}

/// Duration as `h:mm` for a column; what is short but not nothing is `<0:01`.
pub(super) fn hours_minutes(t: Seconds) -> String {
    known(t.0, |s| {
        let minutes = (s / 60.0).round();
        if minutes == 0.0 && s > 0.0 {
            return "<0:01".to_owned();
        }
        let hours = (minutes / 60.0).floor();
        format!("{hours:.0}:{:02.0}", minutes - 60.0 * hours)
    })
}

/// Duration in seconds for a column.
pub(super) fn seconds(t: Seconds) -> String {
    known(t.0, |s| if s < 9.95 { format!("{s:.1}") } else { grouped(s.round() as u64) })
}

/// Local time of day; with the zone's short name in the hour that clocks repeat.
pub(super) fn clock(zone: Tz, at: DateTime<Utc>) -> String {
    let local = at.with_timezone(&zone);
    match zone.from_local_datetime(&local.naive_local()) {
        LocalResult::Ambiguous(..) => local.format("%H:%M %Z").to_string(),
        _ => local.format("%H:%M").to_string(),
    }
}

/// Local times of begin and end.
pub(super) fn clocks(zone: Tz, span: Span) -> String {
    format!("{}–{}", clock(zone, span.from), clock(zone, span.to))
}

/// `Mon 23 Nov 2026`.
pub(super) fn date(d: NaiveDate) -> String {
    format!("{} {}", d.format("%a %-d %b"), d.year())
}

/// `23 Nov`, with the year where it is not this one.
pub(super) fn day(d: NaiveDate, year: i32) -> String {
    if d.year() == year {
        d.format("%-d %b").to_string()
    } else {
        format!("{} {}", d.format("%-d %b"), d.year())
    }
}

/// Count and noun: `1 pass`, `3 passes`.
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{} {}", grouped(n as u64), if n == 1 { one } else { many })
}
