"""The peer of the log's size: Parquet by pyarrow, zstd level 19, one row group.

    peer_sizes.py ROWS

Long: time, channel, raw of every reading. Wide: one table for each kind of frame, a
column a channel. Of long both orders are tried. Every column takes the encoding that
makes it smallest. No statistics, no Arrow schema. Each file is read back and compared.
Prints `name|bytes`.
"""

import io
import sys

import numpy
import pyarrow
import pyarrow.parquet as parquet
from peer_parquet import read_rows

ENCODINGS = ("DICTIONARY", "PLAIN", "DELTA_BINARY_PACKED", "BYTE_STREAM_SPLIT")
# protocol/SPEC.md: which channels come in one frame.
KINDS = {
    "motion": (1, 2),
    "brush": (3, 4, 8, 9, 10, 11, 12, 13, 14, 15),
    "controls": (16, 17, 18),
    "power": (20, 21),
    "runtime": (24, 25, 26),
}


def file_of(table, encodings):
    dictionary = [name for name, e in encodings.items() if e == "DICTIONARY"]
    others = {name: e for name, e in encodings.items() if e != "DICTIONARY"}
    out = io.BytesIO()
    parquet.write_table(
        table,
        out,
        compression="zstd",
        compression_level=19,
        use_dictionary=dictionary or False,
        column_encoding=others or None,
        write_statistics=False,
        store_schema=False,
        data_page_version="2.0",
        row_group_size=len(table),
        data_page_size=1 << 27,
        dictionary_pagesize_limit=1 << 27,
    )
    return out.getvalue()


def smallest(columns):
    """The smallest file of these columns."""
    table = pyarrow.table(columns)
    best = {}
    for name in columns:
        one = table.select([name])
        best[name] = min(ENCODINGS, key=lambda e: len(file_of(one, {name: e})))
    data = file_of(table, best)
    back = parquet.read_table(io.BytesIO(data))
    for name in columns:
        if not back[name].combine_chunks().equals(table[name].combine_chunks()):
            raise SystemExit(f"column {name} does not come back")
    return data


def wide(times, channels, raws):
    """Columns of each kind of frame that occurs. A channel must be in each of its frames."""
    for kind, members in KINDS.items():
        columns, at = {}, None
        for channel in members:
            chosen = channels == channel
            if not chosen.any():
                continue
            if at is None:
                at = columns["time_ms"] = times[chosen].astype("i4")
            elif not numpy.array_equal(at, times[chosen]):
                raise SystemExit(f"channel {channel} is not in every {kind} frame")
            columns[f"channel_{channel}"] = raws[chosen]
        if columns:
            yield columns


def main(path):
    times, channels, raws = read_rows(path)
    if (set(numpy.unique(channels)) - {c for kind in KINDS.values() for c in kind}) != set():
        raise SystemExit("a channel belongs to no kind of frame")
    tried = []
    for order in (numpy.arange(len(times)), numpy.lexsort((times, channels))):
        columns = {
            "time_ms": times[order].astype("i4"),
            "channel": channels[order],
            "raw": raws[order],
        }
        tried.append(smallest(columns))
    print(f"Parquet, zstd 19, one long table|{min(map(len, tried))}")
    files = [smallest(columns) for columns in wide(times, channels, raws)]
    print(f"Parquet, zstd 19, a wide table a frame kind|{sum(map(len, files))}")


if __name__ == "__main__":
    main(sys.argv[1])
