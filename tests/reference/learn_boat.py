#!/usr/bin/env python3
"""`underbrush-agent learn` on ten minutes of a real vehicle's bus with a known layout.

usage: python3 tests/reference/learn_boat.py [--fetch]

The recording is of a sailing boat under way, 35 messages with J1939 identifiers: the only
one found in a registry package. It is in the package signalk-server 2.23.0 (Apache-2.0) of the npm
registry; what its speeds are is said by the package @canboat/canboatjs 3.20.0 (Apache-2.0).
`--fetch` fetches both by npm into target/reference/boat; they are not kept with the project.

The recording holds whole messages. Those longer than 8 bytes are put back into frames as
they were on the bus (first frame 6 bytes, the others 7; from memory of the open
descriptions). A boat has no wheel: its speeds are that over ground (in two messages of
one bit layout each) and that through water. It never stood, and nobody was prompted.

Wanted: a speed over ground among the first three candidates with nothing known, and as the
first with nine noted speeds, which are taken from the positions of the recording. Exit: 0
so, 1 not, 77 skipped.
"""

import datetime
import json
import math
import pathlib
import re
import shutil
import subprocess
import sys
import tarfile

TOP = pathlib.Path(__file__).resolve().parents[2]
PLACE = TOP / "target/reference/boat"
AGENTS = [TOP / "target/release/underbrush-agent", TOP / "target/debug/underbrush-agent"]
RECORDING, LAYOUT = "signalk-server-2.23.0", "@canboat/canboatjs@3.20.0"
POSITION, OVER_GROUND, THROUGH_WATER = 129025, 129026, 128259
# Decodes every line with the published layout and prints the speeds.
DECODE = """
const { FromPgn } = require('@canboat/canboatjs');
const lines = require('fs').readFileSync(0, 'utf8').split('\\n');
const reader = new FromPgn({});
reader.on('error', () => {});
reader.on('warning', () => {});
for (const line of lines) {
    const read = line && reader.parseString(line);
    const fields = (read && read.fields) || {};
    for (const name of ['sog', 'speedGroundReferenced', 'speedWaterReferenced'])
        if (typeof fields[name] === 'number')
            console.log(JSON.stringify([line.split(',')[0], read.pgn, name, fields[name]]));
}
"""


def skip(why):
    print(f"skipped: {why}")
    sys.exit(77)


def fetch():
    PLACE.mkdir(parents=True, exist_ok=True)
    calls = [["npm", "pack", "--silent", RECORDING.replace("-2.", "@2.")]]
    calls.append(["npm", "install", "--silent", "--ignore-scripts", "--prefix", ".", LAYOUT])
    for call in calls:
        done = subprocess.run(call, cwd=PLACE, capture_output=True, text=True)
        if done.returncode:
            skip(f"not fetched: {call[-1]}: {done.stderr.strip().splitlines()[-1:]}")


def lines():
    package = PLACE / f"{RECORDING}.tgz"
    if not package.exists() or not (PLACE / "node_modules/@canboat/canboatjs").exists():
        skip("the recording is not in target/reference/boat (--fetch)")
    with tarfile.open(package) as tar:
        entry = next(e for e in tar if re.search(r"/samples/[^/]*n2k[^/]*\.data$", e.name))
        return tar.extractfile(entry).read().decode().splitlines()


def seconds(stamp):
    return datetime.datetime.fromisoformat(stamp.replace("Z", "+00:00")).timestamp()


def messages(text):
    for line in text:
        stamp, priority, pgn, source, target, length, *data = line.split(",")
        data = bytes(int(byte, 16) for byte in data)
        assert len(data) == int(length), line
        pgn = int(pgn)
        # Larger numbers are notes of the converter that recorded, not messages of the bus.
        if pgn < 1 << 18:
            if pgn >> 8 & 255 < 240:
                pgn |= int(target)
            yield seconds(stamp), int(priority) << 26 | pgn << 8 | int(source), data


def frames(read):
    """Splits what was put together."""
    order = {}
    for at, identifier, data in read:
        if len(data) <= 8:
            yield at, identifier, data
            continue
        number = order[identifier] = (order.get(identifier, -1) + 1) % 8
        parts = [bytes([number << 5, len(data)]) + data[:6]]
        for place, start in enumerate(range(6, len(data), 7), 1):
            parts.append(bytes([number << 5 | place]) + data[start : start + 7].ljust(7, b"\xff"))
        for place, part in enumerate(parts):
            yield at + place * 0.0006, identifier, part


def noted(read):
    """Nine speeds by the positions five before and five after, the mean over 6 s."""
    degrees = [
        (at, *(int.from_bytes(data[i : i + 4], "little", signed=True) * 1e-7 for i in (0, 4)))
        for at, identifier, data in read
        if identifier >> 8 & 0x3FFFF == POSITION
    ]
    speeds = []
    for before, here, after in zip(degrees, degrees[5:], degrees[10:]):
        north = math.radians(after[1] - before[1])
        east = math.radians(after[2] - before[2]) * math.cos(math.radians(here[1]))
        speeds.append((here[0], 6_371_000 * math.hypot(north, east) / (after[0] - before[0])))
    start = read[0][0]
    for minute in range(1, 10):
        near = [speed for at, speed in speeds if abs(at - start - 60 * minute) < 3]
        yield f"{60 * minute} s={sum(near) / len(near):.3f} m/s"


def correlation(pairs):
    xs, ys = zip(*pairs)
    mx, my = sum(xs) / len(xs), sum(ys) / len(ys)
    both = sum((x - mx) * (y - my) for x, y in pairs)
    return both / math.sqrt(sum((x - mx) ** 2 for x in xs) * sum((y - my) ** 2 for y in ys) or 1)


def learn(agent, options):
    """What each candidate of the draft is: identifier, bits, factor."""
    out = PLACE / "learnt"
    shutil.rmtree(out, ignore_errors=True)
    call = [agent, "learn", "--capture", PLACE / "bus.log", "--out", out, *options]
    # It ends with 3 where it is not sure.
    subprocess.run(call, capture_output=True, check=False)
    draft = (out / "learnt.dbc").read_text()
    found = {}
    for identifier, name, start, length, order, factor in re.findall(
        r"BO_ (\d+) [^\n]*\n SG_ (Speed\w*) : (\d+)\|(\d+)@([01])[+-] \(([^,]*),", draft
    ):
        place = int(name[len("SpeedOr") :] or 0) if name != "Speed" else 0
        bits = int(start), int(length), order == "1"
        found[place] = int(identifier) & (1 << 29) - 1, bits, float(factor)
    return [found[place] for place in sorted(found)]


def number(data, start, length, little):
    """The bits of a DBC file's signal."""
    if little:
        return int.from_bytes(data[:8], "little") >> start & (1 << length) - 1
    first = start - start % 8 + 7 - start % 8
    return int.from_bytes(data[:8], "big") >> 8 * len(data[:8]) - first - length & (1 << length) - 1


def main():
    if "--fetch" in sys.argv:
        fetch()
    agent = next((a for a in AGENTS if a.exists()), None) or skip("no underbrush-agent is built")
    node = shutil.which("node") or skip("no node")
    text = lines()
    call = [node, "-e", DECODE]
    decoded = subprocess.run(
        call, input="\n".join(text), cwd=PLACE, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    truth = {}
    for stamp, pgn, name, value in map(json.loads, decoded):
        truth.setdefault((pgn, name), []).append((seconds(stamp), value))
    read = list(messages(text))
    with open(PLACE / "bus.log", "w") as log:
        for at, identifier, data in frames(read):
            log.write(f"({at:.6f}) can0 {identifier:08X}#{data.hex().upper()}\n")

    def of(candidate):
        """Name of the published speed that it is, else `nothing of the kind`."""
        identifier, bits, factor = candidate
        pgn = identifier >> 8 & 0x3FFFF
        numbers = {at: number(data, *bits) for at, other, data in read if other == identifier}
        for (told, name), values in truth.items():
            pairs = [(numbers[at], value) for at, value in values if at in numbers]
            if told == pgn and len(pairs) > 100 and correlation(pairs) > 0.999:
                return f"{name} of {pgn}, factor {factor:.4f} for 0.01"
        return f"nothing of the kind ({pgn})"

    bare = [of(candidate) for candidate in learn(agent, [])]
    told = [f"--speed-at={speed}" for speed in noted(read)]
    known = [of(candidate) for candidate in learn(agent, told)]
    print("nothing known:", *bare, sep="\n  ")
    print("nine speeds noted:", *known, sep="\n  ")
    ground = ("sog", "speedGround")
    assert any(name.startswith(ground) for name in bare[:3]), "no speed over ground in three"
    assert known and known[0].startswith(ground), "speed over ground is not the first"
    among = sum(name.startswith((*ground, "speedWater")) for name in known[:3])
    places = [place for place, name in enumerate(bare[:3], 1) if name.startswith(ground)]
    print(
        f"a real bus: with nothing known its speed over ground is candidate {places}, "
        f"with nine noted speeds {among} of the first three are its speeds"
    )


main()
