"""Runs the examples of report/DATA.md, from that very text, and holds what they give.

Each stands behind a line `<!-- example: NAME -->`. They run in a folder that has the tables
of the ten days in all formats; one in Python leaves its result in `table`.
"""

import contextlib
import datetime
import io
import os
import re
import shutil
import time
from pathlib import Path

from kit import OUT, exported, findings, library, said, wrong

duckdb = library("duckdb")
polars = library("polars")
mcap = library("mcap.reader")

FOLDER = "weeks"
PAGE = Path(__file__).parents[2] / "report/DATA.md"
BLOCK = re.compile(r"<!-- example: (\w+) -->\n```(\w+)\n(.*?)```\n", re.S)
NEEDS = {"sql": duckdb, "weeks_polars": polars, "load": polars, "kinds": mcap}


def gathered():
    """A folder with all tables in all formats."""
    place = OUT / "examples"
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir()
    for form in ("csv", "parquet", "mcap"):
        for file in exported(FOLDER, form).iterdir():
            (place / file.name).symlink_to(file.resolve())
    return place


def run(language, text):
    """The rows that it gives."""
    if language == "sql":
        return duckdb.connect().execute(text).fetchall()
    names = {}
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        exec(compile(text, str(PAGE), "exec"), names)
    if not printed.getvalue().strip():
        wrong("an example prints nothing")
    table = names["table"]
    return table.rows() if polars and isinstance(table, polars.DataFrame) else table


def alike(name, one, other):
    """Two lists of rows, numbers to nine digits."""
    if len(one) != len(other) or not one:
        wrong(f"{name}: {len(one)} and {len(other)} rows")
    for a, b in zip(one, other):
        for x, y in zip(a, b, strict=True):
            same = abs(x - y) <= 1e-9 * max(1.0, abs(y)) if isinstance(y, float) else x == y
            if not same:
                wrong(f"{name}: {a} {b}")


def weeks_of_sheets(sheets):
    """Minutes in band by week, over all sections, as the sheets have them."""
    weeks = {}
    for (_, night), found in sheets.items():
        day = datetime.date.fromisoformat(night)
        week = day - datetime.timedelta(days=day.weekday())
        phases = [p for p in found["speed"]["by_phase"] if p["band"] is not None]
        minutes = weeks.setdefault(week, [0.0, 0.0])
        minutes[0] += found["area"]["brush_time_s"] / 60
        minutes[1] += sum(p["within_s"] for p in phases) / 60
    return sorted((week, *minutes) for week, minutes in weeks.items())


def hold(given, sheets):
    """What the sheets say of each example's result."""
    for name in ("weeks", "weeks_polars"):
        if name in given:
            weeks = {}
            for _, week, brush, band in given[name]:
                sums = weeks.setdefault(week, [0.0, 0.0])
                sums[0] += brush
                sums[1] += band
            summed = sorted((week, *sums) for week, sums in weeks.items())
            alike(name, summed, weeks_of_sheets(sheets))
            if len(summed) < 2:
                wrong(f"{name}: one week only")
    if "weeks" in given and "weeks_polars" in given:
        alike("weeks", given["weeks"], given["weeks_polars"])
    if "standing" in given:
        length = lambda span: (
            datetime.datetime.fromisoformat(span["to"]) - datetime.datetime.fromisoformat(span["from"])
        ).total_seconds()
        told = [
            (machine, datetime.date.fromisoformat(night), sum(length(e["span"]) for e in found["stationary"]) + 0.0)
            for (machine, night), found in sorted(sheets.items())
        ]
        alike("standing", given["standing"], told)
    if "load" in given:
        for machine, grit, mean, hours in given["load"]:
            # The simulated motors: 3 A idle, about 20 A at full pressure.
            if not (3 < mean < 30 and hours > 0):
                wrong(f"load: {machine} {grit} {mean} A in {hours} h")
        if "load_csv" in given:
            alike("load", given["load_csv"], given["load"])
    if "kinds" in given:
        stood = sum(len(found["stationary"]) for found in sheets.values())
        stalls = sum(len(found["load"]["stalls"]) for found in sheets.values())
        if (given["kinds"]["stationary"], given["kinds"]["stall"]) != (stood, stalls):
            wrong(f"kinds: {given['kinds']}, the sheets have {stood} and {stalls}")


def main():
    begun = time.monotonic()
    examples = BLOCK.findall(PAGE.read_text())
    marks = PAGE.read_text().count("<!-- example: ")
    if len(examples) != marks or marks < 6:
        wrong(f"{len(examples)} examples behind {marks} marks in {PAGE}")
    sheets = findings(FOLDER)
    os.chdir(gathered())
    given = {}
    for name, language, text in examples:
        if NEEDS.get(name, NEEDS.get(language)):
            given[name] = run(language, text)
    hold(given, sheets)
    said(f"examples of DATA.md: {', '.join(given)}", begun)


main()
