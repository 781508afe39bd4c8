"""Every table in every format has the same rows, by whoever reads it.

The Parquet file as pyarrow reads it is the measure: its types are held against the
dictionary, and what DuckDB, polars and pyarrow read of each format against its values, bit
by bit. The messages of MCAP are the lines of the JSON lines, byte by byte.

    formats.py OUT [FOLDER...]
"""

import json
import sys
import time

from kit import FOLDERS, dictionary, exported, library, names, said, wrong

pa = library("pyarrow")
duckdb = library("duckdb")
polars = library("polars")
mcap = library("mcap.reader")

# Kinds of the dictionary in each library's words.
ARROW = {
    "timestamp (ms, UTC)": lambda: pa.timestamp("ms", "UTC"),
    "date": lambda: pa.date32(),
    "text": lambda: pa.string(),
    "word": lambda: pa.string(),
    "float 32": lambda: pa.float32(),
    "float 64": lambda: pa.float64(),
    "integer 64": lambda: pa.int64(),
    "boolean": lambda: pa.bool_(),
}
DUCKDB = {
    "timestamp (ms, UTC)": "TIMESTAMPTZ",
    "date": "DATE",
    "text": "VARCHAR",
    "word": "VARCHAR",
    "float 32": "FLOAT",
    "float 64": "DOUBLE",
    "integer 64": "BIGINT",
    "boolean": "BOOLEAN",
}


def arrow_schema(columns):
    # An instant of a log that lies may be missing anywhere.
    may = lambda c: c["may_be_missing"] or c["type"].startswith("timestamp")
    return pa.schema([pa.field(c["name"], ARROW[c["type"]](), may(c)) for c in columns])


def with_duckdb(path, form, columns):
    base = duckdb.connect()
    base.execute("SET TimeZone = 'UTC'")
    types = ", ".join(f"'{c['name']}': '{DUCKDB[c['type']]}'" for c in columns)
    source = {
        "parquet": f"read_parquet('{path}')",
        "csv": f"read_csv('{path}', header = true, columns = {{{types}}}, allow_quoted_nulls = false)",
        "jsonl": f"read_json('{path}', format = 'newline_delimited', columns = {{{types}}})",
    }[form]
    return base.sql(f"SELECT * FROM {source}").to_arrow_table()


def with_polars(path, form, columns):
    kinds = {
        "float 32": polars.Float32,
        "float 64": polars.Float64,
        "integer 64": polars.Int64,
        "boolean": polars.Boolean,
    }
    if form == "parquet":
        return polars.read_parquet(path).to_arrow()
    schema = {c["name"]: kinds.get(c["type"], polars.String) for c in columns}
    read = {"csv": polars.read_csv, "jsonl": polars.read_ndjson}[form]
    frame = read(path, schema=schema)
    of = lambda kind: [polars.col(c["name"]) for c in columns if c["type"] == kind]
    times = [column.str.to_datetime(time_unit="ms", time_zone="UTC") for column in of("timestamp (ms, UTC)")]
    days = [column.str.to_date() for column in of("date")]
    return frame.with_columns(*times, *days).to_arrow()


def with_pyarrow(path, form, columns):
    import pyarrow.csv
    import pyarrow.json
    import pyarrow.parquet

    schema = arrow_schema(columns)
    if form == "parquet":
        return pyarrow.parquet.read_table(path)
    if form == "csv":
        convert = pyarrow.csv.ConvertOptions(
            column_types=schema, strings_can_be_null=True, quoted_strings_can_be_null=False
        )
        parse = pyarrow.csv.ParseOptions(newlines_in_values=True)
        return pyarrow.csv.read_csv(path, convert_options=convert, parse_options=parse)
    if path.stat().st_size == 0:
        return schema.empty_table()
    options = pyarrow.json.ParseOptions(explicit_schema=schema, unexpected_field_behavior="error")
    # pyarrow reads dates of JSON as texts only.
    texts = [f if f.type != pa.date32() else pa.field(f.name, pa.string()) for f in schema]
    options.explicit_schema = pa.schema(texts)
    blocks = pyarrow.json.ReadOptions(block_size=1 << 24)
    return pyarrow.json.read_json(path, read_options=blocks, parse_options=options).cast(schema)


def unguarded(table, columns):
    """Texts by people without the apostrophe that keeps spreadsheets from computing them: it
    is taken off before =, +, -, @, a blank control, a digit, another one, or the end."""
    risky = "=+-@＝＋－＠\t\r\n'0123456789"
    plain = lambda text: text[1:] if text and text[0] == "'" and text[1:2] in ("", *risky) else text
    for place, column in enumerate(columns):
        if column["type"] == "text":
            texts = [plain(text) for text in table[column["name"]].to_pylist()]
            table = table.set_column(place, column["name"], pa.array(texts, pa.string()))
    return table


def compare(measure, table, who):
    """Names, types and every value."""
    if table.column_names != measure.column_names:
        wrong(f"{who}: columns {table.column_names}")
    table = table.cast(measure.schema.remove_metadata())
    if table.num_rows != measure.num_rows:
        wrong(f"{who}: {table.num_rows} rows instead of {measure.num_rows}")
    for name in measure.column_names:
        ours, theirs = measure[name].combine_chunks(), table[name].combine_chunks()
        if not ours.equals(theirs):
            pairs = zip(ours.to_pylist(), theirs.to_pylist())
            place, (a, b) = next((i, pair) for i, pair in enumerate(pairs) if pair[0] != pair[1])
            wrong(f"{who}: {name} of row {place} is {b!r} instead of {a!r}")


def of_table(folder, name, columns):
    """Compares one table; gives its rows and how often it was read."""
    import pyarrow.parquet

    path = lambda form: exported(folder, form) / f"{name}.{form}"
    file = pyarrow.parquet.ParquetFile(path("parquet"))
    if not file.schema_arrow.remove_metadata().equals(arrow_schema(columns)):
        wrong(f"{folder} {name}: schema {file.schema_arrow}")
    told = json.loads(file.schema_arrow.metadata[b"underbrush.columns"])
    if told != columns:
        wrong(f"{folder} {name}: the file's dictionary is another one")
    measure = file.read()
    for column in columns:
        if not column["may_be_missing"] and measure[column["name"]].null_count:
            wrong(f"{folder} {name}: {column['name']} is missing in some rows")
    times = 0
    for who, read, there in [
        ("pyarrow", with_pyarrow, pa),
        ("DuckDB", with_duckdb, duckdb),
        ("polars", with_polars, polars),
    ]:
        for form in ["parquet", "csv", "jsonl"] if there else []:
            table = read(path(form), form, columns)
            if form == "csv":
                table = unguarded(table, columns)
            compare(measure, table, f"{folder} {name} as {form} by {who}")
            times += 1
    return measure.num_rows, times


def messages(folder, name):
    """The messages of the MCAP file are the lines of the other, in time with their rows."""
    lines = (exported(folder, "jsonl") / f"{name}.jsonl").read_bytes().splitlines()
    count = 0
    with open(exported(folder, "mcap") / f"{name}.mcap", "rb") as file:
        # The package sorts by time; rows come in the order of the file.
        reader = mcap.NonSeekingReader(file)
        for schema, channel, message in reader.iter_messages(log_time_order=False):
            if message.data != lines[count]:
                wrong(f"{folder} {name}.mcap, message {count}: {message.data} {lines[count]}")
            if count % 1000 == 0:
                row = json.loads(message.data)
                topic = "/".join([name, *(row[k] for k in ("machine", "channel") if row.get(k))])
                if channel.topic != topic or schema.name != f"underbrush.{name}":
                    wrong(f"{folder} {name}.mcap: {channel.topic}, {schema.name}")
                if set(json.loads(schema.data)["properties"]) != set(row):
                    wrong(f"{folder} {name}.mcap: its schema has other columns")
            count += 1
    if count != len(lines):
        wrong(f"{folder} {name}.mcap: {count} messages, {len(lines)} lines")
    return count


def main():
    columns = dictionary()
    for folder in sys.argv[2:] or FOLDERS:
        begun = time.monotonic()
        if pa:
            found = {name: of_table(folder, name, columns[name]) for name in names(folder, "parquet")}
            rows = ", ".join(f"{name} {count}" for name, (count, _) in found.items())
            times = sum(times for _, times in found.values())
            said(f"{folder}: equal in {times} readings of the files; rows: {rows}", begun)
        if mcap:
            begun = time.monotonic()
            count = sum(messages(folder, name) for name in names(folder, "mcap"))
            said(f"{folder}: {count} messages of MCAP are the lines of JSON", begun)


main()
