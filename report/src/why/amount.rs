//! Amounts in the reader's units, with more digits than the sheet has room for.

use crate::findings::{Amount, Span};
use crate::units::Units;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use underbrush_protocol::si::Seconds;

/// An amount with its unit.
pub(super) fn text(units: Units, zone: Tz, amount: &Amount) -> String {
    match amount {
        Amount::Time(t) => time(*t),
        Amount::Way(l) => match units {
            Units::Us => format!("{} ft", digits(l.0 / crate::units::METRES_PER_FOOT)),
            Units::Si => format!("{} m", digits(l.0)),
        },
        Amount::Length(l) => format!("{} {}", digits(units.length(*l)), units.length_unit()),
        Amount::Area(a) => format!("{} {}", digits(units.area(*a)), units.area_unit()),
        Amount::AreaPerHour(a) => {
            format!("{} {} an hour", digits(units.area(*a)), units.area_unit())
        }
        Amount::Speed(v) => format!("{} {}", digits(units.speed(*v)), units.speed_unit()),
        Amount::Current(a) => format!("{} A", digits(a.0)),
        Amount::Voltage(v) => format!("{} V", digits(v.0)),
        Amount::Energy(e) => format!("{} kJ", digits(e.0 / 1e3)),
        Amount::WearRate(w) => match units {
            Units::Us => format!("{} in/MJ", digits(w.0 * 1e6 / crate::units::METRES_PER_INCH)),
            Units::Si => format!("{} mm/MJ", digits(w.0 * 1e9)),
        },
        Amount::Share(s) => format!("{} %", digits(s * 100.0)),
        Amount::Number(n) => digits(*n),
        Amount::Count(n) => n.to_string(),
        Amount::Instant(at) => instant(zone, *at),
        Amount::Day(day) => day.to_string(),
        Amount::Words(words) => words.clone(),
        Amount::Unknown(why) => format!("not known: {why}"),
    }
}

/// Four significant digits, without zeros that say nothing.
fn digits(v: f64) -> String {
    if !v.is_finite() {
        return "not a number".to_owned();
    }
    if v == 0.0 {
        return "0".to_owned();
    }
    let decimals = (3 - v.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{v:.decimals$}");
    if decimals == 0 {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn time(t: Seconds) -> String {
    let s = t.0;
    if s.abs() < 120.0 {
        format!("{} s", digits(s))
    } else if s.abs() < 172_800.0 {
        let whole = s.round() as i64;
        format!("{} h {:02} min {:02} s", whole / 3600, whole / 60 % 60, whole % 60)
    } else {
        format!("{} days", digits(s / 86_400.0))
    }
}

fn instant(zone: Tz, at: DateTime<Utc>) -> String {
    at.with_timezone(&zone).format("%Y-%m-%d %H:%M:%S %Z").to_string()
}

/// Local begin and length.
pub(super) fn span(zone: Tz, span: Span) -> String {
    let from = span.from.with_timezone(&zone).format("%Y-%m-%d %H:%M:%S%.3f");
    format!("{from}, {}", time(span.length()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::si::{MetresPerSecond, SquareMetres};

    #[test]
    fn four_digits_and_the_readers_units() {
        assert_eq!(digits(0.711_2), "0.7112");
        assert_eq!(digits(12_345.6), "12346");
        assert_eq!(digits(2.0), "2");
        assert_eq!(digits(f64::NAN), "not a number");
        let zone = chrono_tz::UTC;
        let say = |amount| text(Units::Us, zone, &amount);
        assert_eq!(say(Amount::Speed(MetresPerSecond(0.447_04))), "1 mph");
        assert_eq!(say(Amount::Area(SquareMetres(53.419_248))), "575 sq ft");
        assert_eq!(say(Amount::Time(Seconds(3_725.0))), "1 h 02 min 05 s");
        assert_eq!(say(Amount::Unknown("no mark")), "not known: no mark");
        let at = |ms: i64| DateTime::from_timestamp_millis(1_795_471_200_000 + ms).unwrap();
        let night = Span { from: at(0), to: at(14_000) };
        assert_eq!(span(zone, night), "2026-11-23 22:00:00.000, 14 s");
    }
}
