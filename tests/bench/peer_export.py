"""The peer of exports: pyarrow reads a Parquet file and writes it again.

    peer_export.py FROM TO [check]

With `check` it reads its own file, too, and compares.
"""

import sys
import time

import pyarrow.parquet as parquet

GROUP = 122_880


def main(source, to, check=None):
    table = parquet.read_table(source)
    start = time.perf_counter()
    parquet.write_table(table, to, row_group_size=GROUP)
    seconds = time.perf_counter() - start
    if check and not parquet.read_table(to).equals(table):
        sys.exit("what was written is not what was read")
    print(f"rows {table.num_rows}")
    print(f"write_seconds {seconds}")


if __name__ == "__main__":
    main(*sys.argv[1:])
