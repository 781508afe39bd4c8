"""The benchmarks, called by tests/bench.sh: `bench.sh --help`."""

import argparse
import datetime
import os
import platform
import sys
import tempfile
from pathlib import Path

import candump
import dbc
import export
import full_rate
import load
import replay
import screen
import sheets
import sizes
import year
from measure import Kit, Skipped, Table, Wrong

PARTS = {
    "sheet": sheets.one_sheet,
    "range": sheets.several_sheets,
    "size": sizes.log_sizes,
    "load": load.agent_load,
    "decode": replay.decoding,
    "year": year.many_nights,
    "dbc": dbc.signals,
    "candump": candump.recording,
    "screen": screen.screen,
    "export": export.nights_to_parquet,
    "full_rate": full_rate.full_rate,
}


def arguments():
    parser = argparse.ArgumentParser(
        prog="tests/bench.sh", description="Measures every part beside a named peer."
    )
    parser.add_argument("parts", nargs="*", help=f"of {', '.join(PARTS)} (all)")
    parser.add_argument("--shifts", type=int, default=30, help="nights of the range (30)")
    parser.add_argument("--times", type=int, default=10, help="runs of each timed call (10)")
    parser.add_argument("--seconds", type=int, default=60, help="length of the load (60)")
    parser.add_argument("--bin", type=Path, required=True, help=argparse.SUPPRESS)
    parser.add_argument("--work", type=Path, required=True, help=argparse.SUPPRESS)
    parser.add_argument("--peers", default="", help=argparse.SUPPRESS)
    parser.add_argument("--why-no-peers", default="", help=argparse.SUPPRESS)
    args = parser.parse_args()
    for part in args.parts:
        if part not in PARTS:
            parser.error(f"there is no part `{part}`: {', '.join(PARTS)}")
    if args.shifts < 10 or args.times < 1 or args.seconds < 1:
        parser.error("--shifts from 10, --times and --seconds from 1")
    return args


def load_average():
    return " ".join(f"{load:.1f}" for load in os.getloadavg())


def main():
    args = arguments()
    args.work.mkdir(parents=True, exist_ok=True)
    # A folder of its own: another run at the same time must not clear it away.
    with tempfile.TemporaryDirectory(dir=args.work) as work:
        return measure(args, Path(work))


def measure(args, work):
    kit = Kit(
        bin=args.bin,
        work=work,
        python=args.peers or None,
        why_no_peers=args.why_no_peers,
        shifts=args.shifts,
        times=args.times,
        seconds=args.seconds,
    )
    table = Table()
    before = load_average()
    wrong = 0
    for part in args.parts or PARTS:
        print(part, file=sys.stderr)
        try:
            PARTS[part](kit, table)
        except Skipped as why:
            table.skip(part, why)
        except (Wrong, OSError) as what:
            wrong += 1
            table.skip(part, f"WRONG RESULT: {what}")
    table.show()
    now = datetime.datetime.now(datetime.timezone.utc)
    print(
        f"{now:%Y-%m-%d %H:%M} UTC, {os.cpu_count()} cores, {platform.machine()}, "
        f"{platform.system()} {platform.release()}; load average {before} before, {load_average()} after"
    )
    return 2 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
