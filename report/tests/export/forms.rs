//! The forms of a table: CSV beside JSON lines, empty cells, quotes, units.

use crate::night::{Row, TABLES, columns, folder, number, parsed, printed, rows};
use serde_json::Value;

/// A cell of CSV as the value that it stands for.
fn value(cell: &str, column: &Value) -> Value {
    let kind = column["type"].as_str().unwrap();
    match kind {
        _ if cell.is_empty() && !matches!(kind, "text" | "word") => Value::Null,
        "float 32" | "float 64" => parsed(cell).into(),
        "integer 64" => cell.parse::<i64>().unwrap().into(),
        "boolean" => cell.parse::<bool>().unwrap().into(),
        _ => cell.into(),
    }
}

/// As in the shift book; a whole number as people write it needs no guard.
fn is_guarded(text: &str) -> bool {
    if text.parse::<u32>().is_ok_and(|number| number.to_string() == text) {
        return false;
    }
    text.starts_with(['=', '-', '+', '@']) || text.starts_with(|c: char| c.is_ascii_digit())
}

#[test]
fn csv_has_the_rows_of_json_lines() {
    let dir = folder();
    for table in TABLES {
        let rows: Vec<Row> = rows(dir.path(), &[table]);
        let text = printed(dir.path(), &["export", table, "--out", "-"]);
        assert_eq!(
            text.matches("\r\n").count(),
            rows.len() + 1,
            "{table}: lines end as RFC 4180 says"
        );
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let head: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
        let columns = columns(table, "si");
        let names: Vec<&str> = columns.iter().map(|c| c["name"].as_str().unwrap()).collect();
        assert_eq!(head, names, "{table}");
        let records: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().unwrap();
        assert_eq!(records.len(), rows.len(), "{table}");
        for (record, row) in records.iter().zip(&rows) {
            assert_eq!(row.keys().collect::<Vec<_>>().len(), names.len());
            for ((cell, name), column) in record.iter().zip(&names).zip(&columns) {
                let json = &row[*name];
                let same = match json {
                    Value::Null => cell.is_empty(),
                    Value::Number(number) => value(cell, column).as_f64() == number.as_f64(),
                    Value::String(text) if column["type"] == "text" && is_guarded(text) => {
                        cell == format!("'{text}")
                    }
                    json => value(cell, column) == *json,
                };
                assert!(same, "{table}.{name}: {cell} is not {json}");
                let always = column["may_be_missing"] == false;
                assert!(!(always && json.is_null()), "{table}.{name} is missing");
            }
        }
    }
}

#[test]
fn texts_are_quoted_and_no_formula() {
    let dir = folder();
    let text = printed(dir.path(), &["export", "measurements", "--out", "-"]);
    assert!(text.contains("T1,2026-11-06,\"'=1+1, \"\"x\"\"\",,,0.024,\"A,\nB\"\r\n"), "{text}");
    let text = printed(dir.path(), &["export", "sections", "--out", "-"]);
    assert!(text.contains(",\"'-Hall \"\"A\"\", north\","), "{text}");
    // An empty unit is a text of no letters; an unknown value is nothing.
    let text = printed(dir.path(), &["export", "events", "--out", "-"]);
    let json = rows(dir.path(), &["events"]);
    let bare = json.iter().filter(|row| row["figure_unit"] == "").count();
    assert_eq!(text.matches(",\"\",").count(), bare);
}

/// -0 is a number that sums of nothing can have, and that people read as an error.
#[test]
fn there_is_no_negative_zero() {
    let dir = folder();
    for table in TABLES {
        let csv = printed(dir.path(), &["export", table, "--out", "-"]);
        assert!(csv.lines().all(|line| line.split(',').all(|cell| cell != "-0")), "{table}: {csv}");
        let jsonl = printed(dir.path(), &["export", table, "--format", "jsonl", "--out", "-"]);
        assert!(!jsonl.contains(":-0,") && !jsonl.contains(":-0}"), "{table}");
    }
    // The second machine had no gap and no stop: sums of nothing.
    let nights = printed(dir.path(), &["export", "nights", "--machine", "T2", "--out", "-"]);
    let mut lines = nights.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let (head, night) = (lines.next().unwrap(), lines.next().unwrap());
    for column in ["gaps_s", "stationary_s", "below_band_s", "above_band_s"] {
        let place = head.iter().position(|name| *name == column).unwrap();
        assert_eq!(night[place], "0.0", "{column}");
    }
}

/// Exact by the international foot and mile of 1959.
const US: [(&str, &str, f64); 4] = [
    ("_m_s", "_mph", 0.447_04),
    ("_m2", "_sq_ft", 0.092_903_04),
    ("_m", "_ft", 0.3048),
    ("_s", "_s", 1.0),
];

#[test]
fn units_of_people_end_the_names_and_convert() {
    let dir = folder();
    let mut compared = 0;
    for table in TABLES {
        let (si, us) = (rows(dir.path(), &[table]), rows(dir.path(), &[table, "--units", "us"]));
        assert_eq!(si.len(), us.len());
        let both = columns(table, "si").into_iter().zip(columns(table, "us"));
        for (si_column, us_column) in both {
            let names = (si_column["name"].as_str().unwrap(), us_column["name"].as_str().unwrap());
            let inches = names.1.ends_with("_in");
            let known =
                US.iter().find(|(si, us, _)| names.0.ends_with(si) && names.1.ends_with(us));
            let factor = if inches { 0.0254 } else { known.map_or(1.0, |(.., factor)| *factor) };
            if !inches && known.is_none() {
                assert_eq!(names.0, names.1);
            }
            let speed = |row: &Row| names.0 == "value" && row["unit"] == "m/s";
            for (a, b) in si.iter().zip(&us).filter(|(a, _)| a[names.0].is_f64()) {
                let factor = if speed(a) { 0.447_04 } else { factor };
                let (a_value, b_value) = (number(a, names.0), number(b, names.1) * factor);
                let same = (a_value - b_value).abs() <= 2e-7 * a_value.abs();
                assert!(same, "{table}.{}: {a_value} {b_value}", names.1);
                assert!(!speed(a) || b["unit"] == "mph");
                compared += usize::from((factor - 1.0).abs() > 1e-9);
            }
        }
    }
    assert!(compared > 20_000, "{compared}");
    // People's units are those of the site file: us, unless it says otherwise.
    let people = printed(dir.path(), &["export", "nights", "--units", "people", "--out", "-"]);
    let us = printed(dir.path(), &["export", "nights", "--units", "us", "--out", "-"]);
    assert_eq!(people, us);
}
