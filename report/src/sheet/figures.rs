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

/// From here on minutes are noise, in hours.
const ABSURD_H: f64 = 10_000.0;

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
        if v < 0.001 {
            return "under 0.001".to_owned();
        }
        if v >= 1e9 {
            return format!("{v:.2e}");
        }
        let magnitude = v.log10().floor() as i32;
        let decimals = digits - 1 - magnitude;
        if decimals > 0 {
            return format!("{v:.*}", decimals as usize);
        }
        let step = 10_f64.powi(-decimals);
        grouped(((v / step).round() * step) as u64)
    })
}

/// Speed, without its unit.
pub(super) fn speed(units: Units, v: MetresPerSecond) -> String {
    known(units.speed(v), |v| if v < 99.995 { format!("{v:.2}") } else { significant(v, 3) })
}

/// Speed limit, without its unit and without zeros at the end: `1.5`, `2`.
pub(super) fn limit(v: f64) -> String {
    known(v, |v| {
        if v >= 1000.0 {
            return significant(v, 3);
        }
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
    known(a.0, |v| if v < 99.95 { format!("{v:.1}") } else { significant(v, 3) })
}

/// Energy with its unit.
pub(super) fn energy(e: Joules) -> String {
    known(e.0, |v| {
        if v > 0.0 && v < 100.0 {
            "under 0.1 kJ".to_owned()
        } else if v >= 999_500.0 {
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
        if hours >= ABSURD_H {
            return format!("{hours:.0e} h");
        }
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
        if hours >= ABSURD_H {
            return format!("{hours:.0e} h");
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    // Every expected text was rounded by hand.
    #[test]
    fn rounding() {
        assert_eq!(significant(12_345.0, 3), "12,300");
        assert_eq!(significant(999.6, 3), "1,000");
        assert_eq!(significant(43.21, 3), "43.2");
        assert_eq!(significant(0.0, 3), "0");
        assert_eq!(significant(1e-9, 3), "under 0.001");
        assert_eq!(significant(1.234e12, 3), "1.23e12");
        assert_eq!(grouped(1_234_567), "1,234,567");
        assert_eq!(grouped(7), "7");
        assert_eq!(limit(1.50), "1.5");
        assert_eq!(limit(20.0), "20");
        assert_eq!(percent(1.0, 3.0), "33 %");
        assert_eq!(percent(1.0, 1000.0), "under 1 %");
        assert_eq!(percent(999.0, 1000.0), "over 99 %");
        assert_eq!(percent(5.0, 5.0), "100 %");
        assert_eq!(current(Amperes(9.96)), "10.0");
        assert_eq!(current(Amperes(128.3)), "128");
        assert_eq!(energy(Joules(15_800.0)), "16 kJ");
        assert_eq!(energy(Joules(9.4e6)), "9.40 MJ");
    }

    #[test]
    fn times() {
        assert_eq!(duration(Seconds(4.26)), "4.3 s");
        assert_eq!(duration(Seconds(14.4)), "14 s");
        assert_eq!(duration(Seconds(99.6)), "2 min");
        assert_eq!(duration(Seconds(3_599.0)), "1 h 00 min");
        assert_eq!(duration(Seconds(18_720.0)), "5 h 12 min");
        assert_eq!(hours_minutes(Seconds(3_540.0)), "0:59");
        assert_eq!(hours_minutes(Seconds(3_571.0)), "1:00");
        assert_eq!(hours_minutes(Seconds(12.0)), "<0:01");
        assert_eq!(hours_minutes(Seconds(0.0)), "0:00");
    }

    #[test]
    fn what_is_no_number_is_not_known() {
        for v in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(significant(v, 3), NOT_KNOWN);
            assert_eq!(duration(Seconds(v)), NOT_KNOWN);
            assert_eq!(speed(Units::Us, MetresPerSecond(v)), NOT_KNOWN);
        }
        assert_eq!(percent(0.0, 0.0), NOT_KNOWN);
    }

    // Source: IANA tz 2026 transitions as in the project's check values: Chicago goes
    // from -5 to -6 at 2026-11-01T07:00Z, so 01:30 comes twice.
    #[test]
    fn the_hour_that_comes_twice_names_its_zone() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let zone = chrono_tz::America::Chicago;
        assert_eq!(clock(zone, at("2026-11-01T06:30:00Z")), "01:30 CDT");
        assert_eq!(clock(zone, at("2026-11-01T07:30:00Z")), "01:30 CST");
        assert_eq!(clock(zone, at("2026-11-01T08:30:00Z")), "02:30");
    }
}
