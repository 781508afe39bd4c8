"""The agent under load at a real pseudo terminal, and a plain reader at the same."""

import os
import re
import shutil
import signal
import subprocess
import threading
import time
import tty

from measure import TOP, Skipped, Wrong

STEP_S = 0.002
TICK_S = 1 / os.sysconf("SC_CLK_TCK")
FAST = 8000
FAST_SECONDS = 20
# 1,000,000 bits a second, ten of them a byte: start bit, eight data bits, stop bit.
FULL_BYTES_S = 100_000


def agent_load(kit, table):
    for rate, seconds in ((1000, kit.seconds), (FAST, FAST_SECONDS), (None, FAST_SECONDS)):
        line = ""
        if rate is None:
            rate = frames_that_fill_the_line(kit, seconds)
            line = ", a full line of 1 Mbit/s"
        stream = kit.work / f"stream-{rate}"
        made = kit.kit("stream", "bench", rate, seconds, stream)
        if made.value("frames") != rate * seconds:
            raise Wrong("a night has not so many frames")
        pieces = cut(stream.read_bytes(), rate)
        here = agent(kit, pieces, rate, seconds, made)
        name = f"agent, {rate:,} frames/s for {seconds} s{line}"
        share = here["cpu_s"] / here["wall_s"] * 100
        goals = [
            (f"{share:.2f} % of a core", ("< 3 % of a core", share < 3) if rate == 1000 else ""),
            (f"peak {here['peak_mib']:.1f} MiB", ("< 10 MiB", here["peak_mib"] < 10)),
        ]
        try:
            peer = plain_reader(kit, pieces, stream)
            peer_share = peer["cpu_s"] / peer["wall_s"] * 100
            besides = [
                (f"pyserial to file, fdatasync each s: {peer_share:.2f} %", share / peer_share),
                (f"pyserial: {peer['peak_mib']:.1f} MiB", here["peak_mib"] / peer["peak_mib"]),
            ]
        except Skipped as why:
            table.skip(f"peer of {name}", why)
            besides = [("", None), ("", None)]
        for (text, goal), (beside, ratio) in zip(goals, besides):
            table.add(name, text, beside, ratio, goal)
        counts = f"{here['lost']} frames lost, {here['frames']:,} of {rate * seconds:,} in the log"
        late = f"sender held up at most {here['late_ms']:.0f} ms"
        table.add(name, counts, late, None, ("0 lost", here["lost"] == 0))


def frames_that_fill_the_line(kit, seconds):
    """Frames a second that take FULL_BYTES_S, by the mean length of a night's frames."""
    stream = kit.work / "stream-length"
    made = kit.kit("stream", "bench", FAST, seconds, stream)
    return round(FULL_BYTES_S * made.value("frames") / stream.stat().st_size)


def cut(data, rate):
    """The bytes due in each step; a packet ends with its zero byte."""
    ends = [place + 1 for place, byte in enumerate(data) if byte == 0]
    pieces, start = [], 0
    for step in range(1, int(len(ends) / rate / STEP_S) + 1):
        due = min(int(step * STEP_S * rate), len(ends))
        end = ends[due - 1] if due else 0
        pieces.append(data[start:end])
        start = end
    return [*pieces, data[start:]]


class Port:
    """A pseudo terminal in raw mode, with a link to it."""

    def __init__(self, link):
        self.bridge, self.other = os.openpty()
        tty.setraw(self.other)
        link.unlink(missing_ok=True)
        link.symlink_to(os.ttyname(self.other))

    def send(self, pieces):
        """Sends each piece when it is due; the longest delay in ms."""
        begun, late = time.monotonic(), 0.0
        for step, piece in enumerate(pieces):
            due = begun + step * STEP_S
            time.sleep(max(0.0, due - time.monotonic()))
            while piece:
                piece = piece[os.write(self.bridge, piece) :]
            late = max(late, time.monotonic() - due)
        return late * 1e3

    def close(self):
        os.close(self.bridge)
        os.close(self.other)


class Watched:
    """A running program that reads the port."""

    def __init__(self, args, ready):
        self.child = subprocess.Popen(
            [str(arg) for arg in args],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.notes, self.ready, self.is_ready = [], ready, threading.Event()
        self.listener = threading.Thread(target=self.listen, daemon=True)
        self.listener.start()
        if not self.is_ready.wait(20):
            self.child.kill()
            raise Wrong(f"`{ready}` was not said, but: {''.join(self.notes)}")

    def listen(self):
        for line in self.child.stderr:
            self.notes.append(line)
            if self.ready in line:
                self.is_ready.set()

    def cpu_s(self):
        """proc(5): utime and stime, 11 and 12 fields behind the state."""
        stat = open(f"/proc/{self.child.pid}/stat").read().rsplit(") ", 1)[1].split()
        return (int(stat[11]) + int(stat[12])) * TICK_S

    def peak_mib(self):
        status = open(f"/proc/{self.child.pid}/status").read()
        return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) / 1024

    def measure(self, port, pieces):
        cpu_s, begun = self.cpu_s(), time.monotonic()
        late_ms = port.send(pieces)
        time.sleep(0.5)
        return {
            "cpu_s": self.cpu_s() - cpu_s,
            "wall_s": time.monotonic() - begun,
            "peak_mib": self.peak_mib(),
            "late_ms": late_ms,
        }

    def stop(self):
        """Ends it by SIGTERM; what it printed."""
        self.child.send_signal(signal.SIGTERM)
        printed = self.child.stdout.read()
        if self.child.wait() != 0:
            raise Wrong(f"it ended with {self.child.returncode}: {''.join(self.notes)}")
        self.listener.join()
        return printed


def agent(kit, pieces, rate, seconds, made):
    folder = kit.work / f"load-{rate}"
    folder.mkdir()
    shutil.copy(TOP / "fixtures/scenario/machine.toml", folder)
    port = Port(folder / "port")
    config = folder / "agent.toml"
    config.write_text(
        'log_dir = "log"\nmachine = "machine.toml"\n'
        f'[source]\nkind = "serial"\nport = "{folder / "port"}"\nbaud = 921600\n'
    )
    running = Watched([kit.program("underbrush-agent"), "run", "--config", config], "port open")
    try:
        found = running.measure(port, pieces)
        printed = running.stop()
    finally:
        running.child.kill()
        port.close()
    frames = int(re.search(r"^frames +(\d+)$", printed, re.MULTILINE)[1])
    losses = r"^(?:frames missing|packets|readings not|port|bridge).*: (\d+)$"
    told = [int(count) for count in re.findall(losses, printed, re.MULTILINE)]
    # By its own counters, and by the log, where every Motion frame has one speed.
    rows = kit.kit("rows", folder / "log", folder / "rows")
    unseen = int(made.value("motions") - rows.value("speeds"))
    found.update(frames=frames, lost=max(rate * seconds - frames, unseen, *told, 0))
    return found


def plain_reader(kit, pieces, stream):
    link, out = kit.work / "peer-port", kit.work / "peer-bytes"
    port = Port(link)
    running = Watched(kit.peer("serial", "peer_serial.py", link, out), "reading")
    try:
        found = running.measure(port, pieces)
        running.stop()
    finally:
        running.child.kill()
        port.close()
    if out.read_bytes() != stream.read_bytes():
        raise Wrong("the peer did not write what was sent")
    return found
