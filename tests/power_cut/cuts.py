#!/usr/bin/env python3
"""Cuts the power of a board that records, many times one after the other on one disk.

    python3 tests/power_cut/cuts.py CUTS [--seed S] [--install]

Each cut: the real kernel mounts the disk that the cut before left, the real agent starts
and records a bridge at a serial port; qemu is killed at a random moment; then the disk is
read by e2fsck, `underbrush verify` and a reader that shares no code with the agent.
Exit: 0 nothing promised is lost; 1 something is; 77 skipped.
"""

import argparse
import random
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path

import guest
import log_reader
import machine
import model
import need
import stream

DISK_MIB = 64
CUTS_A_DISK = 5
# Sync interval and age at which a journal is sealed, in s; the first is the usual one.
SETTINGS = [(1.0, 3600), (1.0, 3), (0.05, 2), (0.25, 1)]
BOOT_TIMEOUT_S = 90
# On top of the sync interval: entries gather up to 0.1 s before they go to the writer, and
# a sync takes its time, which under software emulation on a busy machine is long.
LATENCY_S = 1.5


class Disk:
    """One image through many cuts, and all that was promised about it."""

    def __init__(self, folder, settings):
        self.image = folder / "disk.img"
        self.folder = folder
        self.sync_every_s, self.seal_after_s = settings
        self.promises = {}
        with open(self.image, "wb") as file:
            file.truncate(DISK_MIB << 20)
        options = ["-q", "-F", "-E", "lazy_itable_init=0,lazy_journal_init=0"]
        subprocess.run([need.path_of("mkfs.ext4"), *options, self.image], check=True)


class Totals:
    def __init__(self):
        self.cuts = self.promised = self.survived = self.torn = 0
        self.archives = self.unread = self.unfinished = 0
        self.missing_s, self.restart_s, self.boot_s, self.problems = [], [], [], []
        self.exits = {"e2fsck": {}, "verify": {}}

    def exit(self, program, code):
        counts = self.exits[program]
        counts[code] = counts.get(code, 0) + 1


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("cuts", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--install", action="store_true")
    arguments = parser.parse_args()
    need.make_ready(need.FOR_A_DISK, arguments.install)
    need.build()
    chance, totals, begun = random.Random(arguments.seed), Totals(), time.monotonic()
    with tempfile.TemporaryDirectory(prefix="power-cut-") as folder:
        folder = Path(folder)
        initramfs = folder / "initramfs"
        initramfs.write_bytes(guest.disk_guest())
        bridge, disk = stream.Bridge(first=1000), None
        for cut in range(arguments.cuts):
            if cut % CUTS_A_DISK == 0:
                disk = Disk(folder, SETTINGS[cut // CUTS_A_DISK % len(SETTINGS)])
            one_cut(cut, disk, bridge, initramfs, chance, totals)
    summary(totals, time.monotonic() - begun)
    sys.exit(1 if totals.problems else 0)


def one_cut(cut, disk, bridge, initramfs, chance, totals):
    begun = time.monotonic()
    port = disk.folder / f"port-{cut}"
    running = machine.start(
        initramfs, "record", port=port,
        drives=[f"file={disk.image},format=raw,cache=none,aio=threads"],
        FILE_SYSTEM="ext4", SYNC_EVERY_S=disk.sync_every_s, SEAL_AFTER_S=disk.seal_after_s,
    )
    try:
        console = machine.Console(running.stdout)
        wait_s = chance.uniform(1, 8)
        told = Told(disk, bridge, port, begun)
        killed = record(running, console, told, wait_s)
    finally:
        running.kill()
        running.wait()
    for at, line in console.rest():
        told.line(at, line)
    told.sending.ended()
    told.promise.sent = len(told.sending.sent_at)
    totals.cuts += 1
    totals.promised += told.promise.readings
    totals.restart_s.append(told.restart_s)
    totals.boot_s.append(told.boot_s)
    problems, missing_s, log, codes = inspect(disk, told, killed, totals)
    limit_s = disk.sync_every_s + LATENCY_S
    if missing_s > limit_s:
        problems.append(f"the last {missing_s:.2f} s are missing, more than {limit_s} s")
    totals.missing_s.append((missing_s, disk.sync_every_s))
    totals.problems += [f"cut {cut}: {problem}" for problem in problems]
    print(
        f"cut {cut}: boot {told.promise.boot}, sync {disk.sync_every_s} s, seal {disk.seal_after_s} s, "
        f"recorded {killed - told.first_at:.1f} s, part {told.promise.part}: "
        f"{told.promise.readings} readings promised, {log.boots[told.promise.boot].readings()} there, "
        f"last {missing_s * 1e3:.0f} ms missing; {log.archives} archives, {log.journals} journals, "
        f"{log.torn_bytes} torn bytes; restart {told.restart_s * 1e3:.0f} ms; {codes}; "
        f"{'LOST: ' + '; '.join(problems) if problems else 'kept'}",
        flush=True,
    )


class Told:
    """What one boot said on its console, and the bridge that began to send when it listened."""

    def __init__(self, disk, bridge, port, begun):
        self.disk, self.bridge, self.port, self.begun = disk, bridge, port, begun
        self.sending = self.promise = self.started = None
        self.first_at = self.restart_s = self.boot_s = None
        self.problems = []

    def line(self, at, line):
        if "guest: agent starts" in line:
            self.boot_s = at - self.begun
        if " started " in line and "log_dir=" in line:
            self.started = stamp(line)
        if " port open " in line and self.sending is None:
            self.sending = self.bridge.listen(self.port)
        if "ERROR" in line or " WARN " in line and "torn" not in line:
            self.problems.append(line.strip())
        if "guest: agent ended" in line:
            raise machine.Stuck(line)
        if found := model.SYNCED.search(line):
            self.synced(at, line, *map(int, found.groups()))

    def synced(self, at, line, boot, part, readings, notes):
        if self.promise is None:
            if boot in self.disk.promises:
                self.problems.append(f"boot {boot} was given twice")
            self.promise = model.Promise(boot, 0)
            self.disk.promises[boot] = self.promise
        if "doubtful=" in line and "doubtful=0" not in line:
            self.problems.append(f"a sync failed: {line}")
        if self.promise.boot != boot or readings < self.promise.readings or notes < self.promise.notes:
            self.problems.append(f"counts ran back: {line}")
        if self.sending is not None:
            self.promise.first = self.sending.first
        self.promise.part, self.promise.readings, self.promise.notes = part, readings, notes
        if readings and self.first_at is None:
            self.first_at = at
            self.restart_s = (stamp(line) - self.started).total_seconds()


def stamp(line):
    """The agent's own time of a line."""
    text = next(word for word in line.split() if word[:2] == "20" and word.endswith("Z"))
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def record(running, console, told, wait_s):
    """Lets the agent record for `wait_s` from its first synced reading on, then cuts."""
    until = time.monotonic() + BOOT_TIMEOUT_S
    while told.first_at is None or time.monotonic() < told.first_at + wait_s:
        found = console.next(until if told.first_at is None else told.first_at + wait_s)
        if found:
            told.line(*found)
        elif told.first_at is None:
            raise machine.Stuck(console.tail())
    return machine.cut_power(running)


def inspect(disk, told, killed, totals):
    """Problems, the time missing at the end, the log, and how the programs ended."""
    copy, left = disk.folder / "copy.img", disk.folder / "left"
    shutil.copyfile(disk.image, copy)
    # The journal of the file system is replayed as the kernel would do it.
    subprocess.run([need.path_of("e2fsck"), "-E", "journal_only", "-y", copy], capture_output=True)
    checked = subprocess.run([need.path_of("e2fsck"), "-fn", copy], capture_output=True, text=True)
    shutil.rmtree(left, ignore_errors=True)
    left.mkdir()
    subprocess.run([need.path_of("debugfs"), "-R", f"rdump /log {left}", copy], capture_output=True)
    verified = subprocess.run([need.host_program("underbrush"), "verify", left / "log"],
                              capture_output=True, text=True)
    totals.exit("e2fsck", checked.returncode)
    totals.exit("verify", verified.returncode)

    log = log_reader.read(left / "log")
    problems = told.problems + log.damage
    behind = None
    for boot, promise in disk.promises.items():
        if log.unread == 0:
            found, behind = model.judge(promise, log.boots[boot])
            problems += found
    problems += [f"boot {boot} never was" for boot in log.boots if boot not in disk.promises]
    problems += by_checker(left / "log", disk.promises.values())
    if checked.returncode != 0:
        problems.append(f"e2fsck: {checked.stdout.strip()}")
    if verified.returncode != 0:
        problems.append(f"verify: {verified.stdout.strip()}")
    losses = log.boots[told.promise.boot].link_losses[1:]
    # One damaged packet: the half one that the bridge begins with.
    if losses[1] > 1 or sum(losses) > losses[1]:
        problems.append(f"the link lost something: {losses}")
    totals.survived += log.boots[told.promise.boot].readings() - told.promise.readings
    totals.torn += log.torn_bytes > 0
    totals.archives += log.archives
    totals.unread += log.unread
    totals.unfinished += log.unfinished
    missing_s = missing(told, killed, behind)
    codes = f"e2fsck {checked.returncode}, verify {verified.returncode}"
    return problems, missing_s, log, codes


def missing(told, killed, behind):
    """Time between the first frame that is not in the log and the cut."""
    sent_at = told.sending.sent_at
    place = len(sent_at) if behind is None else behind - told.promise.first
    return killed - sent_at[place] if place < len(sent_at) else 0.0


def by_checker(folder, promises):
    """The same question to the reader that the crash states use, on this side."""
    text = ",".join(promise.text() for promise in promises)
    told = subprocess.run([need.host_program("power-cut-check"), folder, text], capture_output=True, text=True)
    return [] if told.returncode == 0 else [told.stdout.strip() + told.stderr.strip()]


def summary(totals, wall_s):
    missing_s = sorted(seconds for seconds, _ in totals.missing_s)
    over = max(seconds - every for seconds, every in totals.missing_s)
    print(
        f"TOTAL {totals.cuts} cuts in {wall_s:.0f} s: {totals.promised} readings promised, "
        f"{'0 lost' if not totals.problems else 'LOST'}; {totals.survived} more survived; "
        f"missing at the end: median {missing_s[len(missing_s) // 2]:.2f} s, most {missing_s[-1]:.2f} s, "
        f"at most {over:.2f} s over the sync interval; {totals.torn} logs with a torn tail, "
        f"{totals.unfinished} unfinished archives seen, {totals.archives} archives read; "
        f"restart to first safe reading: most {max(totals.restart_s):.2f} s; "
        f"machine on to agent started: most {max(totals.boot_s):.1f} s; "
        f"e2fsck exits {totals.exits['e2fsck']}, verify exits {totals.exits['verify']}"
    )
    if totals.unread:
        print(f"{totals.unread} archives were read by the Rust reader only: the independent one needs "
              "PyPI's pcodec for them")
    for problem in totals.problems[:20]:
        print(f"PROBLEM {problem}")


if __name__ == "__main__":
    main()
