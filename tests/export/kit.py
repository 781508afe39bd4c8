"""What the checks of exports have in common: runs of `underbrush`, and libraries that may lack."""

import importlib
import json
import subprocess
import sys
import time
from pathlib import Path

OUT = Path(sys.argv[1])
TABLES = ["readings", "steps", "events", "nights", "sections", "measurements"]
FOLDERS = ["night", "weeks", "short"]
# The night of the plain demo; those of the ten days; of these the one with the least.
SHIFTS = {"night": "2026-11-23", "weeks": "2026-10-05..2026-10-14", "short": "2026-10-07"}


def names(folder, form):
    """The tables that are looked at: readings of ten days are too many to be quick with, and
    so are long tables as MCAP, which Python reads a message at a time."""
    long = {"readings", "steps"} if form == "mcap" else {"readings"} if folder == "weeks" else set()
    return [table for table in TABLES if folder == "short" or table not in long]


def library(name):
    """A Python package, or None with a word about it."""
    try:
        return importlib.import_module(name)
    except ImportError:
        print(f"skipped: {name} is not installed (pip install {name.split('.')[0]})")
        return None


def underbrush(*args, folder):
    """Runs it in a folder; 3 is whole work with losses told, as of all simulated lines."""
    command = [OUT / "underbrush", *args, "--in", OUT / ("weeks" if folder == "short" else folder)]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode not in (0, 3):
        raise SystemExit(f"underbrush {' '.join(map(str, args))}: {done.stderr}")
    return done.stdout


def dictionary():
    """The columns of each table, by its name."""
    told = json.loads(underbrush_plain("export", "--dictionary", "--json"))
    return {table["table"]: table["columns"] for table in told["tables"]}


def underbrush_plain(*args):
    return subprocess.run([OUT / "underbrush", *args], capture_output=True, text=True, check=True).stdout


def exported(folder, form):
    """The folder of all tables in that format, made when first asked for."""
    place = OUT / "tables" / folder / form
    # Files come to their names when all are whole.
    if not (place / f"nights.{form}").exists():
        what = [*names(folder, form), "--shift", SHIFTS[folder], "--format", form]
        underbrush("export", *what, "--out", place, folder=folder)
    return place


def findings(folder):
    """The findings behind each sheet: {(machine, night): findings}, of shifts with a record."""
    place = OUT / "sheets" / folder
    shift = SHIFTS[folder]
    if not place.exists():
        place.mkdir(parents=True)
        several = ".." in shift
        names = (place, place) if several else (place / "sheet.pdf", place / "shift.json")
        underbrush("sheet", "--shift", shift, "--out", names[0], "--json", names[1], folder=folder)
    found = {}
    for path in sorted(place.glob("*.json")):
        for night in json.loads(path.read_text())["nights"]:
            of = night["findings"]
            if of["data"]["boots"] > 0:
                found[night["machine"]["id"], of["shift"]["date"]] = of
    if not found:
        raise SystemExit(f"no findings of {folder}")
    return found


def said(what, since):
    print(f"ok: {what} ({time.monotonic() - since:.1f} s)")


def wrong(words):
    raise SystemExit(f"wrong: {words}")
