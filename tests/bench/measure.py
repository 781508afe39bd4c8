"""Runs a program and says what it took; keeps the rows of the final table."""

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent


class Wrong(Exception):
    """A result that makes a measurement worthless."""


class Skipped(Exception):
    """What is missing for a part."""


@dataclass
class Run:
    """One run of a program."""

    wall_s: float
    cpu_s: float
    printed: str

    def value(self, name):
        """The last `name value` line as a number."""
        for line in reversed(self.printed.splitlines()):
            words = line.rsplit(maxsplit=1)
            if len(words) == 2 and words[0] == name:
                return float(words[1])
        raise Wrong(f"no `{name}` in: {self.printed}")


def run(args, expect=(0,)):
    """Runs `args` to its end. Wall time counts from before the start of the process."""
    args = [str(arg) for arg in args]
    with open(os.devnull, "rb") as nothing:
        start = time.perf_counter()
        child = subprocess.Popen(
            args, stdin=nothing, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        printed = child.stdout.read().decode()
        _, status, used = os.wait4(child.pid, 0)
        wall_s = time.perf_counter() - start
    child.stdout.close()
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in expect:
        raise Wrong(f"{' '.join(args)} ended with {child.returncode}:\n{printed}")
    return Run(wall_s, used.ru_utime + used.ru_stime, printed)


def peak_mib(args):
    """Peak resident size in one more run, by GNU time; None without it.

    A child begins as a copy of its parent, and getrusage(2) counts that: the parent
    must be a program as small as this one.
    """
    gnu_time = shutil.which("time")
    if gnu_time is None:
        return None
    with tempfile.NamedTemporaryFile("r") as told:
        run([gnu_time, "-f", "%M", "-o", told.name, *args])
        return int(told.read().split()[-1]) / 1024


def mib(value):
    """A peak as text."""
    return "not known: GNU time is not installed" if value is None else f"peak {value:.1f} MiB"


@dataclass
class Timing:
    """Several runs of the same, after one that warms up."""

    runs: list

    @property
    def median_s(self):
        return statistics.median(run.wall_s for run in self.runs)

    def __str__(self):
        best_s = min(run.wall_s for run in self.runs)
        cpu_s = statistics.median(run.cpu_s for run in self.runs)
        return f"{self.median_s * 1e3:.0f} ms median, {best_s * 1e3:.0f} best, {cpu_s * 1e3:.0f} of CPU"


def repeat(args, times):
    """Runs `args` so many times."""
    run(args)
    return Timing([run(args) for _ in range(times)])


class Table:
    """Rows: what, here, beside, ratio, goal. What repeats is shown once."""

    HEAD = ("what", "here", "beside it", "here / beside", "goal")

    def __init__(self):
        self.rows = []
        self.skipped = []

    def add(self, what, here, beside="", ratio=None, goal=""):
        """`goal` is a text and whether it holds, or a text alone."""
        if isinstance(goal, tuple):
            goal = f"{goal[0]}: {'held' if goal[1] else 'MISSED'}"
        ratio = "" if ratio is None else f"{ratio:.2f}"
        self.rows.append((what, here, beside, ratio, goal))
        print(f"  {what}: {here} | {beside} | {ratio} | {goal}", file=sys.stderr)

    def skip(self, what, why):
        """Says at once and again under the table that something was left out."""
        self.skipped.append(f"skipped: {what}: {why}")
        print(f"  {self.skipped[-1]}", file=sys.stderr)

    def show(self):
        """Prints it."""
        table = [self.HEAD]
        for above, row in zip([self.HEAD, *self.rows], self.rows):
            what = "" if row[0] == above[0] else row[0]
            here = "" if row[:2] == above[:2] else row[1]
            table.append((what, here, *row[2:]))
        widths = [max(len(row[i]) for row in table) for i in range(len(self.HEAD))]
        for place, row in enumerate(table):
            print("| " + " | ".join(c.ljust(w) for c, w in zip(row, widths)) + " |")
            if place == 0:
                print("|" + "|".join("-" * (w + 2) for w in widths) + "|")
        for line in self.skipped:
            print(line)


@dataclass
class Kit:
    """Programs, folders and options of one run of the benchmarks."""

    bin: Path
    work: Path
    python: str | None
    why_no_peers: str
    shifts: int
    times: int
    seconds: int

    def program(self, name):
        """A program of the workspace, built for release."""
        return self.bin / name

    def kit(self, *args):
        """Runs bench_kit."""
        return run([self.program("bench_kit"), *args])

    def peer(self, module, script, *args):
        """The arguments of a peer, if the Python package it stands on is there."""
        if self.python is None:
            raise Skipped(self.why_no_peers)
        if subprocess.run([self.python, "-c", f"import {module}"], capture_output=True).returncode:
            raise Skipped(f"Python cannot import {module}")
        return [self.python, HERE / script, *args]
