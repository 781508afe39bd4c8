#!/usr/bin/env python3
"""Makes the disks that a power cut could have left, and judges each in the real kernel.

    python3 tests/power_cut/crash_states.py [--fs ext4|vfat|f2fs] [--states N] [--seed S] [--install]

A machine records on a disk that notes every write and flush (tools/, power-cut-disk); it
is killed and started again a few times. From each recording come disks that are cut at
any event, with none, all, the first, any, or torn ones of the writes that no flush had
made safe. In a second machine the kernel mounts each of them, power-cut-check compares
the log with what was promised before the cut, starts the real agent on it, which seals
what was left, and compares again.

Exit: 0 nothing promised is lost; 1 something is; 77 skipped.
"""

import argparse
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import guest
import machine
import model
import need
import stream

# Sync interval and age at which a journal is sealed, in s; each is one recording. The
# first is the usual one: its bytes tell how long a flash memory lives.
SETTINGS = [(1.0, 3600), (0.05, 3), (0.05, 3600), (1.0, 4), (0.25, 1)]
BOOTS = 3
BOOT_TIMEOUT_S = 90
BATCH = 100
CHECK_TIMEOUT_S = 600
# The agent is started on every disk with this much more of a bridge to record.
RESTART_FIRST, RESTART_FRAMES = 1_500_000_000, 200
# f2fs takes no smaller disk; the others are small so that images are quick to make.
MAKE = {
    "ext4": (32, ["mkfs.ext4", "-q", "-F", "-b", "4096", "-E", "lazy_itable_init=0,lazy_journal_init=0"]),
    "vfat": (48, ["mkfs.vfat", "-F", "32"]),
    "f2fs": (64, ["mkfs.f2fs", "-q", "-f"]),
}
# What a board runs at its start on a file system that does not mount.
REPAIR = {
    "ext4": ["e2fsck", "-f", "-y"],
    "vfat": ["fsck.vfat", "-a", "-w"],
    "f2fs": ["fsck.f2fs", "-a"],
}
SHIFT_S = 8 * 3600


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--fs", choices=MAKE, default="ext4")
    parser.add_argument("--states", type=int, default=1000)
    parser.add_argument("--recordings", type=int, choices=range(1, 6), default=5)
    parser.add_argument("--boot-seconds", type=float, default=7, help="time that each boot records")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="journals sealed every few seconds first")
    parser.add_argument("--look", action="store_true", help="what is lost is told, but is no failure")
    parser.add_argument("--install", action="store_true")
    arguments = parser.parse_args()
    need.make_ready([*need.FOR_A_DISK, MAKE[arguments.fs][1][0]], arguments.install)
    need.build()
    restart, restart_readings = stream.capture(RESTART_FIRST, RESTART_FRAMES)
    outcomes, lines, begun = Counter(), [], time.monotonic()
    settings_used = SETTINGS[1:] + SETTINGS[:1] if arguments.quick else SETTINGS
    for number, settings in enumerate(settings_used[: arguments.recordings]):
        with tempfile.TemporaryDirectory(prefix="power-cut-", dir=need.CACHE) as folder:
            recording = Recording(Path(folder), arguments.fs, settings, restart)
            recording.run(arguments.boot_seconds)
            count = share(arguments.states, arguments.recordings, number)
            found, bad = recording.judge(count, arguments.seed + number, restart_readings)
            outcomes += found
            lines += bad
            print(f"  {count} states: {dict(found)}", flush=True)
    for line in lines[:10]:
        print(f"BAD {line}")
    print(
        f"TOTAL {arguments.fs}: {arguments.states} states of {arguments.recordings} recordings in "
        f"{time.monotonic() - begun:.0f} s: {dict(sorted(outcomes.items()))}"
    )
    sys.exit(0 if outcomes["kept"] == arguments.states or arguments.look else 1)


def share(states, recordings, number):
    return states // recordings + (number < states % recordings)


class Recording:
    def __init__(self, folder, file_system, settings, restart):
        self.folder, self.file_system = folder, file_system
        self.sync_every_s, self.seal_after_s = settings
        self.base, self.log = folder / "base.img", folder / "recording"
        self.initramfs = folder / "initramfs"
        self.initramfs.write_bytes(guest.disk_guest(restart))
        # First number of the bridge in each boot.
        self.firsts = {}
        size_mib, make = MAKE[file_system]
        self.disk_bytes = size_mib << 20
        with open(self.base, "wb") as file:
            file.truncate(self.disk_bytes)
        subprocess.run([need.path_of(make[0]), *make[1:], self.base], check=True, stdout=subprocess.DEVNULL)

    def run(self, boot_s):
        """Records some boots, each killed in the middle."""
        disk, console_at = self.folder / "disk.sock", self.folder / "console.sock"
        server = subprocess.Popen(
            [need.host_program("power-cut-disk"), "record", self.base, self.log, disk, console_at],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )
        try:
            while not console_at.exists():
                time.sleep(0.01)
            console, bridge = machine.Console(server.stdout), stream.Bridge(first=1000)
            for boot in range(BOOTS):
                self.one_boot(boot_s, boot, console, bridge, disk, console_at)
            server.stdin.close()
            server.wait(timeout=30)
        finally:
            server.kill()
        told = subprocess.run([need.host_program("power-cut-disk"), "summary", self.log],
                              capture_output=True, text=True, check=True).stdout
        a_second = float(re.search(r"bytes_a_second=(\d+)", told)[1])
        print(f"{self.file_system}, sync {self.sync_every_s} s, seal {self.seal_after_s} s: {told.strip()}; "
              f"{a_second * SHIFT_S / 1e6:.0f} MB in a shift of 8 h", flush=True)

    def one_boot(self, boot_s, boot, console, bridge, disk, console_at):
        port = self.folder / f"port-{boot}"
        running = machine.start(
            self.initramfs, "record", console=f"socket,id=console,path={console_at}", port=port,
            drives=[f"driver=nbd,server.type=unix,server.path={disk},cache.direct=on"],
            FILE_SYSTEM=self.file_system, SYNC_EVERY_S=self.sync_every_s, SEAL_AFTER_S=self.seal_after_s,
        )
        try:
            until, sending = time.monotonic() + BOOT_TIMEOUT_S, None
            recording = False
            while found := console.next(until):
                line = found[1]
                if " port open " in line and sending is None:
                    sending = bridge.listen(port)
                synced = model.SYNCED.search(line)
                if synced and sending is not None:
                    self.firsts.setdefault(int(synced[1]), sending.first)
                    if int(synced[3]) and not recording:
                        recording, until = True, time.monotonic() + boot_s
                if "guest: agent ended" in line or "cannot mount" in line:
                    break
            if not recording:
                raise machine.Stuck(console.tail())
        finally:
            machine.cut_power(running)
        sending.ended()
        # Lines still on their way belong to this boot.
        time.sleep(0.3)

    def judge(self, count, seed, restart_readings):
        folder = self.folder / "states"
        subprocess.run(
            [need.host_program("power-cut-disk"), "states", self.base, self.log, folder,
             str(count), str(seed), str(BATCH)],
            check=True,
        )
        outcomes, bad = Counter(), []
        states = [State(*line.split()) for line in (folder / "states.txt").read_text().splitlines()]
        for batch in sorted({state.batch for state in states}):
            part = [state for state in states if state.batch == batch]
            verdicts, console = self.check(folder / batch, part, restart_readings)
            refused = [state for state in part if verdicts.get(int(state.place), "").startswith("unmountable")]
            if refused:
                outcomes["(mounted only after a repair)"] += len(refused)
                verdicts |= self.check(self.repaired(folder / batch, refused), refused, restart_readings)[0]
            for state in part:
                verdict = verdicts.get(int(state.place), "no verdict: " + console[-300:])
                outcome = outcome_of(verdict)
                outcomes[outcome] += 1
                for kind, pattern in SEEN.items():
                    outcomes[kind] += bool(re.search(pattern, verdict))
                if outcome != "kept":
                    bad.append(f"{state.batch} {state.place}, event {state.event}, {state.how} of "
                               f"{state.cached} cached writes: {verdict[:400]}")
            (folder / batch).unlink()
        return outcomes, bad

    def repaired(self, image, states):
        """A copy of the disks of these states, each repaired by the file system's own tool."""
        copy, one = self.folder / "repaired.img", self.folder / "one.img"
        with open(image, "rb") as disks, open(copy, "wb") as out:
            out.truncate(image.stat().st_size)
            for state in states:
                disks.seek(int(state.place) * self.disk_bytes)
                one.write_bytes(disks.read(self.disk_bytes))
                tool, *options = REPAIR[self.file_system]
                subprocess.run([need.path_of(tool), *options, one], capture_output=True)
                out.seek(int(state.place) * self.disk_bytes)
                out.write(one.read_bytes())
        return copy

    def check(self, image, states, restart_readings):
        """Verdicts by place, of one machine that mounts all disks of a batch."""
        lines = [f"{state.place} {self.promises(state)}\n" for state in states]
        text = ("".join(lines) + "end\n").encode()
        asked = self.folder / "asked"
        # A block device has whole sectors; what follows `end` is not read.
        asked.write_bytes(text.ljust(-(-len(text) // 512) * 512, b"\n"))
        running = machine.start(
            self.initramfs, "check",
            drives=[f"file={image},format=raw,snapshot=on,cache=unsafe", f"file={asked},format=raw,readonly=on"],
            FILE_SYSTEM=self.file_system, DISK_BYTES=self.disk_bytes,
            RESTART_FIRST=RESTART_FIRST, RESTART_READINGS=restart_readings,
        )
        try:
            told = running.communicate(timeout=CHECK_TIMEOUT_S)[0].decode(errors="replace")
        except subprocess.TimeoutExpired:
            running.kill()
            told = running.communicate()[0].decode(errors="replace")
        parts = re.split(r"^state (\d+) ", told.replace("\r", ""), flags=re.MULTILINE)
        return {int(place): verdict for place, verdict in zip(parts[1::2], parts[2::2])}, told

    def promises(self, state):
        """What `power-cut-check` is given: boots that had not synced are promised nothing."""
        synced = dict.fromkeys(self.firsts, (0, 0))
        for one in state.synced.split(","):
            boot, readings, notes = map(int, one.split(":"))
            synced[boot] = (readings, notes)
        return ",".join(f"{boot}:{self.firsts[boot]}:{readings}:{notes}"
                        for boot, (readings, notes) in sorted(synced.items()))


class State:
    """One line of states.txt."""

    def __init__(self, batch, place, event, how, cached, kept, synced):
        self.batch, self.place, self.event, self.how = batch, place, event, how
        self.cached, self.kept, self.synced = cached, kept, synced


# What the cuts met, beside what became of it.
SEEN = {
    "(torn batch)": r"before: .*?torn_bytes=[1-9]",
    "(unfinished archive)": r"before: .*?unfinished=[1-9]",
    "(journal without header)": r"before: .*?headless=[1-9]",
    "(agent told of loss)": r"after: agent=3",
}


def outcome_of(verdict):
    if "verdict=kept" in verdict:
        return "kept"
    if "verdict=LOST" in verdict:
        return "LOST"
    return "unmountable" if verdict.startswith("unmountable") else "no verdict"


if __name__ == "__main__":
    main()
