//! The report against published values. Each source stands beside its check.

mod common;

use chrono::{DateTime, NaiveDate};
use common::{drive, fix, judge_dir, machine, site, write_archive};
use hdrhistogram::Histogram;
use underbrush_protocol::si::{Metres, MetresPerSecond, Seconds};
use underbrush_report::findings::{Overlap, SpeedHistogram};
use underbrush_report::settings::{Book, Site};
use underbrush_report::timeline::shift_of;

// Source: ASABE EP496 field capacity, C = v w e / 8.25 (mph, ft -> acres/h), by the table of
// Iowa State University Extension PM 696 (rev. April 2001): width ft, mph, efficiency, acres/h;
// and two examples of a published calculator. Efficiency is applied here: our rate is the
// theoretical one (no overlap, no stops).
#[test]
fn area_rate_of_extension_tables() {
    let acre = 4_046.856_422_4;
    let rows = [
        (40.0, 6.0, 0.70, 20.4, 0.05),
        (50.0, 6.0, 0.70, 25.5, 0.05),
        (10.0, 5.0, 0.63, 3.8, 0.05),
        (15.0, 5.0, 0.63, 5.7, 0.05),
        (15.0, 6.0, 0.63, 6.9, 0.05),
        (20.0, 6.0, 0.63, 9.2, 0.05),
        (30.0, 6.0, 0.60, 13.1, 0.05),
        (10.0, 4.0, 0.75, 3.64, 0.005),
        (12.0, 5.0, 0.80, 5.82, 0.005),
    ];
    for (width_ft, mph, efficiency, acres_per_hour, tolerance) in rows {
        let mut machine = machine();
        machine.deck.path_width = Metres(width_ft * 0.3048);
        let dir = tempfile::TempDir::new().unwrap();
        let mut entries = vec![fix(0)];
        entries.extend(drive(0, 60, (mph * 447.04_f64).round() as i32, 20));
        write_archive(dir.path(), 1, 1, &entries);
        let found = judge_dir(dir.path(), &machine, &site(), &Book::default());
        let rate = found.area.area_per_hour.unwrap().0 / acre * efficiency;
        assert!((rate - acres_per_hour).abs() <= tolerance, "{width_ft} ft at {mph} mph: {rate}");
    }
}

// Source: the same formula in metric units, C = v w e / 10 (km/h, m -> ha/h), by a published
// calculator (1.06 and 1.44 ha/h printed); a machining handbook's 20 ft, 6 mph, 0.82: 11.93 acres/h;
// 1 km/h x 1 m = 1000 m²/h, which is also the theoretical productivity of IEC 62885-9 (working width x
// working speed, no overlap, no stops; that formula from memory); 8.25 = 43 560 / 5280 exactly.
#[test]
fn area_rate_in_other_units() {
    let acre = 4_046.856_422_4;
    let rows = [
        (2.5, 5.0 / 3.6, 0.85 / 10_000.0, 1.0625, 0.002),
        (3.0, 6.0 / 3.6, 0.80 / 10_000.0, 1.44, 0.002),
        (20.0 * 0.3048, 6.0 * 0.447_04, 0.82 / acre, 11.93, 0.01),
        (1.0, 1.0 / 3.6, 1.0, 1000.0, 1.0),
        (8.25 * 0.3048, 0.447_04, 1.0 / acre, 1.0, 0.002),
    ];
    for (width_m, speed_m_s, per_unit, expected, tolerance) in rows {
        let mut machine = machine();
        machine.deck.path_width = Metres(width_m);
        let dir = tempfile::TempDir::new().unwrap();
        let mut entries = vec![fix(0)];
        entries.extend(drive(0, 60, (speed_m_s * 1000.0_f64).round() as i32, 20));
        write_archive(dir.path(), 1, 1, &entries);
        let found = judge_dir(dir.path(), &machine, &site(), &Book::default());
        let rate = found.area.area_per_hour.unwrap().0 * per_unit;
        assert!((rate - expected).abs() <= tolerance, "{width_m} m at {speed_m_s} m/s: {rate}");
        // No turn rate was read: the overlap is the machine file's, and said to be assumed.
        assert_eq!(found.area.overlap, Overlap::Assumed(0.1));
        let net = found.area.net_area() / found.area.swept_area;
        assert!((net - 0.9).abs() < 1e-12 && found.coverage.visits.is_empty());
    }
}

// Source: extension text "if you traveled between the stakes [88 ft apart] in 12 seconds, your
// average field speed was 5 mph".
#[test]
fn way_of_88_feet_in_12_seconds_at_5_mph() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 12, 2235, 20));
    let found = common::judge_entries(&entries);
    assert!((found.area.distance.0 - 88.0 * 0.3048).abs() < 0.01, "{:?}", found.area.distance);
}

// Source: the independent Python implementation (PyPI hdrhistogram 0.10.8), computed for these
// values and counts; T9 of its quirks: percentiles are the highest equivalent value.
#[test]
fn hdr_values_of_the_python_implementation() {
    let mut histogram = Histogram::<u64>::new_with_bounds(1, 3_600_000_000, 3).unwrap();
    let rows = [
        (0, 300),
        (250, 60),
        (500, 120),
        (1000, 600),
        (1001, 30),
        (2047, 60),
        (2048, 15),
        (2049, 15),
        (4097, 5),
    ];
    let mut speeds = SpeedHistogram::default();
    for (value, count) in rows {
        histogram.record_n(value, count).unwrap();
        speeds.add(MetresPerSecond(value as f64 / 1000.0), count);
    }
    let expected = [
        (0.10, 0),
        (0.25, 250),
        (0.50, 1000),
        (0.75, 1000),
        (0.90, 1001),
        (0.95, 2047),
        (0.99, 2049),
        (0.999, 4099),
        (1.0, 4099),
    ];
    for (share, mm_s) in expected {
        assert_eq!(histogram.value_at_quantile(share), mm_s);
        // Ours has the same resolution up to 4 m/s, so it gives the same.
        assert_eq!(
            speeds.quantile(share).unwrap(),
            MetresPerSecond(mm_s as f64 / 1000.0),
            "{share}"
        );
    }
    assert!((histogram.mean() - 755.029_045_643).abs() < 1e-6);
    assert!((speeds.mean().unwrap().0 - 0.755_029_045_643).abs() < 1e-9);
}

// Source: computed with numpy and both HDR implementations: 0 mm/s for 12 s, 400 for 30 s, 800
// for 45 s, 1200 for 3 s; mean x time must be the distance, 51.6 m.
#[test]
fn time_weights_give_the_distance() {
    let mut speeds = SpeedHistogram::default();
    for (mm_s, ms) in [(0.0, 12_000), (400.0, 30_000), (800.0, 45_000), (1200.0, 3_000)] {
        speeds.add(MetresPerSecond(mm_s / 1000.0), ms);
    }
    assert_eq!(speeds.total(), Seconds(90.0));
    assert_eq!(speeds.quantile(0.5), Some(MetresPerSecond(0.8)));
    assert!((speeds.mean().unwrap().0 * 90.0 - 51.6).abs() < 1e-9);
    let slow = speeds.between(MetresPerSecond(0.0), MetresPerSecond(0.4));
    assert_eq!(slow, Seconds(12.0), "the upper end is not in");
}

// Source: IANA tz database 2026, transitions of America/Chicago and Europe/Berlin, computed with
// Python zoneinfo (tzdata 2026.6).
#[test]
fn shifts_across_the_clock_changes_of_2026() {
    let rows = [
        ("America/Chicago", "2026-03-07", "2026-03-08T04:00:00Z", "2026-03-08T11:00:00Z"),
        ("America/Chicago", "2026-10-31", "2026-11-01T03:00:00Z", "2026-11-01T12:00:00Z"),
        ("Europe/Berlin", "2026-03-28", "2026-03-28T21:00:00Z", "2026-03-29T04:00:00Z"),
        ("Europe/Berlin", "2026-10-24", "2026-10-24T20:00:00Z", "2026-10-25T05:00:00Z"),
        ("America/Phoenix", "2026-11-01", "2026-11-02T05:00:00Z", "2026-11-02T13:00:00Z"),
        ("UTC", "2026-03-28", "2026-03-28T22:00:00Z", "2026-03-29T06:00:00Z"),
    ];
    for (zone, date, from, to) in rows {
        let text = common::SITE.replace("\"UTC\"", &format!("\"{zone}\""));
        let site = Site::parse("site.toml", &text).unwrap();
        let shift = shift_of(&site, date.parse::<NaiveDate>().unwrap()).unwrap();
        let utc = |t: &str| t.parse::<DateTime<chrono::Utc>>().unwrap();
        assert_eq!((shift.span.from, shift.span.to), (utc(from), utc(to)), "{zone} {date}");
    }
}

// Source: same; 01:30 occurs twice on 2026-11-01 in Chicago (1793514600 and 1793518200).
#[test]
fn a_shift_that_ends_in_the_doubled_hour_ends_at_its_second() {
    let text = common::SITE.replace("\"UTC\"", "\"America/Chicago\"").replace("06:00", "01:30");
    let site = Site::parse("site.toml", &text).unwrap();
    let shift = shift_of(&site, NaiveDate::from_ymd_opt(2026, 10, 31).unwrap()).unwrap();
    assert_eq!(shift.span.to.timestamp(), 1_793_518_200);
}
