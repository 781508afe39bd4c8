//! The data dictionary: what every column is, as text, JSON, a page and a schema.

use super::column::{Column, Kind};
use super::tables::Table;
use crate::units::Units;
use serde_json::{Map, Value, json};
use std::fmt::Write;

/// Everything as text for a terminal.
pub fn text(units: Units) -> String {
    let mut out = String::new();
    for table in Table::ALL {
        // Writing into text cannot fail.
        let _ = writeln!(out, "{}\n    {}\n", table.name(), table.says());
        for column in table.columns() {
            let unit = column.unit.names(units).0;
            let kind = column.kind.name();
            let always = if column.always() { "" } else { ", may be missing" };
            let unit = if unit.is_empty() { String::new() } else { format!(", {unit}") };
            let _ = writeln!(out, "    {}: {kind}{unit}{always}", column.name(units));
            let _ = writeln!(out, "        {}.", column.meaning);
            for (head, said) in [
                ("Values", column.range),
                ("Missing", column.missing),
                ("Of the sheet", column.equals),
                ("From", column.source),
            ] {
                if !said.is_empty() {
                    let _ = writeln!(out, "        {head}: {}", said.replace('`', ""));
                }
            }
        }
        out.push('\n');
    }
    out
}

/// The columns of one table as JSON.
pub fn json_of(table: Table, units: Units) -> Value {
    let given = |text: &str| (!text.is_empty()).then(|| text.replace('`', ""));
    let column = |column: &Column| {
        json!({
            "name": column.name(units),
            "type": column.kind.name(),
            "unit": given(column.unit.names(units).0),
            "may_be_missing": !column.always(),
            "missing": given(column.missing),
            "range": given(column.range),
            "meaning": column.meaning,
            "equals": given(column.equals),
            "source": given(column.source),
        })
    };
    table.columns().iter().map(column).collect()
}

/// Everything as JSON.
pub fn json(units: Units) -> Value {
    let table = |table: Table| json!({ "table": table.name(), "rows": table.says(), "columns": json_of(table, units) });
    json!({
        "program": concat!("underbrush ", env!("CARGO_PKG_VERSION")),
        "tables": Table::ALL.map(table),
    })
}

/// The JSON schema of one row.
pub fn json_schema(table: Table, units: Units) -> Value {
    let property = |column: &Column| {
        let (kind, format) = match column.kind {
            Kind::Time => ("string", Some("date-time")),
            Kind::Date => ("string", Some("date")),
            Kind::Text | Kind::Word => ("string", None),
            Kind::Float | Kind::Double => ("number", None),
            Kind::Whole => ("integer", None),
            Kind::Flag => ("boolean", None),
        };
        let kind = if column.required() { json!(kind) } else { json!([kind, "null"]) };
        let mut about = Map::new();
        about.insert("type".to_owned(), kind);
        if let Some(format) = format {
            about.insert("format".to_owned(), format.into());
        }
        about.insert("description".to_owned(), column.meaning.into());
        (column.name(units), Value::Object(about))
    };
    let names: Vec<String> = table.columns().iter().map(|column| column.name(units)).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format!("underbrush.{}", table.name()),
        "type": "object",
        "properties": table.columns().iter().map(property).collect::<Map<_, _>>(),
        "required": names,
    })
}

/// The columns of one table as a table of a Markdown page.
pub fn markdown(table: Table) -> String {
    let mut out = format!("{}\n\n", table.says());
    out.push_str("| Column | Unit | Type | Meaning | Missing | Of the sheet | From |\n");
    out.push_str("| --- | --- | --- | --- | --- | --- | --- |\n");
    for column in table.columns() {
        let (si, us) = (column.name(Units::Si), column.name(Units::Us));
        let name = if si == us { format!("`{si}`") } else { format!("`{si}` (`{us}`)") };
        let (si, us) = (column.unit.names(Units::Si).0, column.unit.names(Units::Us).0);
        let unit = if si == us { si.to_owned() } else { format!("{si} ({us})") };
        let range = column.range;
        let says = if range.is_empty() { String::new() } else { format!(": {range}") };
        let says = format!("{}{says}", column.meaning);
        let missing = if column.always() { "never" } else { column.missing };
        let figure = column.equals;
        let figure = if figure.is_empty() { String::new() } else { format!("`{figure}`") };
        let cells = [&name, &unit, column.kind.name(), &says, missing, &figure, column.source];
        // Writing into text cannot fail.
        let _ = writeln!(out, "| {} |", cells.join(" | ").replace("|  |", "| |"));
    }
    out
}
