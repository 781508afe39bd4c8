"""Import of a recording: 1 GB of `candump -L` text into a log, beside python-can.

The recording is made from a seed: a bus of 500 kbit/s that is nearly full (2,500 frames a
second of 11 and 29 bits), with the frames of the tests' machine at their usual pace among
them: speed 50, brushes 20, battery 10 times a second. The agent reads all of it, takes the
mapped signals by the DBC file, and writes, syncs and seals the log. python-can reads the
first 40 MB to messages, without decoding or storing anything.
"""

import random

from measure import TOP, Skipped, Wrong, run

BYTES = 1_000_000_000
SLICE = 40_000_000
FRAMES_A_SECOND = 2_500
GOAL_S = 10
STAMP = b"@@@@@@@@@@"
START = 1_795_492_800
MAPPED = [("180", 4, 50), ("210", 5, 20), ("0CFF1055", 4, 10)]


def second(rng):
    """The lines of one second, with a mark in place of the seconds, and how many are mapped."""
    frames = []
    for name, length, pace in MAPPED:
        for place in range(pace):
            # Small numbers in the first byte and none in the second: within the channels' range.
            data = bytes([rng.randrange(200), 0]) + bytes(length - 2)
            frames.append((place * 1_000_000 // pace + rng.randrange(500), name, data))
    mapped = len(frames)
    while len(frames) < FRAMES_A_SECOND:
        wide = rng.random() < 0.4
        # Wide ones of PDU format F0: neither the battery's group nor long messages.
        number = rng.randrange(1 << 28, 1 << 29) & ~(0xFF << 16) | 0xF0 << 16
        number = number if wide else rng.randrange(0x300, 0x7FF)
        data = rng.randbytes(rng.choice([8, 8, 8, 6, 4, 2]))
        frames.append((rng.randrange(1_000_000), f"{number:08X}" if wide else f"{number:03X}", data))
    frames.sort()
    lines = [f"(@@@@@@@@@@.{us:06}) can0 {name}#{data.hex().upper()}\n" for us, name, data in frames]
    return "".join(lines).encode(), mapped


def write(path):
    """Writes the recording; frames, mapped frames and bytes."""
    rng = random.Random(20261126)
    seconds = [second(rng) for _ in range(40)]
    frames = mapped = size = 0
    with open(path, "wb") as out:
        while size < BYTES:
            text, of_them = seconds[frames // FRAMES_A_SECOND % len(seconds)]
            at = START + frames // FRAMES_A_SECOND
            size += out.write(text.replace(STAMP, b"%d" % at))
            frames += FRAMES_A_SECOND
            mapped += of_them
    return frames, mapped, size


def recording(kit, table):
    folder = kit.work / "candump"
    folder.mkdir()
    path = folder / "bus.log"
    frames, mapped, size = write(path)
    data = TOP / "agent/tests/data"
    settings = folder / "agent.toml"
    settings.write_text(
        f'log_dir = "log"\nmachine = "{data}/machine.toml"\n[source]\nkind = "can-capture"\n'
        f'file = "bus.log"\ndbc = "{data}/bus.dbc"\n'
    )
    here = run([kit.program("underbrush-agent"), "run", "--config", settings])
    if here.value("frames") != mapped or here.value("bytes read") != size:
        raise Wrong(f"{mapped} of {frames} frames were to be taken:\n{here.printed}")
    pace = size / here.wall_s / 1e6
    text = f"{here.wall_s:.1f} s ({here.cpu_s:.1f} s of CPU), {frames / here.wall_s / 1e6:.1f} M frames/s, {pace:.0f} MB/s"
    goal = (f"< {GOAL_S} s", here.wall_s < GOAL_S)
    what = f"import of {size / 1e9:.1f} GB of candump, {frames / 1e6:.0f} M frames"
    try:
        part = folder / "part.log"
        with open(path, "rb") as whole, open(part, "wb") as out:
            cut = whole.read(SLICE)
            out.write(cut[: cut.rindex(b"\n") + 1])
        peer = run(kit.peer("can", "peer_candump.py", part))
        beside = part.stat().st_size / peer.value("seconds") / 1e6
        other = f"python-can, reading alone: {peer.value('frames') / peer.value('seconds') / 1e6:.2f} M frames/s, {beside:.1f} MB/s"
        table.add(what, text, other, pace / beside, goal)
    except Skipped as why:
        table.add(what, text, "", None, goal)
        table.skip(f"{what}: peer", why)
    path.unlink()
