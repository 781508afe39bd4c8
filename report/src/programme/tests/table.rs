//! Rows for spreadsheets and JSON against the programme, on cases made by hand.

use super::super::table::{Told, to_csv, to_json};
use super::{Input, day, stay};
use crate::settings::Phase::Step;
use crate::settings::Site;

/// Names as a spreadsheet would compute them; two sections as in `rules`.
const SITE: &str = r#"
name = "Hall"
time_zone = "UTC"
shift = { start = "22:00", end = "06:00" }
[[section]]
id = "=1+1"
name = "@SUM(A1), \"quoted\""
area = "50 m2"
[[section]]
id = "B"
area = "50 m2"
"#;

fn told(check: impl Fn(Told<'_>)) {
    let mut first = stay(day(2), 0, Step(1), 50.0, 45.0);
    first.operators = vec!["-Ana".to_owned(), "Bo".to_owned()];
    let programme = Input::new(2, vec![first, stay(day(3), 0, Step(2), 15.0, 12.5)]).judge(day(3));
    let site = Site::parse("site.toml", SITE).unwrap();
    check(Told { programme: &programme, site: &site, machines: &[] });
}

#[test]
fn no_cell_of_the_table_is_a_formula() {
    told(|told| {
        let text = to_csv(told);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let head = reader.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 6, "two sections with three steps");
        for cell in rows.iter().flatten() {
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
        }
        let cell = |row: usize, name: &str| {
            let column = head.iter().position(|h| h == name).unwrap();
            rows[row].get(column).unwrap().to_owned()
        };
        assert_eq!(cell(0, "section"), "'=1+1");
        assert_eq!(cell(0, "name"), "'@SUM(A1), \"quoted\"");
        assert_eq!(cell(0, "operators"), "'-Ana; Bo");
        assert_eq!((cell(0, "in_band_min"), cell(0, "done")), ("45".into(), "2026-11-02".into()));
        assert_eq!(
            (cell(1, "in_band_min"), cell(1, "missing_min")),
            ("12.5".into(), "17.5".into())
        );
        assert_eq!((cell(1, "state"), cell(3, "state")), ("in work".into(), "waiting".into()));
        // 15 min at 0.5 m/s with 0.6 m on 50 m².
        assert_eq!((cell(1, "passes"), cell(1, "mean_speed_m_s")), ("5.4".into(), "0.5".into()));
    });
}

#[test]
fn json_says_what_the_programme_says() {
    told(|told| {
        let json: serde_json::Value = serde_json::from_str(&to_json(told)).unwrap();
        assert_eq!(json["date"], "2026-11-03");
        // 2 x 105 min, less 45 and 12.5.
        assert_eq!(json["missing_min"], 152.5);
        assert_eq!(json["areas"]["in_work_m2"], 50.0);
        assert_eq!(json["areas"]["restored_share"], 0.0);
        assert_eq!(json["finish"]["why_not"], "too few nights");
        assert_eq!(json["sections"][0]["id"], "=1+1");
        assert_eq!(
            (&json["sections"][0]["step"], &json["sections"][0]["missing_min"]),
            (&2.into(), &17.5.into())
        );
        assert_eq!(json["rate"]["in_band_min"]["mean"], 28.75);
    });
}
