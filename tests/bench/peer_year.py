"""The peers of many nights: polars and DuckDB over one wide Parquet file.

    peer_year.py write ROWS PARQUET
    peer_year.py polars|duckdb PARQUET OUT

Limits in raw values: standing below 50 mm/s, moving again from 60; a brush turns above
2 A (raw 20); a gap longer than a second is not observed; an event is longer than 2 s.
"""

import sys
import time

GAP_MS, STANDING, MOVING, TURNING, EVENT_MS = 1000, 50, 60, 20, 2000


def write(rows, out):
    import numpy
    import pyarrow
    import pyarrow.parquet

    fields = [("boot", "<u4"), ("t", "<i8"), ("speed", "<i2"), ("left", "<i2"), ("right", "<i2")]
    table = numpy.memmap(rows, dtype=[*fields, ("command", "u1"), ("head", "u1")], mode="r")
    step = 1 << 20
    with pyarrow.parquet.ParquetWriter(out, schema(pyarrow), compression="zstd") as file:
        for begin in range(0, len(table), step):
            part = table[begin : begin + step]
            columns = {name: numpy.ascontiguousarray(part[name]) for name in part.dtype.names}
            file.write_table(pyarrow.table(columns), row_group_size=step)


def schema(pyarrow):
    kinds = {"boot": "uint32", "t": "int64", "speed": "int16", "left": "int16"}
    kinds |= {"right": "int16", "command": "uint8", "head": "uint8"}
    return pyarrow.schema([(name, getattr(pyarrow, kind)()) for name, kind in kinds.items()])


def with_polars(path):
    import polars as pl

    col = pl.col
    speed = col("speed").cast(pl.Int32).abs()
    known = (col("boot") == col("boot").shift()) & (col("t").diff() <= GAP_MS)
    rows = pl.scan_parquet(path).select(
        "boot",
        "t",
        speed=speed,
        ms=col("t").diff(),
        known=known.fill_null(False),
        turns=(col("left") > TURNING) | (col("right") > TURNING),
        down=col("head") != 0,
    )
    stands = pl.when(~col("known")).then(False).when(col("speed") < STANDING).then(True)
    stands = stands.when(col("speed") >= MOVING).then(False).forward_fill()
    rows = rows.with_columns(grinds=stands & col("known") & col("turns") & col("down"))
    times = rows.filter(col("known") & col("turns")).group_by("speed").agg(col("ms").sum())
    begins = col("grinds") & ~col("grinds").shift(fill_value=False)
    runs = (
        rows.with_columns(run=begins.cum_sum())
        .filter("grinds")
        .group_by("run")
        .agg(col("boot").first(), begin=(col("t") - col("ms")).min(), end=col("t").max())
        .filter(col("end") - col("begin") > EVENT_MS)
        .select("boot", "begin", "end")
    )
    times, runs = pl.collect_all([times, runs], engine="streaming")
    return times.rows(), runs.rows()


def with_duckdb(path):
    import duckdb

    base = duckdb.connect()
    base.execute(f"""
        create temp table judged as
        with rows as (
            select boot, t, abs(speed::int) as speed, t - lag(t) over w as ms,
                (left_a > {TURNING} or right_a > {TURNING}) as turns, head != 0 as down
            from (select *, "left" as left_a, "right" as right_a from read_parquet('{path}'))
            window w as (partition by boot order by t)
        ), known as (
            select *, coalesce(ms <= {GAP_MS}, false) as known from rows
        )
        select *, known and turns and down and last_value(
            case when not known or speed >= {MOVING} then false
                 when speed < {STANDING} then true end ignore nulls
        ) over (partition by boot order by t rows unbounded preceding) as grinds
        from known
    """)
    times = base.execute(
        "select speed, sum(ms)::bigint from judged where known and turns group by speed"
    ).fetchall()
    runs = base.execute(f"""
        with starts as (
            select boot, t, ms,
                t - ms is distinct from lag(t) over (partition by boot order by t) as starts
            from judged where grinds
        ), numbered as (
            select *, sum(starts::int) over (
                partition by boot order by t rows unbounded preceding) as run from starts
        )
        select boot, min(t - ms), max(t) from numbered group by boot, run
        having max(t) - min(t - ms) > {EVENT_MS}
    """).fetchall()
    return times, runs


def main(peer, path, out):
    module = __import__(peer)
    start = time.perf_counter()
    times, runs = {"polars": with_polars, "duckdb": with_duckdb}[peer](path)
    with open(out, "w") as file:
        file.writelines(f"speed {speed} {ms}\n" for speed, ms in times if ms)
        file.writelines(f"run {boot} {begin} {end}\n" for boot, begin, end in runs)
    print(f"version {module.__version__}")
    print(f"seconds {time.perf_counter() - start}")


if __name__ == "__main__":
    if sys.argv[1] == "write":
        write(*sys.argv[2:])
    else:
        main(*sys.argv[1:])
