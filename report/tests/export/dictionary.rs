//! The data dictionary: every column says what it is, and `DATA.md` says the same.
//!
//! After a change of a column: `UPDATE_GOLDEN=1 cargo test -p underbrush-report --test
//! export dictionary`, then read the difference of `DATA.md`.

use crate::night::TABLES;
use std::collections::BTreeSet;
use std::path::PathBuf;
use underbrush_report::export::{Kind, Table, Unit, dictionary};
use underbrush_report::units::Units;

#[test]
fn the_page_has_the_columns_of_the_program() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("DATA.md");
    let mut page = std::fs::read_to_string(&path).unwrap();
    for table in Table::ALL {
        let begin = format!("<!-- columns of {} -->\n", table.name());
        let from = page.find(&begin).unwrap_or_else(|| panic!("{begin}")) + begin.len();
        let to = from + page[from..].find("<!-- end -->").unwrap();
        let columns = format!("\n{}\n", dictionary::markdown(table));
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            page.replace_range(from..to, &columns);
        } else {
            for (page, columns) in page[from..to].lines().zip(columns.lines()) {
                assert_eq!(page, columns, "{} in DATA.md", table.name());
            }
            assert_eq!(&page[from..to], columns, "{} in DATA.md", table.name());
        }
    }
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, page).unwrap();
    }
}

#[test]
fn every_column_says_what_it_is() {
    assert_eq!(Table::ALL.map(Table::name), TABLES);
    let suffixes = ["_m_s", "_mph", "_m2", "_sq_ft", "_ft", "_in", "_a", "_v", "_rpm", "_rad_s"];
    let suffixes: Vec<&str> = suffixes.into_iter().chain(["_percent", "_j", "_s", "_m"]).collect();
    for table in Table::ALL {
        for units in [Units::Si, Units::Us] {
            let mut names = BTreeSet::new();
            for column in table.columns() {
                let name = column.name(units);
                let said = format!("{}.{name}", table.name());
                assert!(!column.meaning.is_empty() && !column.source.is_empty(), "{said}");
                assert!(!column.meaning.ends_with('.') && !column.missing.ends_with('.'), "{said}");
                // What may be missing is said where it is missing, not in the meaning.
                assert!(!column.meaning.contains("; missing"), "{said}");
                assert!(names.insert(name.clone()), "{said} is there twice");
                let (unit, suffix) = column.unit.names(units);
                let ended = suffixes.iter().find(|suffix| name.ends_with(*suffix));
                assert_eq!(ended.copied().unwrap_or(""), suffix, "{said}");
                assert_eq!(unit.is_empty(), column.unit == Unit::None, "{said}");
                if matches!(column.kind, Kind::Text | Kind::Word | Kind::Flag | Kind::Date) {
                    assert_eq!(column.unit, Unit::None, "{said}");
                }
            }
            let schema = dictionary::json_schema(table, units);
            let keys: BTreeSet<String> =
                schema["properties"].as_object().unwrap().keys().cloned().collect();
            assert_eq!(keys, names);
        }
        let (text, page) = (dictionary::text(Units::Si), dictionary::markdown(table));
        for column in table.columns() {
            let name = column.name(Units::Si);
            assert!(text.contains(&format!("    {name}: ")), "{name}");
            assert!(page.contains(&format!("`{name}`")), "{name}");
            assert!(
                text.contains(column.meaning) && text.contains(&column.missing.replace('`', ""))
            );
        }
    }
}
