"""The peer of the sheet: pyarrow reads all rows of a night from Parquet and makes the
time-weighted histograms of speed and brush current, as a data scientist would.

    peer_parquet.py write ROWS PARQUET
    peer_parquet.py read PARQUET

It does less than a sheet: no events, no area, no steps, no page.
"""

import sys
import time

LONGEST_GAP_MS = 1000
SPEED, CURRENTS = 1, (8, 9)


def read_rows(path):
    """Times, channels and raw values as numpy arrays."""
    import numpy

    with open(path, "rb") as file:
        (count,) = numpy.fromfile(file, "<u8", 1)
        times = numpy.fromfile(file, "<i8", count)
        channels = numpy.fromfile(file, "u1", count)
        raws = numpy.fromfile(file, "<i4", count)
    if len(raws) != count:
        raise SystemExit(f"{path} is cut")
    return times, channels, raws


def write(rows, out):
    import pyarrow
    import pyarrow.parquet

    times, channels, raws = read_rows(rows)
    table = pyarrow.table({"time_ms": times, "channel": channels, "raw": raws})
    pyarrow.parquet.write_table(table, out, compression="zstd")


def read(path):
    import numpy
    import pyarrow.compute
    import pyarrow.parquet

    start = time.perf_counter()
    table = pyarrow.parquet.read_table(path)
    for channel in (SPEED, *CURRENTS):
        one = table.filter(pyarrow.compute.equal(table["channel"], channel))
        at, raw = one["time_ms"].to_numpy(), one["raw"].to_numpy()
        held_ms = numpy.minimum(numpy.diff(at), LONGEST_GAP_MS)
        histogram, _ = numpy.histogram(raw[1:], bins=100, weights=held_ms)
        print(f"hours {histogram.sum() / 3.6e6:.3f}")
    print(f"rows {table.num_rows}")
    print(f"seconds {time.perf_counter() - start}")


if __name__ == "__main__":
    {"write": write, "read": read}[sys.argv[1]](*sys.argv[2:])
