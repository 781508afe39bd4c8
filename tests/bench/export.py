"""Nights to Parquet: `underbrush export` beside pyarrow writing the same rows.

The peer reads the very file that Underbrush wrote and writes it again with its own
defaults (Snappy) and the same row groups: reading Parquet is to it what reading the log is
to Underbrush. Each time is that of a whole process; beside it the peer's writing alone.
Before a time counts, the peer has read its own file back and found
the same rows, as many as Underbrush told.
"""

import statistics

from measure import TOP, Skipped, Wrong, repeat, run
from sheets import starts, weekly_book

TABLES = ("readings", "steps")


def nights_to_parquet(kit, table):
    log = kit.work / "export-log"
    kit.kit("nights", "plain", log, *starts(kit.shifts))
    files = ["--site", TOP / "fixtures/scenario/site.toml", "--book", weekly_book(kit)]
    files += ["--machine", TOP / "fixtures/scenario/machine.toml", "--log", log]
    for name in TABLES:
        out = kit.work / f"{name}.parquet"
        args = [kit.program("underbrush"), "export", name, "--force", "--out", out, *files]
        here = repeat(args, min(kit.times, 5))
        rows = told_rows(here.runs[0].printed)
        size = out.stat().st_size
        what = f"{name} of {kit.shifts} nights to Parquet, {rows / 1e6:.1f} million rows"
        pace = f"{here}, {rows / here.median_s / 1e6:.1f} million rows a second"
        try:
            again = kit.work / f"{name}-again.parquet"
            run(kit.peer("pyarrow", "peer_export.py", out, again, "check"))
            peer = repeat(kit.peer("pyarrow", "peer_export.py", out, again), min(kit.times, 5))
        except Skipped as why:
            table.skip(f"peer of {what}", why)
            table.add(what, pace)
            table.add(what, f"{size / 1e6:.1f} MB")
            continue
        if peer.runs[0].value("rows") != rows:
            raise Wrong(f"pyarrow read {peer.runs[0].value('rows'):.0f} rows of {rows}")
        table.add(what, pace, f"pyarrow, reading and writing it again: {peer}", here.median_s / peer.median_s)
        inside_s = statistics.median(one.value("write_seconds") for one in peer.runs)
        beside = f"pyarrow, writing alone: {inside_s * 1e3:.0f} ms"
        table.add(what, pace, beside, here.median_s / inside_s)
        theirs = again.stat().st_size
        table.add(what, f"{size / 1e6:.1f} MB", f"pyarrow: {theirs / 1e6:.1f} MB", size / theirs)


def told_rows(printed):
    """What `underbrush export` says it wrote."""
    lines = [line for line in printed.splitlines() if line.endswith(" rows")]
    if len(lines) != 1:
        raise Wrong(f"no count of rows in: {printed}")
    return int(lines[0].split()[-2])
