//! Parquet and MCAP, read back by their own crates: the rows of JSON lines.

#[cfg(feature = "parquet")]
use crate::night::parsed;
use crate::night::{Row, TABLES, folder, printed, rows};
use serde_json::Value;
use std::path::Path;

#[cfg(feature = "parquet")]
fn parquet_rows(path: &Path) -> Vec<Row> {
    use chrono::{DateTime, Days, NaiveDate, SecondsFormat};
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;
    let value = |field: &Field| match field {
        Field::Null => Value::Null,
        Field::Bool(v) => (*v).into(),
        Field::Long(v) => (*v).into(),
        // As it is printed: the shortest number that reads back the same, 0.3 and not
        // 0.30000001192092896.
        Field::Float(v) => parsed(&v.to_string()).into(),
        Field::Double(v) => parsed(&v.to_string()).into(),
        Field::Str(v) => v.clone().into(),
        Field::Date(v) => {
            (NaiveDate::default() + Days::new(u64::try_from(*v).unwrap())).to_string().into()
        }
        Field::TimestampMillis(v) => {
            let at = DateTime::from_timestamp_millis(*v).unwrap();
            at.to_rfc3339_opts(SecondsFormat::Millis, true).into()
        }
        other => panic!("{other:?}"),
    };
    let reader = SerializedFileReader::new(std::fs::File::open(path).unwrap()).unwrap();
    let rows = reader.get_row_iter(None).unwrap();
    rows.map(|row| {
        let row = row.unwrap();
        row.get_column_iter().map(|(name, field)| (name.clone(), value(field))).collect()
    })
    .collect()
}

#[cfg(feature = "mcap")]
fn mcap_rows(path: &Path) -> Vec<Row> {
    let bytes = std::fs::read(path).unwrap();
    let messages = mcap::MessageStream::new(&bytes).unwrap();
    messages
        .map(|message| {
            let message = message.unwrap();
            let row: Row = serde_json::from_slice(&message.data).unwrap();
            let mut topic = message.channel.topic.split('/').skip(1);
            assert_eq!(row["machine"].as_str(), topic.next(), "{}", message.channel.topic);
            assert_eq!(row.get("channel").and_then(Value::as_str), topic.next());
            row
        })
        .collect()
}

fn assert_same(table: &str, ours: &[Row], theirs: &[Row]) {
    assert_eq!(ours.len(), theirs.len(), "{table}");
    for (a, b) in ours.iter().zip(theirs) {
        assert_eq!(a.len(), b.len(), "{table}");
        for (name, value) in a {
            let same = match (value.as_f64(), b[name].as_f64()) {
                (Some(a), Some(b)) => a.to_bits() == b.to_bits(),
                _ => *value == b[name],
            };
            assert!(same, "{table}.{name}: {value} {}", b[name]);
        }
    }
}

#[test]
fn the_rows_are_those_of_json_lines() {
    let dir = folder();
    for units in ["si", "us"] {
        // Once is enough for the long ones.
        for table in TABLES.into_iter().filter(|table| units == "si" || *table == "nights") {
            let lines = rows(dir.path(), &[table, "--units", units]);
            #[cfg(feature = "parquet")]
            {
                let file = format!("{table}-{units}.parquet");
                printed(dir.path(), &["export", table, "--units", units, "--out", &file]);
                assert_same(table, &lines, &parquet_rows(&dir.path().join(file)));
            }
            #[cfg(feature = "mcap")]
            {
                let file = format!("{table}-{units}.mcap");
                printed(dir.path(), &["export", table, "--units", units, "--out", &file]);
                assert_same(table, &lines, &mcap_rows(&dir.path().join(file)));
            }
        }
    }
}
