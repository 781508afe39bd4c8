"""Bytes a night takes: the sealed log beside other ways to keep the same rows."""

import gzip

from measure import Skipped, run
from sheets import starts


def log_sizes(kit, table):
    for plan in ("plain", "bench", "demo"):
        log, rows = kit.work / f"size-{plan}", kit.work / f"size-{plan}.rows"
        made = kit.kit("nights", plan, log, *starts(1))
        frames, readings = made.value("frames"), made.value("readings")
        sealed = sum(path.stat().st_size for path in log.glob("*.archive"))
        kit.kit("rows", log, rows)
        what = f"log, {plan}: {frames:,.0f} frames, {readings:,.0f} readings"
        here = f"{sealed / 1e3:,.0f} kB, {sealed / frames:.2f} B a frame"

        def beside(name, size, here=here, sealed=sealed, frames=frames, what=what):
            text = f"{name}: {size / 1e3:,.0f} kB, {size / frames:.2f} B a frame"
            table.add(what, here, text, sealed / size)

        try:
            for line in peer_lines(kit, rows):
                name, size = line.split("|")
                beside(name, int(size))
        except Skipped as why:
            table.skip(f"Parquet beside log, {plan}", why)
        raw, text = kit.work / f"{plan}.bytes", kit.work / f"{plan}.candump"
        kit.kit("capture", plan, raw, text)
        with text.open("rb") as file:
            beside("candump -L text, gzip -9", len(gzip.compress(file.read(), 9)))
        packed = gzip.compress(raw.read_bytes(), 9)
        beside("the bridge's wire bytes, gzip -9", len(packed))


def peer_lines(kit, rows):
    """What peer_sizes.py found."""
    printed = run(kit.peer("pyarrow", "peer_sizes.py", rows)).printed
    return printed.splitlines()
