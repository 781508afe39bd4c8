"""What readings at full rate cost: an hour with many events, with and without them."""

import re
import shutil
import subprocess
import time

from load import Watched
from measure import TOP, Wrong, mib, run

MINUTES = 60


def full_rate(kit, table):
    fine, plain = (hour(kit, more) for more in (["--high-rate"], []))
    if fine["given"] == 0 or fine["lost"]:
        raise Wrong(f"{fine['given']} readings at full rate in the log, {fine['lost']} lost")
    name = f"full rate, 2 motors at 1 kHz: an hour with {fine['events']} events"
    share = fine["given"] / fine["came"] * 100
    table.add(name, f"{fine['given']:,} of {fine['came']:,} readings in the log, {share:.0f} %")
    for what, key, unit in (
        ("log", "archive", "kB"),
        ("on the line", "wire", "kB"),
        ("replay, CPU", "cpu_s", "s"),
    ):
        scale = 1e3 if unit == "kB" else 1
        here, beside = (f"{one[key] / scale:,.2f} {unit}" for one in (fine, plain))
        table.add(name, f"{what}: {here}", f"without: {beside}", fine[key] / plain[key])
    here, beside = live(kit, ["--high-rate"]), live(kit, [])
    name = f"the same live at a port, {kit.seconds} s"
    shares = [f"{one['cpu_s'] / kit.seconds * 100:.2f} % of a core" for one in (here, beside)]
    table.add(name, shares[0], f"without: {shares[1]}", here["cpu_s"] / beside["cpu_s"])
    more = here["peak_mib"] - beside["peak_mib"]
    table.add(name, f"{mib(here['peak_mib'])}, {more:.1f} more", f"without: {mib(beside['peak_mib'])}")


def simulate(kit, more):
    return [kit.program("simulate"), "--plan", "short", "--minutes", MINUTES, "--seed", 7, *more]


def settings(folder, source):
    folder.mkdir()
    shutil.copy(TOP / "fixtures/scenario/machine.toml", folder)
    config = folder / "agent.toml"
    config.write_text(f'log_dir = "log"\nmachine = "machine.toml"\n[source]\n{source}\n')
    return config


def hour(kit, more):
    """The whole hour as a recording."""
    folder = kit.work / f"full-rate{''.join(more)}"
    config = settings(folder, 'kind = "capture"\nfile = "hour.bytes"')
    wire = folder / "hour.bytes"
    run([*simulate(kit, more), "--out", wire])
    done = run([kit.program("underbrush-agent"), "run", "--config", config], expect=(0, 3))
    told = re.search(r"at full rate +(\d+) of (\d+), (\d+) events", done.printed)
    given, came, events = (int(count) for count in told.groups()) if told else (0, 0, 0)
    lost = re.search(r"readings at full rate lost: (\d+)", done.printed)
    return {
        "archive": sum(path.stat().st_size for path in (folder / "log").glob("*.archive")),
        "wire": wire.stat().st_size,
        "cpu_s": done.cpu_s,
        "given": given,
        "came": came,
        "events": events,
        "lost": int(lost[1]) if lost else 0,
    }


def live(kit, more):
    """Its first seconds at a pseudo terminal, as fast as they were."""
    folder = kit.work / f"full-rate-live{''.join(more)}"
    bridge = subprocess.Popen(
        [str(arg) for arg in [*simulate(kit, more), "--pty"]],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    port = bridge.stdout.readline().split()[-1]
    source = f'kind = "serial"\nport = "{port}"\nbaud = 921600'
    config = settings(folder, source)
    running = Watched([kit.program("underbrush-agent"), "run", "--config", config], "port open")
    try:
        cpu_s = running.cpu_s()
        time.sleep(kit.seconds)
        found = {"cpu_s": running.cpu_s() - cpu_s, "peak_mib": running.peak_mib()}
        printed = running.stop()
    finally:
        running.child.kill()
        bridge.kill()
    if not re.search(r"^frames +\d{3,}$", printed, re.MULTILINE):
        raise Wrong(f"hardly a frame came:\n{printed}")
    return found
