//! The table against the TOML it stands for, and against what spreadsheets make of it.

use super::guard::{guarded, unguarded};
use super::{to_table, to_toml, when};
use crate::settings::Book;
use crate::settings::book::Lengths;
use proptest::prelude::*;
use underbrush_protocol::si::Metres;

/// One of each entry with all its keys, and texts that spreadsheets like to take for their own.
const BOOK: &str = r#"
[[tool]]
fitted = 2026-11-02
grit = "0100"
set = "1-2"
length = "0.9 in"
removed = 2026-11-20
machine = "m-1"
by = "=cmd|' /C calc'!A0"
[[measured]]
date = 2026-11-06
length = "0.85 in"
brush = 2
set = "1-2"
[[measured]]
date = 2026-11-07
lengths = ["0.85 in", "0.84 in"]
[[measured]]
date = "2026-11-08"
quadrants = [["21 mm", "20 mm", "22 mm", "21 mm"], ["23 mm", "2.4 cm", "23 mm", "23 mm"]]
[[begun]]
at = 2026-11-23T22:05:00
section = "A-01"
phase = "step 1"
[[crew]]
date = 2026-11-23
name = "+Zoë \"Quick\" Müller; the 2nd"
[[crew]]
date = 2026-11-23
name = "@home"
[[check]]
date = 2026-11-23
what = "filter"
result = "bad"
text = "-torn,\nleft side"
[[plan]]
date = 2026-11-24
section = "B"
phase = "maintenance"
[[plan]]
date = 2026-11-24
section = "A"
phase = "step 2"
[[done]]
date = 2026-11-22
section = "A"
phase = "step 1"
[[remark]]
date = 2026-11-23
text = "'quoted' \\ \tback, ünïcode 漢字\n\nand ''"
[[remark]]
date = 2026-11-23
text = ""
"#;

fn without_lines(book: &Book) -> String {
    let text = format!("{book:?}");
    let parts =
        text.split("line: ").map(|part| part.trim_start_matches(|c: char| c.is_ascii_digit()));
    parts.collect()
}

fn read(csv: &str) -> Book {
    let (book, wrong) = Book::check("book.csv", csv);
    assert!(wrong.is_empty(), "{wrong:?}\n{csv}");
    book
}

#[test]
fn there_and_back_is_the_same() {
    let book = Book::parse("book.csv", &to_toml("book.csv", "entry,date\n").toml).unwrap();
    assert!(book.tool.is_empty());
    let mut whole = Book::parse("book.toml", BOOK).unwrap();
    whole.file = "book.csv".to_owned();
    for separator in [b',', b';', b'\t'] {
        let csv = to_table("book.toml", BOOK, separator).unwrap();
        for text in [
            csv.clone(),
            format!("\u{feff}{csv}"),
            format!("sep=;\r\n{csv}"),
            csv.replace("\r\n", "\n"),
        ] {
            assert_eq!(without_lines(&read(&text)), without_lines(&whole), "{text}");
        }
    }
}

#[test]
fn no_cell_begins_like_a_formula() {
    let csv = to_table("book.toml", BOOK, b',').unwrap();
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(csv.as_bytes());
    let mut cells = 0;
    for record in reader.records().map(Result::unwrap) {
        for cell in &record {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']), "{cell}");
            cells += 1;
        }
    }
    assert_eq!(cells, 18 * 14);
}

proptest! {
    #[test]
    fn any_text_comes_back(text in "[ -~äöü漢'=+@\\-\t\n0-9]{0,12}") {
        let kept = guarded(&text);
        prop_assert_eq!(unguarded(&kept), &text);
        prop_assert!(!kept.starts_with(['=', '+', '-', '@', '\t', '\n']));
        let toml = format!("[[remark]]\ndate = 2026-11-23\ntext = {}\n", super::read::quoted(&text));
        let csv = to_table("f", &toml, b',').unwrap();
        prop_assume!(!text.trim().is_empty() || text.is_empty());
        prop_assert_eq!(&read(&csv).remark[0].text, &text);
    }

    #[test]
    fn any_table_is_read_without_panic(text in "(entry|date|tool|,|;|\"|\n|'|=|2026-11-23|[ -~]){0,60}") {
        let _ = Book::check("book.csv", &text);
    }
}

#[test]
fn what_a_spreadsheet_makes_of_it() {
    let csv = "Entry;Date;Time;Section;Phase;Length;Brush;Lengths;Text;;\r\n\
               measured;23.11.2026;;;;0,93 in;1;;;;\r\n\
               ;;;;;;;;;;\r\n\
               # a note;;;;;;;;;;\r\n\
               begun;11/23/2026;10:05:00 PM;A-01;Step 1;;;;;;\r\n\
               measured;2026/11/24;;;;;;0,93 in / 0,9 in;;;\r\n\
               remark;23/11/2026;;;;;;;\"two\nlines; one\";;\r\n\
               remark;2026-11-24;;;;;;;=1+1;;\r\n";
    let book = read(csv);
    assert_eq!(book.measured[0].found, Lengths::Brush(0, Metres(0.93 * 0.0254)));
    assert_eq!(book.begun[0].at.to_string(), "2026-11-23 22:05:00");
    assert_eq!(book.measured[1].date.to_string(), "2026-11-24");
    let remarks: Vec<_> = book.remark.iter().map(|r| (r.line, r.text.as_str())).collect();
    assert_eq!(remarks, [(7, "two\nlines; one"), (9, "=1+1")], "lines of the table");
}

#[test]
fn what_is_wrong_is_told_with_its_row() {
    let csv = "entry,date,tiem,section,phase,length,grit\n\
               remrk,2026-11-23,,,,,\n\
               done,11/12/2026,,A,step 1,,\n\
               done,46000,,A,step 1,,\n\
               done,2026-11-23,,A,stop 1,,\n\
               measured,2026-11-23,,,,5,\n\
               measured,2026-11-23,,,,5 in,7\n\
               done,2026-11-23,,A,step 1,,,more\n\
               begun,2026-11-23,,A,step 1,,\n";
    let (_, wrong) = Book::check("book.csv", csv);
    let told: Vec<String> = wrong.iter().map(ToString::to_string).collect();
    let parts = [
        "line 1: column tiem is not one of a shift book; did you mean time?",
        "line 2, key `entry`: entry remrk is not one of tool, ",
        "line 3, key `date`: `11/12/2026` may be day and month or month and day",
        "line 4, key `date`: `46000` is not a date",
        "line 5, key `done.phase`: `stop 1` is no phase",
        "line 6, key `measured.length`: `5` needs a unit",
        "line 7, key `measured.grit`: unknown key `grit`",
        "line 8: cell 8 has `more`, but no column name",
        "line 9, key `time`: the time is missing",
    ];
    assert_eq!(told.len(), parts.len(), "{told:#?}");
    for (told, part) in told.iter().zip(parts) {
        assert!(told.starts_with(&format!("book.csv, {part}")), "{told}");
    }
}

#[test]
fn dates_are_taken_by_one_rule() {
    let day = |text: &str| when::date(text).map(|date| date.to_string());
    for text in
        ["2026-11-23", "11/23/2026", "23/11/2026", "23.11.2026", "23-11-2026", " 2026/11/23"]
    {
        assert_eq!(day(text).as_deref(), Ok("2026-11-23"), "{text}");
    }
    assert_eq!(day("11/11/2026").as_deref(), Ok("2026-11-11"));
    assert_eq!(day("1.2.2026").as_deref(), Ok("2026-02-01"), "with dots the day is first");
    for text in ["1/2/2026", "11/23/26", "45000", "", "2026-13-01", "13/13/2026", "soon", "2026-11"]
    {
        assert!(day(text).is_err(), "{text}");
    }
    assert_eq!(when::time("9:05 pm").unwrap().to_string(), "21:05:00");
    assert!(when::time("25:00").is_err());
}
