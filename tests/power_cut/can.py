#!/usr/bin/env python3
"""The agent at a real (virtual) CAN interface of Linux, beside the programs of can-utils.

    python3 tests/power_cut/can.py [--rates 1000,8000,0] [--seconds 10] [--install]

In a virtual machine: what `cansend` sends must stand in the log, value by value; the
interface goes down, comes up, is deleted and made anew; then `cangen` sends at rising
rates while `candump -L` reads the same frames, and both readers' frames and CPU time
are compared.
Exit: 0 right values, and no frame lost without being told; 1 otherwise; 77 skipped.
"""

import argparse
import re
import struct
import sys
import tarfile
import tempfile
from pathlib import Path

import guest
import log_reader
import machine
import need

TICK_S = 0.01
TAR_MIB = 64
SILENT = 0
LOST, DISCONNECTS = 1, 6
# Sockets of can-utils and the agent alike ask for such a receive buffer.
RECEIVE_BUFFER = 4 << 20

DRIVE_MOTION, BRUSH_MOTORS = "0CFF2121", "0CFF2221"
DECK_STATE, BATTERY_STATE, HOUR_METERS = "18FF2321", "18FF2421", "321"

# Frame as cansend takes it, and channel and value that it must become. The layout is that
# of fixtures/scenario/bus.dbc, whose steps are those of the channels, packed here by hand.
VALUES = [
    (f"{DRIVE_MOTION}#{struct.pack('<hh', 536, -75).hex()}", {1: 536, 2: -75}),
    (f"{DRIVE_MOTION}#{struct.pack('<hh', -32767, 32000).hex()}", {1: -32767, 2: 32000}),
    (f"{BRUSH_MOTORS}#{struct.pack('<hhHH', 312, -5, 1800, 64000).hex()}", {8: 312, 9: -5, 12: 1800, 13: 64000}),
    (f"{DECK_STATE}#{bytes([0b101, 80, 55]).hex()}", {3: 1, 16: 0, 17: 1, 4: 80, 18: 55}),
    (f"{DECK_STATE}#{bytes([0b010, 0, 100]).hex()}", {3: 0, 16: 1, 17: 0, 4: 0, 18: 100}),
    (f"{BATTERY_STATE}#{struct.pack('>Hh', 2512, -874).hex()}", {20: 2512, 21: -874}),
    (f"{HOUR_METERS}#{struct.pack('<BI', 0, 3_600_000).hex()}", {24: 3_600_000}),
    (f"{HOUR_METERS}#{struct.pack('<BI', 1, 127).hex()}", {25: 127}),
    (f"{HOUR_METERS}#{struct.pack('<BI', 2, 2_000_000_000).hex()}", {26: 2_000_000_000}),
    ("123#DEAD", {}),
    ("321#R", {}),
    # CAN FD, with bit rate switch.
    (f"{DRIVE_MOTION}##1{struct.pack('<hh', 1234, 4321).hex()}", {1: 1234, 2: 4321}),
]
# Frames for each second of the rate 0: as fast as `cangen` can.
FLAT_OUT = 16_000
# More frames than the agent's buffer holds.
OVERFLOW = 20_000
# The guest sends this one after a silence: speed 10, turn rate -10.
AFTER_SILENCE = {1: 10, 2: -10}


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--rates", default="1000,8000,16000,0",
                        help="frames a second, bursts of 10 ms; 0: as fast as it goes")
    parser.add_argument("--seconds", type=int, default=10)
    parser.add_argument("--install", action="store_true")
    arguments = parser.parse_args()
    need.make_ready(need.FOR_CAN, arguments.install)
    need.build()
    rates = [int(rate) for rate in arguments.rates.split(",")]
    with tempfile.TemporaryDirectory(prefix="power-cut-", dir=need.CACHE) as folder:
        folder = Path(folder)
        run(folder, rates, arguments.seconds)
        problems = [*values(folder), *interface(folder)]
        for rate in rates:
            problems += at_rate(folder, rate, (rate or FLAT_OUT) * arguments.seconds)
        problems += overflow(folder)
    for problem in problems:
        print(f"PROBLEM {problem}")
    print(f"TOTAL can: {len(problems)} problems")
    sys.exit(1 if problems else 0)


def run(folder, rates, seconds):
    initramfs, tar = folder / "initramfs", folder / "tar"
    initramfs.write_bytes(guest.can_guest(frame for frame, _ in VALUES))
    with open(tar, "wb") as file:
        file.truncate(TAR_MIB << 20)
    running = machine.start(
        initramfs, "can", drives=[f"file={tar},format=raw"], memory_mib=512, cpus=2,
        RATES=",".join(map(str, rates)), SECONDS_EACH=seconds, CANDUMP_BUFFER=RECEIVE_BUFFER, OVERFLOW=OVERFLOW, FLAT_OUT=FLAT_OUT,
    )
    told = running.communicate(timeout=120 + 6 * seconds * len(rates))[0].decode(errors="replace")
    if "guest: all done" not in told or "did not say" in told:
        raise SystemExit(f"power_cut: the guest did not end well:\n{told}")
    with tarfile.open(tar) as archive:
        archive.extractall(folder)


def the_log(folder, name):
    log = log_reader.read(folder / "log" / name)
    if log.unread:
        print("power_cut: SKIPPED: this log has columns of pco: pip install pcodec")
        raise SystemExit(77)
    return log.boots[1], [f"{name}: {damage}" for damage in log.damage]


def outcome(folder, name, what):
    """A count that the agent printed; those of zero it leaves out."""
    text = (folder / f"seen/{name}.outcome").read_text()
    found = re.search(rf"^{what}:? +(\d+)$", text, re.MULTILINE)
    return int(found[1]) if found else 0


def values(folder):
    boot, problems = the_log(folder, "values")
    expected = {}
    for readings in [*(readings for _, readings in VALUES), AFTER_SILENCE]:
        for channel, value in readings.items():
            expected.setdefault(channel, []).append(value)
    if dict(boot.values) != expected:
        problems.append(f"values: {dict(boot.values)} instead of {expected}")
    counts = {"frames": len(VALUES) - 1, "CAN frames not mapped": 1, "remote and error frames": 1}
    for what, count in counts.items():
        if outcome(folder, "values", what) != count:
            problems.append(f"values: {what} {outcome(folder, 'values', what)} instead of {count}")
    seen = len((folder / "seen/values.candump").read_text().splitlines())
    if seen != len(VALUES) + 1:
        problems.append(f"values: candump saw {seen} frames of {len(VALUES) + 1}")
    print(f"values: {boot.readings()} readings of {seen} frames, as sent: {not problems}", flush=True)
    return problems


def interface(folder):
    boot, problems = the_log(folder, "interface")
    if boot.values[1] != [1, 2, 3]:
        problems.append(f"interface: speeds {boot.values[1]} instead of [1, 2, 3]")
    gaps = [reason for _, reason, _ in boot.gaps]
    if gaps != [SILENT, SILENT]:
        problems.append(f"interface: gaps {boot.gaps}, one for each time it was away expected")
    if boot.link_losses[DISCONNECTS] != 2 or outcome(folder, "interface", "port lost") != 2:
        problems.append(f"interface: lost {boot.link_losses[DISCONNECTS]} times in the log, "
                        f"{outcome(folder, 'interface', 'port lost')} in the outcome, not 2")
    told = (folder / "seen/interface.stderr").read_text()
    warnings = told.count(" WARN ")
    print(f"interface: down and up, deleted and made anew: {len(gaps)} gaps, "
          f"{boot.link_losses[DISCONNECTS]} disconnects, {warnings} warnings, good: {not problems}", flush=True)
    if problems:
        print(told)
    return problems


def received(folder, name, count):
    """Problems, what the log has, and how many frames it tells to be lost."""
    boot, problems = the_log(folder, name)
    logged = list(zip(boot.values[1], boot.values[2]))
    there = set(logged)
    sent = (struct.unpack("<hh", number.to_bytes(4, "little")) for number in range(count))
    if [pair for pair in sent if pair in there] != logged:
        problems.append(f"{name}: readings in the log that were not sent, doubled, or out of order")
    told_lost = boot.link_losses[LOST]
    if count - len(logged) != told_lost:
        problems.append(f"{name}: {count - len(logged)} frames missing, but the log tells of {told_lost}")
    if outcome(folder, name, "frames missing by number") != told_lost:
        problems.append(f"{name}: outcome and log tell different losses")
    return problems, logged, told_lost


def at_rate(folder, rate, count):
    name = f"rate-{rate}"
    problems, logged, told_lost = received(folder, name, count)
    lines = (folder / f"seen/{name}.candump").read_text().splitlines()
    stamps = [float(line[1:].split(")")[0]) for line in lines]
    ticks = [int(number) for number in (folder / f"seen/{name}.ticks").read_text().split()]
    agent_s = (sum(ticks[2:4]) - sum(ticks[0:2])) * TICK_S
    dump_s = (sum(ticks[6:8]) - sum(ticks[4:6])) * TICK_S
    wall_s = stamps[-1] - stamps[0] if len(stamps) > 1 else 0.0
    reached = (len(stamps) - 1) / wall_s if wall_s else 0.0
    print(
        f"rate {rate}: {count} frames sent, {reached:.0f} a second for {wall_s:.1f} s; agent: {len(logged)} "
        f"in the log, {count - len(logged)} lost, {told_lost} of them told, CPU {agent_s:.2f} s; "
        f"candump -L: {len(lines)} frames, {count - len(lines)} lost, CPU {dump_s:.2f} s; "
        f"{agent_s / dump_s if dump_s else 0:.2f} x candump's",
        flush=True,
    )
    return problems


def overflow(folder):
    problems, logged, told_lost = received(folder, "overflow", OVERFLOW)
    if told_lost == 0:
        problems.append("overflow: nothing was lost, so that nothing is shown")
    print(f"overflow: {OVERFLOW} frames to a stopped agent: {len(logged)} in the log, "
          f"{told_lost} told to be lost, good: {not problems}", flush=True)
    return problems


if __name__ == "__main__":
    main()
