"""The figures of the tables are those of the sheet, and steps and events add up to them.

What a column of `nights` and `sections` says it equals is looked up in the JSON behind the
sheet, to the last bit. The sums are made by DuckDB in SQL and by polars from the Parquet files.
"""

import datetime
import time

from kit import FOLDERS, dictionary, exported, findings, library, said, wrong

duckdb = library("duckdb")
polars = library("polars")

IN_BAND = "brush_turning AND band_low_m_s IS NOT NULL AND abs(speed_m_s) BETWEEN band_low_m_s AND band_high_m_s"
OBSERVED = "brush_turning IS NOT NULL AND speed_m_s IS NOT NULL"
STEPS = f"""
    SELECT machine, night,
        sum(ms) / 1000.0 AS recorded_s,
        sum(ms) FILTER ({OBSERVED}) / 1000.0 AS observed_s,
        sum(ms) FILTER ({OBSERVED} AND brush_turning) / 1000.0 AS brush_time_s,
        coalesce(sum(ms) FILTER ({IN_BAND}), 0) / 1000.0 AS in_band_s,
        sum(abs(speed_m_s)::DOUBLE * ms) / 1000.0 AS distance_m
    FROM read_parquet('{{}}') WHERE in_shift GROUP BY ALL
"""
EVENTS = """
    SELECT machine, night,
        count(*) FILTER (kind = 'stationary') AS stationary_events,
        coalesce(sum(duration_s) FILTER (kind = 'stationary'), 0) AS stationary_s,
        count(*) FILTER (kind = 'stall') AS stalls,
        count(*) FILTER (kind = 'over-pressure') AS over_pressure
    FROM read_parquet('{}') GROUP BY ALL
"""
SECTIONS = f"""
    SELECT machine, night, section, phase, step,
        sum(ms) FILTER ({OBSERVED} AND brush_turning) / 1000.0 AS brush_time_s,
        sum(ms) FILTER ({IN_BAND}) / 1000.0 AS in_band_s
    FROM read_parquet('{{}}') WHERE in_shift GROUP BY ALL
"""


def rows_of(query, path):
    """By DuckDB, as {(machine, night): {column: value}}."""
    found = duckdb.connect().execute(query.format(path))
    names = [column[0] for column in found.description]
    rows = [dict(zip(names, row)) for row in found.fetchall()]
    return {(row["machine"], str(row["night"])): row for row in rows}


def polars_steps(path):
    col = polars.col
    speed = col("speed_m_s").cast(polars.Float64).abs()
    observed = col("brush_turning").is_not_null() & col("speed_m_s").is_not_null()
    turning = observed & col("brush_turning")
    low, high = (col("band_low_m_s"), col("band_high_m_s"))
    seconds = lambda where: col("ms").filter(where).sum() / 1000
    frame = polars.scan_parquet(path).filter("in_shift").group_by("machine", "night")
    frame = frame.agg(
        recorded_s=col("ms").sum() / 1000,
        observed_s=seconds(observed),
        brush_time_s=seconds(turning),
        in_band_s=seconds(turning & speed.is_between(low, high)),
        distance_m=(speed * col("ms")).sum() / 1000,
    )
    return {(row["machine"], str(row["night"])): row for row in frame.collect().to_dicts()}


def part(found, path):
    """A part of the findings; what is not known has no unit: `in_band: null`."""
    for name in path.split("."):
        if found is None:
            return None
        if name in found:
            found = found[name]
            continue
        stems = [name.removesuffix(unit) for unit in ("_m_s", "_m2", "_s", "_m")]
        if not any(stem != name and stem in found and found[stem] is None for stem in stems):
            wrong(f"the sheet has no {path}")
        found = None
    return found


def figure(found, path, row=0):
    if path.startswith("count("):
        return len(part(found, path[6:-1]))
    if "[]." in path:
        listed, path = path.split("[].")
        return part(part(found, listed)[row], path)
    return part(found, path)


def same(cell, figure):
    if isinstance(cell, datetime.datetime):
        return cell == datetime.datetime.fromisoformat(figure)
    if isinstance(cell, datetime.date):
        return str(cell) == figure
    return cell == figure


def close(a, b):
    return abs(a - b) <= 1e-9 * max(1.0, abs(b))


def sum_of(found, key):
    """What the sheet's JSON gives for a sum."""
    phases = found["speed"]["by_phase"]
    length = lambda span: (
        datetime.datetime.fromisoformat(span["to"]) - datetime.datetime.fromisoformat(span["from"])
    ).total_seconds()
    return {
        "recorded_s": lambda: found["data"]["recorded_s"],
        "observed_s": lambda: found["data"]["observed_s"],
        "brush_time_s": lambda: found["area"]["brush_time_s"],
        "distance_m": lambda: found["area"]["distance_m"],
        "in_band_s": lambda: sum(p["within_s"] for p in phases if p["band"] is not None),
        "stationary_events": lambda: len(found["stationary"]),
        "stationary_s": lambda: sum(length(event["span"]) for event in found["stationary"]),
        "stalls": lambda: len(found["load"]["stalls"]),
        "over_pressure": lambda: len(found["load"]["over_pressure"]),
    }[key]()


def told_figures(folder, sheets, columns):
    """Columns against what they say they equal; gives how many values were compared."""
    place = exported(folder, "parquet")
    count = 0
    for table in ("nights", "sections"):
        rows = duckdb.connect().execute(f"SET TimeZone = 'UTC'; SELECT * FROM read_parquet('{place}/{table}.parquet')")
        names = [column[0] for column in rows.description]
        by_night = {}
        for row in rows.fetchall():
            row = dict(zip(names, row))
            by_night.setdefault((row["machine"], str(row["night"])), []).append(row)
        expected = {k for k, found in sheets.items() if table == "nights" or found["sections"]}
        if set(by_night) != expected:
            wrong(f"{folder} {table}: nights {sorted(by_night)} {sorted(expected)}")
        for key, listed in by_night.items():
            found = sheets[key]
            if len(listed) != (1 if table == "nights" else len(found["sections"])):
                wrong(f"{folder} {table} {key}: {len(listed)} rows")
            for place_, row in enumerate(listed):
                for column in (column for column in columns[table] if column["equals"]):
                    told = figure(found, column["equals"], place_)
                    if not same(row[column["name"]], told):
                        wrong(f"{folder} {table} {key} {column['name']}: {row[column['name']]} {told}")
                    count += 1
    return count


def sums(folder, sheets):
    place = exported(folder, "parquet")
    made = [("steps by DuckDB", rows_of(STEPS, place / "steps.parquet"), True)] if duckdb else []
    if duckdb:
        made.append(("events by DuckDB", rows_of(EVENTS, place / "events.parquet"), False))
    if polars:
        made.append(("steps by polars", polars_steps(place / "steps.parquet"), True))
    count = 0
    for who, rows, all_nights in made:
        if all_nights and set(rows) != set(sheets):
            wrong(f"{folder} {who}: nights {sorted(rows)} {sorted(sheets)}")
        for key, row in rows.items():
            for name, value in row.items():
                if name in ("machine", "night"):
                    continue
                told = sum_of(sheets[key], name)
                if not close(value, told):
                    wrong(f"{folder} {who} {key} {name}: {value}, the sheet has {told}")
                count += 1
    return count


def by_section(folder):
    """Time on each section: the steps against the table of sections."""
    place = exported(folder, "parquet")
    base = duckdb.connect()
    base.execute(f"CREATE VIEW sums AS {SECTIONS.format(place / 'steps.parquet')}")
    pairs = base.execute(f"""
        SELECT s.machine, s.night, s.section, s.phase, s.step,
            s.brush_time_s, t.brush_time_s, s.in_band_s, coalesce(t.in_band_s, 0)
        FROM read_parquet('{place}/sections.parquet') s LEFT JOIN sums t
        ON s.machine = t.machine AND s.night = t.night
            AND (s.section, s.phase, s.step) IS NOT DISTINCT FROM (t.section, t.phase, t.step)
    """).fetchall()
    for *key, told, summed, told_band, summed_band in pairs:
        if summed is None or not close(summed, told):
            wrong(f"{folder} {key}: brush time of steps {summed}, of the section {told}")
        if told_band is not None and not close(summed_band, told_band):
            wrong(f"{folder} {key}: time in band of steps {summed_band}, of the section {told_band}")
    return len(pairs)


def main():
    columns = dictionary()
    for folder in FOLDERS:
        begun = time.monotonic()
        sheets = findings(folder)
        if duckdb:
            count = told_figures(folder, sheets, columns)
            sections = by_section(folder)
            said(f"{folder}: {count} values of {len(sheets)} shifts are the sheet's; {sections} works add up", begun)
        begun = time.monotonic()
        said(f"{folder}: {sums(folder, sheets)} sums of steps and events are the sheet's", begun)


main()
