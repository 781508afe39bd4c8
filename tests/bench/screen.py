"""`underbrush browse`: any second of a year's logs, and scrolling through a long shift.

The year is seven simulated nights recorded again and again under other dates. A second is
*open* when the first picture of it stands on the terminal: on a pseudo-terminal, from the
start of the process to its last letter. The page cache is warm.
"""

import datetime
import os
import pty
import random
import select
import statistics
import struct
import subprocess
import tempfile
import termios
import time
from fcntl import ioctl

from measure import Wrong, run
from sheets import FIRST, SCENARIO, starts

NIGHTS = 365
GOAL_MS = 100
GOAL_FRAMES = 30
EVENTS = 21
SIZE = (120, 40)


def screen(kit, table):
    files = SCENARIO / "site.toml", SCENARIO / "machine.toml"
    program = kit.program("bench_screen")
    log = kit.work / "screen-year"
    made = run([program, "year", log, files[1], *starts(NIGHTS)])
    name = f"any second of {made.value('nights'):.0f} nights, {made.value('files'):.0f} files"
    count = 100
    opened = run([program, "open", log, *files, count])
    if opened.value("drawn") < count * 0.9:
        raise Wrong(f"only {opened.value('drawn'):.0f} of {count} pictures show a reading")
    median, worst = opened.value("picture_median_ms"), opened.value("picture_worst_ms")
    logs = opened.value("logs_median_ms")
    # The list of nights, from which the seconds are chosen, is one more.
    cpu = opened.cpu_s * 1e3 / (count + 1)
    text = f"{median:.0f} ms median, {worst:.0f} worst of {count}, {cpu:.0f} of CPU; "
    text += f"{logs:.0f} of it the list of logs"
    table.add(name, text, goal=(f"< {GOAL_MS} ms", worst < GOAL_MS))
    times = [first_picture(kit, log, files, day) * 1e3 for day in range(3, NIGHTS, NIGHTS // 20)]
    text = f"{statistics.median(times):.0f} ms median, {max(times):.0f} worst of {len(times)}"
    name = "the same as a program on a terminal, from its start"
    table.add(name, text, goal=(f"< {GOAL_MS} ms", max(times) < GOAL_MS))
    an_event(kit, table, log, files)
    scrolled = run([program, "scroll", kit.work / "screen-14h", *files])
    if scrolled.value("dots") < 500:
        raise Wrong(f"{scrolled.value('dots'):.0f} dots a picture: it shows nothing")
    frames, least = scrolled.value("frames_a_second"), scrolled.value("frames_a_second_worst")
    text = f"{frames:.0f} frames/s, the slowest {least:.0f}; read once in {scrolled.value('overview_ms'):.0f} ms"
    name = "scrolling 14 h at all zooms, 200 x 60 letters"
    table.add(name, text, goal=(f"> {GOAL_FRAMES} frames/s", least > GOAL_FRAMES))


def an_event(kit, table, log, files):
    """The page of any event of the year, as text: with no night kept, with all nights but not
    its own shift, and once a list told of it."""
    program = kit.program("underbrush")
    files = ["--log", log, "--site", files[0], "--machine", files[1]]

    def page(event):
        return run([program, "trace", event, "--width", "100", *files])

    with tempfile.TemporaryDirectory(dir=kit.work) as kept:
        last = FIRST + datetime.timedelta(days=NIGHTS - 1)
        os.environ["UNDERBRUSH_NIGHTS"] = kept
        try:
            first = page(f"{last}.1")
            unlisted = page(f"{FIRST + datetime.timedelta(days=NIGHTS // 2)}.1")
            days = ["--from", FIRST, "--to", last]
            listed = run([program, "events", *days, "--csv", *files], expect=(0, 3))
            ids = [line.split(",")[0].strip("'") for line in listed.printed.splitlines()]
            ids = [event for event in ids if event[:2] == "20"]
            chosen = random.Random(1).sample(ids, EVENTS)
            again = [page(event) for event in chosen]
        finally:
            os.environ["UNDERBRUSH_NIGHTS"] = ""
    # The first is of the last night, so that all others are read for it in either case.
    if page(f"{last}.1").printed != first.printed:
        raise Wrong("kept nights tell another event than the logs")
    if any(event not in one.printed for event, one in zip(chosen, again)):
        raise Wrong("a page is of another event")
    times = [one.wall_s * 1e3 for one in again]
    text = f"{statistics.median(times):.0f} ms median, {max(times):.0f} worst of {len(times)} "
    text += f"from {len(ids)}; before a list told of it {unlisted.wall_s * 1e3:.0f} ms; "
    text += f"the first command after {NIGHTS} new nights {first.wall_s:.0f} s, "
    text += f"the list of all events {listed.wall_s:.0f} s"
    goal = (f"< {GOAL_MS} ms", max(times) < GOAL_MS)
    table.add("`trace` of any event of that year, its work placed by all nights", text, goal=goal)


def first_picture(kit, log, files, day):
    """Seconds until the screen stands; the last thing that is drawn are the keys."""
    date = FIRST + datetime.timedelta(days=day + 1)
    at = f"{date}T0{day % 4}:{day % 60:02}:{day * 7 % 60:02}"
    args = [kit.program("underbrush"), "browse", "--log", log, "--site", files[0]]
    args += ["--machine", files[1], "--at", at]
    controller, user = pty.openpty()
    ioctl(user, termios.TIOCSWINSZ, struct.pack("HHHH", SIZE[1], SIZE[0], 0, 0))
    start = time.perf_counter()
    child = subprocess.Popen([str(arg) for arg in args], stdin=user, stdout=user, stderr=user)
    said = b""
    while b"q leave" not in said:
        if not select.select([controller], [], [], 20)[0]:
            child.kill()
            raise Wrong(f"nothing is drawn: {said[-300:]}")
        said += os.read(controller, 65536)
    took = time.perf_counter() - start
    os.write(controller, b"q")
    # Reads on, so that it can write on.
    while child.poll() is None:
        if select.select([controller], [], [], 0.05)[0]:
            os.read(controller, 65536)
    os.close(controller)
    os.close(user)
    if not any(0x2801 <= ord(letter) <= 0x28FF for letter in said.decode(errors="replace")):
        raise Wrong(f"{at} shows no reading")
    return took
