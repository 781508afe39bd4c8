"""Time at speed and standing brushes of many nights, beside polars and DuckDB.

All three give milliseconds for each mm/s with a brush turning, and begin and end of
each run longer than 2 s in which a brush turns while the machine stands; the results
must be equal before a time counts. Underbrush reads its log; the peers read one wide
Parquet file of the rows already aligned in time, the kindest form for them. Each
time is that of a whole process: files in the page cache, reading, decoding, result
written. `--shifts 365` makes it a year.
"""

import statistics

from measure import TOP, Skipped, Wrong, repeat, run
from sheets import starts

GOAL_ROWS = 26e6


def many_nights(kit, table):
    log, rows, parquet = kit.work / "year", kit.work / "year.rows", kit.work / "year.parquet"
    kit.kit("nights", "stops", log, *starts(kit.shifts))
    machine = plain_machine(kit)
    args = [kit.program("bench_kit"), "totals", log, machine, kit.work / "year-here.txt"]
    here = repeat(args, kit.times)
    count = kit.kit("wide", log, machine, rows).value("rows")
    if here.runs[0].value("steps") + kit.shifts != count:
        raise Wrong(f"{here.runs[0].value('steps'):.0f} steps of {count:.0f} rows")
    cpu_s = statistics.median(one.cpu_s for one in here.runs)
    pace = count / cpu_s
    name = f"time at speed and standing brushes, {kit.shifts} nights, {count / 1e6:.1f} million rows"
    text = f"{pace / 1e6:.0f} million rows a second of CPU"
    table.add(name, text, goal=(f"> {GOAL_ROWS / 1e6:.0f} million", pace > GOAL_ROWS))
    try:
        run(kit.peer("pyarrow", "peer_year.py", "write", rows, parquet))
    except Skipped as why:
        table.skip(f"peers of {name}", why)
        return
    sealed = sum(path.stat().st_size for path in log.glob("*.archive"))
    sizes = f"log {sealed / 1e6:.0f} MB", f"Parquet {parquet.stat().st_size / 1e6:.0f} MB"
    table.add(name, sizes[0], sizes[1], sealed / parquet.stat().st_size)
    for peer in ("polars", "duckdb"):
        out = kit.work / f"year-{peer}.txt"
        try:
            timing = repeat(kit.peer(peer, "peer_year.py", peer, parquet, out), kit.times)
        except Skipped as why:
            table.skip(f"{peer} beside {name}", why)
            continue
        runs = same(kit.work / "year-here.txt", out, peer)
        beside = f"{peer}, equal in {runs} runs and all speeds: {timing}"
        goal = ("faster", here.median_s < timing.median_s)
        table.add(name, str(here), beside, here.median_s / timing.median_s, goal)
        inside_s = statistics.median(one.value("seconds") for one in timing.runs)
        mine_s = statistics.median(one.value("seconds") for one in here.runs)
        text = f"{mine_s * 1e3:.0f} ms without start of the process"
        beside = f"{peer}: {inside_s * 1e3:.0f} ms without start and imports"
        table.add(name, text, beside, mine_s / inside_s)


def plain_machine(kit):
    """The scenario's machine, its brushes not allowed to coast nor a stop to creep.

    Those two rules of the detector are left out: they would make the peers' queries
    longer and slower.
    """
    text = (TOP / "fixtures/scenario/machine.toml").read_text()
    rules = 'standing_bridge = "1 ms"\nrun_down_time = "1 ms"\n'
    path = kit.work / "year-machine.toml"
    path.write_text(text.replace("[limits]\n", "[limits]\n" + rules))
    return path


def same(here, there, peer):
    """Compares line by line; how many runs there are."""
    ours, theirs = sorted(here.read_text().splitlines()), sorted(there.read_text().splitlines())
    if ours != theirs:
        only = sorted(set(ours) ^ set(theirs))
        raise Wrong(f"{peer} found another result, {len(only)} lines differ: {only[:4]}")
    runs = sum(line.startswith("run ") for line in ours)
    if runs == 0:
        raise Wrong("no run was found: nothing is compared")
    return runs
