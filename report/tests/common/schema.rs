//! Holds JSON against a schema of `report/schema`: the part of JSON Schema that these use.
//! `tests/reference/schemas.py` does the same by the library `jsonschema`.

use serde_json::Value;
use std::path::Path;

/// Words of a schema that say nothing to a validator, or only of the form of a text.
const SILENT: [&str; 4] = ["$schema", "title", "description", "format"];

/// What is wrong with `json`, a line each; of this schema's file.
pub(crate) fn errors(schema: &str, json: &Value) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema").join(schema);
    let schema = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let mut found = Vec::new();
    check(&schema, json, "", &mut found);
    found
}

fn is(json: &Value, kind: &str) -> bool {
    match kind {
        "object" => json.is_object(),
        "array" => json.is_array(),
        "string" => json.is_string(),
        "boolean" => json.is_boolean(),
        "null" => json.is_null(),
        "number" => json.is_number(),
        "integer" => json.is_i64() || json.is_u64(),
        other => panic!("unknown type {other}"),
    }
}

fn check(schema: &Value, json: &Value, at: &str, found: &mut Vec<String>) {
    for (word, rule) in schema.as_object().unwrap() {
        let holds = match word.as_str() {
            word if SILENT.contains(&word) => true,
            "type" => match rule {
                Value::String(kind) => is(json, kind),
                kinds => {
                    let kinds = kinds.as_array().unwrap();
                    kinds.iter().any(|kind| is(json, kind.as_str().unwrap()))
                }
            },
            "const" => json == rule,
            "enum" => rule.as_array().unwrap().contains(json),
            "minimum" => json.as_f64().is_none_or(|value| value >= rule.as_f64().unwrap()),
            "minItems" => length(json).is_none_or(|n| n >= rule.as_u64().unwrap()),
            "maxItems" => length(json).is_none_or(|n| n <= rule.as_u64().unwrap()),
            "required" => {
                let keys = rule.as_array().unwrap();
                json.as_object().is_none_or(|object| {
                    keys.iter().all(|key| object.contains_key(key.as_str().unwrap()))
                })
            }
            "items" => {
                for (i, item) in json.as_array().into_iter().flatten().enumerate() {
                    check(rule, item, &format!("{at}/{i}"), found);
                }
                true
            }
            "properties" => {
                for (key, rule) in rule.as_object().unwrap() {
                    if let Some(part) = json.get(key) {
                        check(rule, part, &format!("{at}/{key}"), found);
                    }
                }
                true
            }
            "additionalProperties" => additional(schema, rule, json, at, found),
            other => panic!("the schema says {other}, which this test does not know"),
        };
        if !holds {
            found.push(format!("{at}: {word} {rule} against {json}"));
        }
    }
}

fn length(json: &Value) -> Option<u64> {
    json.as_array().map(|list| list.len() as u64)
}

fn additional(
    schema: &Value,
    rule: &Value,
    json: &Value,
    at: &str,
    found: &mut Vec<String>,
) -> bool {
    let known = schema.get("properties").and_then(Value::as_object);
    let Some(object) = json.as_object() else { return true };
    for (key, part) in object {
        if known.is_some_and(|known| known.contains_key(key)) {
            continue;
        }
        if *rule == Value::Bool(false) {
            found.push(format!("{at}/{key}: not in the schema"));
        } else {
            check(rule, part, &format!("{at}/{key}"), found);
        }
    }
    true
}
