//! The JSON schemas against the parsers: the same keys in every table, both ways, and the
//! same required ones.
//!
//! What a parser knows it tells itself: an unknown key is answered with the list of keys.

use std::collections::BTreeSet;
use std::path::Path;
use underbrush_protocol::settings::Machine;
use underbrush_report::settings::{Book, Site};

type Json = serde_json::Value;

fn schema(name: &str) -> Json {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema").join(name);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn errors(name: &str, text: &str) -> Vec<String> {
    let told = match name {
        "site.json" => Site::check("f", text).1,
        "machine.json" => Machine::check("f", text).1,
        _ => Book::check("f", text).1,
    };
    told.iter().map(ToString::to_string).collect()
}

/// A key that is like no other, so that the parser lists what it has.
const NONE: &str = "qqqqqqqqqqqqqqqqqqqqqqqq";

fn known_to_parser(name: &str, table: &str) -> BTreeSet<String> {
    let text = format!("{table}\n{NONE} = 1\n");
    let told = errors(name, &text);
    let listed = told.iter().find(|line| line.contains(&format!("unknown key `{NONE}`")));
    let listed = listed.unwrap_or_else(|| panic!("{name} {table}: {told:?}"));
    let (_, list) = listed.split_once("; there are ").unwrap_or_else(|| panic!("{listed}"));
    list.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn keys(object: &Json) -> BTreeSet<String> {
    assert_eq!(object["additionalProperties"], false);
    object["properties"].as_object().unwrap().keys().cloned().collect()
}

#[test]
fn schema_and_parser_have_the_same_keys() {
    let mut tables = 0;
    for name in ["site.json", "machine.json", "book.json"] {
        let schema = schema(name);
        assert_eq!(known_to_parser(name, ""), keys(&schema), "{name}");
        for (key, part) in schema["properties"].as_object().unwrap() {
            let (object, table) = match part["type"].as_str() {
                Some("object") => (part, format!("[{key}]")),
                Some("array") if part["items"]["type"] == "object" => {
                    (&part["items"], format!("[[{key}]]"))
                }
                _ => continue,
            };
            assert_eq!(known_to_parser(name, &table), keys(object), "{name} {table}");
            tables += 1;
        }
    }
    assert_eq!(tables, 31, "tables looked at");
}

#[test]
fn what_is_required_is_missed() {
    let mut tables = 0;
    for name in ["site.json", "machine.json", "book.json"] {
        for (key, part) in schema(name)["properties"].as_object().unwrap() {
            let list = part["type"] == "array";
            let object = if list { &part["items"] } else { part };
            let Some(required) = object["required"].as_array() else { continue };
            let table = if list { format!("[[{key}]]") } else { format!("[{key}]") };
            let told = errors(name, &format!("{table}\n"));
            let missing = told.iter().find(|line| line.contains("is missing"));
            let missing = missing.unwrap_or_else(|| panic!("{name} {table}: {told:?}"));
            let found = required.iter().any(|r| {
                missing.contains(&format!("the key `{}` is missing", r.as_str().unwrap()))
            });
            assert!(found, "{name} {table}: {missing}");
            tables += 1;
        }
    }
    assert!(tables > 15, "{tables}");
}
