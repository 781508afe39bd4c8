//! Numbers as people read them: rounding happens here and nowhere else.
//!
//! No figure claims more than its reading can hold: speeds two decimals, areas
//! and energies three digits, times minutes or seconds. What is not a number is
//! "not known", never 0. Signs and words are those of the sheet's language.

use super::words::{Numbers, Words};
use crate::findings::Span;
use crate::settings::site::Language;
use crate::units::Units;
use chrono::{DateTime, Datelike, LocalResult, Month, NaiveDate, TimeZone, Utc, Weekday};
use chrono_tz::Tz;
use underbrush_protocol::si::{Amperes, Joules, Metres, MetresPerSecond, Seconds, SquareMetres};

/// Printed in a table where a value is not known; a note below says why.
pub(crate) const DASH: &str = "–";

/// From here on minutes are noise, in hours.
const ABSURD_H: f64 = 10_000.0;

/// Writes figures in one system of units and one language. A copy is cheap.
#[derive(Clone, Debug)]
pub(crate) struct Figures {
    pub(crate) units: Units,
    pub(crate) words: Words,
    numbers: Numbers,
}

impl Figures {
    pub(crate) fn new(units: Units, language: Language) -> Self {
        let words = Words::new(language);
        Self { units, numbers: words.numbers(), words }
    }

    /// Printed in a sentence where a value is not known.
    pub(crate) fn not_known(&self) -> String {
        self.words.say("not-known")
    }

    fn known(&self, v: f64, text: impl FnOnce(f64) -> String) -> String {
        if v.is_finite() && v >= 0.0 { text(v) } else { self.not_known() }
    }

    /// A number that was written with a point, in the language's way.
    fn local(&self, text: String) -> String {
        self.numbers.localized(text)
    }

    fn under(&self, value: String) -> String {
        self.words.with("figure-under", &[("value", value.into())])
    }

    /// Whole number with its thousands apart.
    pub(crate) fn grouped(&self, n: u64) -> String {
        self.numbers.grouped(n)
    }

    /// As many decimals as said.
    pub(crate) fn fixed(&self, v: f64, decimals: usize) -> String {
        if v.is_finite() { self.local(format!("{v:.decimals$}")) } else { self.not_known() }
    }

    /// `digits` significant digits, thousands apart.
    pub(crate) fn significant(&self, v: f64, digits: i32) -> String {
        self.known(v, |v| {
            if v == 0.0 {
                return "0".to_owned();
            }
            if v < 0.001 {
                return self.under(self.local("0.001".to_owned()));
            }
            if v >= 1e9 {
                return self.local(format!("{v:.2e}"));
            }
            let magnitude = v.log10().floor() as i32;
            let decimals = digits - 1 - magnitude;
            if decimals > 0 {
                return self.fixed(v, decimals as usize);
            }
            let step = 10_f64.powi(-decimals);
            self.grouped(((v / step).round() * step) as u64)
        })
    }

    /// Speed, without its unit.
    pub(crate) fn speed(&self, v: MetresPerSecond) -> String {
        self.known(self.units.speed(v), |v| {
            if v < 99.995 { self.fixed(v, 2) } else { self.significant(v, 3) }
        })
    }

    /// Speed limit, without its unit and without zeros at the end: `1.5`, `2`.
    pub(crate) fn limit(&self, v: f64) -> String {
        self.known(v, |v| {
            if v >= 1000.0 {
                return self.significant(v, 3);
            }
            let text = format!("{v:.2}");
            self.local(text.trim_end_matches('0').trim_end_matches('.').to_owned())
        })
    }

    /// Area, without its unit.
    pub(crate) fn area(&self, a: SquareMetres) -> String {
        self.significant(self.units.area(a), 3)
    }

    /// Segment length, without its unit.
    pub(crate) fn length(&self, l: Metres) -> String {
        self.known(self.units.length(l), |v| match self.units {
            Units::Us => self.fixed(v, 2),
            Units::Si => self.fixed(v, 1),
        })
    }

    /// Segment length with its unit.
    pub(crate) fn length_and_unit(&self, l: Metres) -> String {
        format!("{} {}", self.length(l), self.length_unit())
    }

    /// Long way with its unit.
    pub(crate) fn distance(&self, l: Metres) -> String {
        let v = self.units.distance(l);
        if v.is_finite() {
            format!("{} {}", self.significant(v, 2), self.distance_unit())
        } else {
            self.not_known()
        }
    }

    /// Current, without its unit.
    pub(crate) fn current(&self, a: Amperes) -> String {
        self.known(a.0, |v| if v < 99.95 { self.fixed(v, 1) } else { self.significant(v, 3) })
    }

    /// Energy with its unit.
    pub(crate) fn energy(&self, e: Joules) -> String {
        self.known(e.0, |v| {
            if v > 0.0 && v < 100.0 {
                self.under(format!("{} kJ", self.fixed(0.1, 1)))
            } else if v >= 999_500.0 {
                format!("{} MJ", self.significant(v / 1e6, 3))
            } else {
                format!("{} kJ", self.significant(v / 1e3, 2))
            }
        })
    }

    /// Passes.
    pub(crate) fn passes(&self, v: f64) -> String {
        self.known(v, |v| if v < 99.95 { self.fixed(v, 1) } else { self.significant(v, 3) })
    }

    /// Share of a whole in percent: 0 and 100 only where it is exactly that.
    pub(crate) fn percent(&self, part: f64, whole: f64) -> String {
        let share = 100.0 * part / whole;
        self.known(share, |p| match p {
            p if p > 0.0 && p < 1.0 => self.under("1 %".to_owned()),
            p if p < 100.0 && p > 99.0 => {
                self.words.with("figure-over", &[("value", "99 %".into())])
            }
            p => format!("{p:.0} %"),
        })
    }

    /// Duration in words: `14 s`, `12 min`, `5 h 12 min`.
    pub(crate) fn duration(&self, t: Seconds) -> String {
        self.known(t.0, |s| {
            if s < 9.95 {
                return format!("{} s", self.limit((s * 10.0).round() / 10.0));
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
            format!("{} h {:02.0} min", self.grouped(hours as u64), minutes - 60.0 * hours)
        })
    }

    /// Duration as `h:mm` for a column; what is short but not nothing is `<0:01`.
    pub(crate) fn hours_minutes(&self, t: Seconds) -> String {
        self.known(t.0, |s| {
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
    pub(crate) fn seconds(&self, t: Seconds) -> String {
        self.known(
            t.0,
            |s| {
                if s < 9.95 { self.fixed(s, 1) } else { self.grouped(s.round() as u64) }
            },
        )
    }

    /// `Mon 23 Nov 2026`.
    pub(crate) fn date(&self, d: NaiveDate) -> String {
        let weekday = match d.weekday() {
            Weekday::Mon => "date-mon",
            Weekday::Tue => "date-tue",
            Weekday::Wed => "date-wed",
            Weekday::Thu => "date-thu",
            Weekday::Fri => "date-fri",
            Weekday::Sat => "date-sat",
            Weekday::Sun => "date-sun",
        };
        let weekday = self.words.say(weekday);
        self.words.with(
            "date-long",
            &[
                ("weekday", weekday.into()),
                ("day", d.day().to_string().into()),
                ("month", self.month(d).into()),
                ("year", d.year().to_string().into()),
            ],
        )
    }

    /// `23 Nov`, with the year where it is not this one.
    pub(crate) fn day(&self, d: NaiveDate, year: i32) -> String {
        let (day, month) = (d.day().to_string(), self.month(d));
        if d.year() == year {
            self.words.with("date-day", &[("day", day.into()), ("month", month.into())])
        } else {
            let year = d.year().to_string();
            self.words.with(
                "date-day-year",
                &[("day", day.into()), ("month", month.into()), ("year", year.into())],
            )
        }
    }

    /// Short name of its month.
    fn month(&self, d: NaiveDate) -> String {
        let month = u8::try_from(d.month()).ok().and_then(|m| Month::try_from(m).ok());
        self.words.say(match month.unwrap_or(Month::January) {
            Month::January => "date-jan",
            Month::February => "date-feb",
            Month::March => "date-mar",
            Month::April => "date-apr",
            Month::May => "date-may",
            Month::June => "date-jun",
            Month::July => "date-jul",
            Month::August => "date-aug",
            Month::September => "date-sep",
            Month::October => "date-oct",
            Month::November => "date-nov",
            Month::December => "date-dec",
        })
    }

    /// Name of the unit of [`Figures::speed`].
    pub(crate) fn speed_unit(&self) -> String {
        self.words.say(match self.units {
            Units::Us => "unit-speed-us",
            Units::Si => "unit-speed-si",
        })
    }

    /// Name of the unit of [`Figures::area`].
    pub(crate) fn area_unit(&self) -> String {
        self.words.say(match self.units {
            Units::Us => "unit-area-us",
            Units::Si => "unit-area-si",
        })
    }

    /// Name of the unit of [`Figures::length`].
    pub(crate) fn length_unit(&self) -> String {
        self.words.say(match self.units {
            Units::Us => "unit-length-us",
            Units::Si => "unit-length-si",
        })
    }

    fn distance_unit(&self) -> String {
        self.words.say(match self.units {
            Units::Us => "unit-distance-us",
            Units::Si => "unit-distance-si",
        })
    }
}

/// Local time of day; with the zone's short name in the hour that clocks repeat.
pub(crate) fn clock(zone: Tz, at: DateTime<Utc>) -> String {
    let local = at.with_timezone(&zone);
    match zone.from_local_datetime(&local.naive_local()) {
        LocalResult::Ambiguous(..) => local.format("%H:%M %Z").to_string(),
        _ => local.format("%H:%M").to_string(),
    }
}

/// Local times of begin and end.
pub(crate) fn clocks(zone: Tz, span: Span) -> String {
    format!("{}–{}", clock(zone, span.from), clock(zone, span.to))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOT_KNOWN: &str = "not known";

    fn us() -> Figures {
        Figures::new(Units::Us, Language::English)
    }

    // Every expected text was rounded by hand.
    #[test]
    fn rounding() {
        assert_eq!(us().significant(12_345.0, 3), "12,300");
        assert_eq!(us().significant(999.6, 3), "1,000");
        assert_eq!(us().significant(43.21, 3), "43.2");
        assert_eq!(us().significant(0.0, 3), "0");
        assert_eq!(us().significant(1e-9, 3), "under 0.001");
        assert_eq!(us().significant(1.234e12, 3), "1.23e12");
        assert_eq!(us().grouped(1_234_567), "1,234,567");
        assert_eq!(us().grouped(7), "7");
        assert_eq!(us().limit(1.50), "1.5");
        assert_eq!(us().limit(20.0), "20");
        assert_eq!(us().percent(1.0, 3.0), "33 %");
        assert_eq!(us().percent(1.0, 1000.0), "under 1 %");
        assert_eq!(us().percent(999.0, 1000.0), "over 99 %");
        assert_eq!(us().percent(5.0, 5.0), "100 %");
        assert_eq!(us().current(Amperes(9.96)), "10.0");
        assert_eq!(us().current(Amperes(128.3)), "128");
        assert_eq!(us().energy(Joules(15_800.0)), "16 kJ");
        assert_eq!(us().energy(Joules(9.4e6)), "9.40 MJ");
    }

    #[test]
    fn times() {
        assert_eq!(us().duration(Seconds(4.26)), "4.3 s");
        assert_eq!(us().duration(Seconds(14.4)), "14 s");
        assert_eq!(us().duration(Seconds(99.6)), "2 min");
        assert_eq!(us().duration(Seconds(3_599.0)), "1 h 00 min");
        assert_eq!(us().duration(Seconds(18_720.0)), "5 h 12 min");
        assert_eq!(us().hours_minutes(Seconds(3_540.0)), "0:59");
        assert_eq!(us().hours_minutes(Seconds(3_571.0)), "1:00");
        assert_eq!(us().hours_minutes(Seconds(12.0)), "<0:01");
        assert_eq!(us().hours_minutes(Seconds(0.0)), "0:00");
    }

    #[test]
    fn what_is_no_number_is_not_known() {
        for v in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(us().significant(v, 3), NOT_KNOWN);
            assert_eq!(us().duration(Seconds(v)), NOT_KNOWN);
            assert_eq!(us().speed(MetresPerSecond(v)), NOT_KNOWN);
        }
        assert_eq!(us().percent(0.0, 0.0), NOT_KNOWN);
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
