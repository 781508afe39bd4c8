//! The tables' numbers against those of the sheet, of `underbrush events`, and paper.

use crate::common::drive;
use crate::night::{DAILY, LOG_MS, Row, STEP, columns, entries, folder, json, number, rows};
use chrono::{DateTime, Utc};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use underbrush_protocol::log::Entry;

const NIGHT: [&str; 2] = ["--shift", "2026-11-23"];

fn of_night(table: &str) -> [&str; 3] {
    [table, NIGHT[0], NIGHT[1]]
}

/// The findings of each machine, in the order of the nights.
fn findings(dir: &Path) -> Vec<(String, Value)> {
    let sheet = json(dir, &["sheet", "--json", "-", NIGHT[0], NIGHT[1]]);
    let nights = sheet["nights"].as_array().unwrap();
    let id = |night: &Value| night["machine"]["id"].as_str().unwrap().to_owned();
    nights.iter().map(|night| (id(night), night["findings"].clone())).collect()
}

/// A part of the findings. What is not known has neither parts nor a unit: `in_band: null`.
fn part<'a>(of: &'a Value, name: &str) -> Option<&'a Value> {
    let units = ["_s", "_m", "_m_s", "_m2"];
    let unknown = || {
        let stems = units.iter().filter_map(|unit| name.strip_suffix(unit));
        stems.filter_map(|stem| of.get(stem)).find(|value| value.is_null())
    };
    if of.is_null() { Some(of) } else { of.get(name).or_else(unknown) }
}

/// The part of the findings at a path.
fn at<'a>(findings: &'a Value, path: &str) -> &'a Value {
    path.split('.').fold(findings, |found, name| {
        part(found, name).unwrap_or_else(|| panic!("the sheet has no {path}"))
    })
}

/// The figure that a column says it equals.
fn figure(findings: &Value, path: &str, row: usize) -> Value {
    if let Some(list) = path.strip_prefix("count(").and_then(|path| path.strip_suffix(')')) {
        return at(findings, list).as_array().unwrap().len().into();
    }
    match path.split_once("[].") {
        Some((list, path)) => at(&at(findings, list)[row], path).clone(),
        None => at(findings, path).clone(),
    }
}

fn instant(value: &Value) -> DateTime<Utc> {
    DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap().to_utc()
}

/// Whether a value is that of the sheet, to the last bit.
fn assert_same(column: &Value, cell: &Value, figure: &Value) {
    let same = match (cell.as_f64(), figure.as_f64()) {
        (Some(cell), Some(figure)) => cell.to_bits() == (figure + 0.0).to_bits(),
        _ if column["type"] == "timestamp (ms, UTC)" => instant(cell) == instant(figure),
        _ => cell == figure,
    };
    assert!(same, "{}: {cell}, but the sheet has {figure}", column["name"]);
}

fn span_s(span: &Value) -> f64 {
    (instant(&span["to"]) - instant(&span["from"])).num_milliseconds() as f64 / 1000.0
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(1.0)
}

/// Columns whose figure is no single one of the sheet.
fn reckoned(column: &str, findings: &Value) -> Option<f64> {
    let spans = |list: &Value| list.as_array().unwrap().iter().map(span_s).sum::<f64>();
    let phases = |known: bool, names: &[&str]| {
        let phases = findings["speed"]["by_phase"].as_array().unwrap().iter();
        let phases = phases.filter(|phase| phase["band"].is_null() != known);
        phases
            .map(|phase| names.iter().map(|name| phase[name].as_f64().unwrap()).sum::<f64>())
            .sum()
    };
    let overlap = || {
        let overlap = findings["area"]["overlap"].as_object().unwrap();
        overlap.values().next().unwrap().as_f64().unwrap()
    };
    Some(match column {
        "gaps_s" => spans(&findings["data"]["gaps"]),
        "stationary_s" => {
            let events = findings["stationary"].as_array().unwrap();
            events.iter().map(|event| span_s(&event["span"])).sum()
        }
        "below_band_s" => phases(true, &["below_s"]),
        "in_band_s" => phases(true, &["within_s"]),
        "above_band_s" => phases(true, &["above_s"]),
        "no_band_s" => phases(false, &["below_s", "within_s", "above_s"]),
        "overlap_share" => overlap(),
        "net_area_m2" => findings["area"]["swept_area_m2"].as_f64().unwrap() * (1.0 - overlap()),
        _ => return None,
    })
}

#[test]
fn a_night_has_the_figures_of_its_sheet() {
    let dir = folder();
    let (nights, findings) = (rows(dir.path(), &of_night("nights")), findings(dir.path()));
    assert_eq!(nights.len(), 2);
    for (row, (machine, findings)) in nights.iter().zip(&findings) {
        assert_eq!(row["machine"], machine.as_str());
        for column in columns("nights", "si") {
            let name = column["name"].as_str().unwrap();
            if let Some(path) = column["equals"].as_str() {
                assert_same(&column, &row[name], &figure(findings, path, 0));
            } else if let Some(figure) = reckoned(name, findings) {
                assert!(close(number(row, name), figure), "{name}: {} {figure}", row[name]);
            } else {
                let known = ["machine", "overlap_measured"];
                assert!(known.contains(&name), "{name} is held against nothing");
            }
        }
        let measured = findings["area"]["overlap"].get("Measured").is_some();
        assert_eq!(row["overlap_measured"], measured);
    }
    assert!(number(&nights[0], "stationary_events") > 0.0 && nights[0]["gaps"] != 0);
}

#[test]
fn work_on_sections_has_the_figures_of_its_sheet() {
    let dir = folder();
    let (sections, findings) = (rows(dir.path(), &of_night("sections")), findings(dir.path()));
    let mut compared = 0;
    for (machine, findings) in &findings {
        let rows = sections.iter().filter(|row| row["machine"] == machine.as_str());
        let listed = findings["sections"].as_array().unwrap().len();
        assert_eq!(rows.clone().count(), listed);
        for (place, row) in rows.enumerate() {
            for column in columns("sections", "si") {
                let Some(path) = column["equals"].as_str() else { continue };
                let name = column["name"].as_str().unwrap();
                assert_same(&column, &row[name], &figure(findings, path, place));
                compared += 1;
            }
        }
    }
    assert!(compared >= 3 * 11, "{compared}");
    let places: Vec<(&Value, &Value, &Value, &Value)> = sections
        .iter()
        .map(|row| (&row["section"], &row["phase"], &row["step"], &row["told_by"]))
        .collect();
    let (none, step) = (Value::Null, Value::from("step"));
    let (a01, daily) = (Value::from("A-01"), Value::from("maintenance"));
    let (one, machine, nobody) = (Value::from(1), Value::from("machine"), Value::from("nobody"));
    assert_eq!(
        places,
        [
            (&a01, &step, &one, &machine),
            (&a01, &daily, &none, &machine),
            (&none, &none, &none, &nobody)
        ]
    );
    let grits: Vec<&Value> = sections.iter().map(|row| &row["grit"]).collect();
    assert_eq!(grits, [&Value::from("100"), &Value::from("1500"), &Value::Null]);
    assert_eq!(sections[0]["section_name"], "-Hall \"A\", north");
    // 575 sq ft, and 45 min that are not reached.
    assert!((number(&sections[0], "section_area_m2") - 53.419_248).abs() < 1e-9);
    assert_eq!(sections[0]["verdict"], "open");
    let missing = number(&sections[0], "missing_s");
    assert!((missing - (2700.0 - number(&sections[0], "in_band_s"))).abs() < 1e-6, "{missing}");
    // What nobody marked has no band and no area to compare with: unknown, not 0.
    for column in ["in_band_s", "passes", "section_area_m2", "missing_s", "confidence"] {
        assert_eq!(sections[2][column], Value::Null, "{column}");
    }
}

#[test]
fn events_are_those_of_the_list() {
    let dir = folder();
    let rows = rows(dir.path(), &of_night("events"));
    let list = json(dir.path(), &["events", "--json", NIGHT[0], NIGHT[1]]);
    let list = list["events"].as_array().unwrap();
    assert_eq!(rows.len(), list.len());
    for (row, event) in rows.iter().zip(list) {
        for (column, name) in [
            ("id", "id"),
            ("machine", "machine"),
            ("night", "night"),
            ("kind", "kind"),
            ("severity", "severity"),
            ("duration_s", "length_s"),
            ("cut_short", "cut_short"),
            ("section", "section"),
            ("motor", "motor"),
            ("figure_of", "figure"),
            ("figure", "figure_value"),
            ("figure_unit", "figure_unit"),
            ("limit", "limit"),
        ] {
            assert_eq!(row[column], event[name], "{column} of {}", row["id"]);
        }
        assert_eq!(instant(&row["from_utc"]), instant(&event["begin"]));
        assert_eq!(instant(&row["to_utc"]), instant(&event["end"]));
    }
    let of = |kind: &str| rows.iter().filter(|row| row["kind"] == kind).collect::<Vec<&Row>>();
    let (stops, loads) = (of("stationary"), of("over-pressure"));
    assert_eq!((stops.len(), loads.len()), (3, 1));
    // Stops of 4, 6 and 3 s, each one reading longer; 55 A on paper.
    for (stop, seconds) in stops.iter().zip([4.0, 6.0, 3.0]) {
        assert!((number(stop, "duration_s") - seconds - 0.1).abs() < 0.11, "{stop:?}");
        assert!(number(stop, "energy_j") > 0.0 && number(stop, "equivalent_passes") > 0.0);
        assert_eq!((&stop["peak_a"], &stop["ratio"]), (&Value::Null, &Value::Null));
    }
    assert!((number(loads[0], "peak_a") - 55.0).abs() < 1e-6);
    assert_eq!(loads[0]["energy_j"], Value::Null);
}

/// Steps are what the sheet is summed up from: sums of them are its figures, and paper's.
#[test]
fn steps_add_up_to_the_sheet() {
    let dir = folder();
    let steps = rows(dir.path(), &of_night("steps"));
    for (machine, findings) in findings(dir.path()) {
        let of_machine = steps.iter().filter(|row| row["machine"] == machine.as_str());
        let (mut recorded, mut observed, mut turning, mut in_band, mut way) = (0, 0, 0, 0, 0.0);
        for step in of_machine.filter(|row| row["in_shift"] == true) {
            let ms = step["ms"].as_i64().unwrap();
            recorded += ms;
            let speed = step["speed_m_s"].as_f64().map(f64::abs);
            way += speed.unwrap_or(0.0) * ms as f64 / 1000.0;
            let (Some(speed), Some(turns)) = (speed, step["brush_turning"].as_bool()) else {
                continue;
            };
            observed += ms;
            turning += if turns { ms } else { 0 };
            let band = step["band_low_m_s"].as_f64().zip(step["band_high_m_s"].as_f64());
            if turns && band.is_some_and(|(low, high)| speed >= low && speed <= high) {
                in_band += ms;
            }
        }
        let figure = |path: &str| at(&findings, path).as_f64().unwrap();
        let seconds = |ms: i64| ms as f64 / 1000.0;
        assert!(close(seconds(recorded), figure("data.recorded_s")), "{recorded}");
        assert!(close(seconds(observed), figure("data.observed_s")), "{observed}");
        assert!(close(seconds(turning), figure("area.brush_time_s")), "{turning}");
        assert!(close(seconds(in_band), reckoned("in_band_s", &findings).unwrap()), "{in_band}");
        // Speeds of 32 bits.
        assert!((way / figure("area.distance_m") - 1.0).abs() < 1e-6, "{way}");
        if machine == "T1" {
            // Each drive is one reading longer than its seconds; the first may lack one.
            let sum = |of: &dyn Fn(i32, i32) -> f64| -> f64 {
                let drives = STEP.iter().chain(&DAILY);
                drives.map(|(s, speed, current)| (*s as f64 + 0.1) * of(*speed, *current)).sum()
            };
            let paper_way = sum(&|speed, _| f64::from(speed).abs() / 1000.0);
            assert!((way - paper_way).abs() < 0.3, "{way} m, on paper {paper_way}");
            let paper_turning = sum(&|_, current| f64::from(u8::from(current > 2)));
            assert!((seconds(turning) - paper_turning).abs() < 0.6, "{turning} {paper_turning}");
            // 1 to 1.5 mph on the step, 2 to 3 in the daily run.
            let step: u64 =
                STEP.iter().filter(|(_, v, a)| v.abs() == 550 && *a > 2).map(|(s, ..)| s).sum();
            let paper_band = (step + DAILY[0].0) as f64;
            assert!((seconds(in_band) - paper_band).abs() < 1.5, "{in_band} {paper_band}");
        }
    }
}

/// Every reading of the log, as it came.
#[test]
fn readings_are_those_of_the_log() {
    let dir = folder();
    let rows = rows(dir.path(), &["readings", "--machine", "T1"]);
    let mut logged: Vec<(u64, u8, i32)> = entries()
        .iter()
        .filter_map(|entry| match entry {
            Entry::Reading(r) => Some((r.at.0, r.channel.0, r.raw)),
            Entry::Note(..) => None,
        })
        .collect();
    let channels = [("speed", 0.001, "m/s"), ("brush_current_1", 0.1, "A")];
    let channels = channels.iter().chain(&[("head_down", 1.0, "0/1"), ("channel_127", 1.0, "raw")]);
    let channels: Vec<&(&str, f64, &str)> = channels.collect();
    let numbers: BTreeSet<u8> = logged.iter().map(|(_, channel, _)| *channel).collect();
    assert_eq!(numbers.len(), channels.len());
    let mut seen: Vec<(u64, u8, i32)> = rows
        .iter()
        .map(|row| {
            let (name, step, unit) =
                channels.iter().find(|(name, ..)| row["channel"] == *name).unwrap();
            assert_eq!(row["unit"], *unit, "{name}");
            let at = row["boot_ms"].as_u64().unwrap();
            let utc = instant(&row["time_utc"]).timestamp_millis();
            assert_eq!(utc, crate::common::SHIFT_START + LOG_MS + at as i64);
            let channel = match *name {
                "channel_127" => 127,
                name => underbrush_protocol::channel::Channel::by_name(name).unwrap().0,
            };
            (at, channel, (number(row, "value") / step).round() as i32)
        })
        .collect();
    logged.sort_unstable();
    seen.sort_unstable();
    assert_eq!(seen, logged);
    // 550 mm/s is 0.55 m/s, not 0.55000001.
    let speeds = rows.iter().filter(|row| row["channel"] == "speed");
    let speeds: BTreeSet<String> = speeds.map(|row| row["value"].to_string()).collect();
    assert_eq!(
        speeds.into_iter().collect::<Vec<_>>(),
        ["-0.55", "0.0", "0.3", "0.55", "0.9", "1.1"]
    );
    assert_eq!(drive(0, 1, 0, 0).len(), 22);
}

#[test]
fn measured_lengths_are_those_of_the_book() {
    let dir = folder();
    let rows = rows(dir.path(), &["measurements"]);
    let of = |row: &Row| {
        let whole = |name: &str| row[name].as_i64();
        let mm = number(row, "length_m") * 1000.0;
        (
            row["date"].as_str().unwrap().to_owned(),
            whole("brush"),
            whole("quadrant"),
            (mm * 100.0).round(),
        )
    };
    let found: Vec<_> = rows.iter().map(of).collect();
    let day = |day: u32| format!("2026-11-{day:02}");
    assert_eq!(
        found,
        [
            (day(6), None, None, 2400.0),
            (day(13), Some(1), Some(1), 2000.0),
            (day(13), Some(1), Some(2), 2050.0),
            (day(13), Some(1), Some(3), 2100.0),
            (day(13), Some(1), Some(4), 2000.0),
            (day(20), Some(1), None, 1900.0),
            (day(21), None, None, 1778.0),
        ]
    );
    assert_eq!((&rows[0]["set"], &rows[0]["by"]), (&"=1+1, \"x\"".into(), &"A,\nB".into()));
    assert_eq!((&rows[6]["machine"], &rows[6]["by"]), (&Value::Null, &Value::Null));
}
