"""Reading of CAN recordings against python-can 4.6.1.

python-can writes rich random recordings (classic and FD, 11 and 29 bits, remote and error
frames, two buses) in candump, ASC, BLF and TRC; it and the agent's reader (the example
`capture_frames`) read them, and time (us since the first frame), bus, kind, identifier and data
of every frame must be equal. With a folder as argument (`test/data` of python-can's source
package) its sample files are compared too.

    python3 -m venv v && v/bin/pip install python-can==4.6.1
    cargo build --workspace --example capture_frames
    v/bin/python tests/reference/captures.py [FOLDER]

Known differences, left out: python-can takes an FD frame without data in ASC for a remote one.
"""

import logging
import os
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import can

FD_LENGTHS = [1, 2, 3, 4, 5, 6, 7, 8, 12, 16, 20, 24, 32, 48, 64]
START = 1_795_492_800.0


def program():
    root = Path(__file__).resolve().parents[2]
    target = Path(os.environ.get("CARGO_TARGET_DIR", root / "target"))
    found = [target / kind / "examples" / "capture_frames" for kind in ("release", "debug")]
    for path in found:
        if path.exists():
            return path
    subprocess.run(["cargo", "build", "-q", "--workspace", "--example", "capture_frames"],
                   cwd=root, check=True)
    return found[1]


def messages(dice, count, trc):
    """Random frames; TRC of python-can holds no error frames and no second bus from 0."""
    at = START
    for _ in range(count):
        at = round(at + dice.choice([0, 1e-6, 1e-4, 0.0017, 0.25]), 6)
        extended = dice.random() < 0.4
        common = {
            "timestamp": at,
            "arbitration_id": dice.randrange(1 << (29 if extended else 11)),
            "is_extended_id": extended,
            "channel": 1 if trc else dice.randrange(2),
            "is_rx": dice.random() < 0.8,
        }
        kind = dice.random()
        if kind < 0.1:
            yield can.Message(is_remote_frame=True, dlc=dice.randrange(9), **common)
        elif kind < 0.15 and not trc:
            yield can.Message(is_error_frame=True, dlc=8, data=bytes(8), **common)
        elif kind < 0.5:
            data = dice.randbytes(dice.choice(FD_LENGTHS))
            yield can.Message(is_fd=True, bitrate_switch=dice.random() < 0.5,
                              error_state_indicator=dice.random() < 0.2, data=data, **common)
        else:
            yield can.Message(data=dice.randbytes(dice.randrange(9)), **common)


def kind_of(message):
    if message.is_error_frame:
        return ("error",)
    if message.is_remote_frame:
        return ("remote",)
    if not message.is_extended_id and message.arbitration_id > 0x7FF:
        return ("impossible",)
    width = 8 if message.is_extended_id else 3
    return ("data", f"{message.arbitration_id:0{width}X}", bytes(message.data).hex().upper())


def by_peer(path):
    with can.LogReader(path) as reader:
        read = list(reader)
    first = read[0].timestamp if read else 0
    buses = {}
    frames = []
    for message in read:
        if path.suffix == ".log":
            # python-can forgets the interface of an error frame.
            if message.is_error_frame:
                bus = None
            else:
                bus = buses.setdefault(message.channel, len(buses))
        elif path.suffix == ".trc":
            # python-can keeps the file's number, which counts from 1.
            bus = int(message.channel) - 1
        else:
            # Some samples have every field filled with a pattern.
            bus = min(message.channel, 255)
        frames.append(((message.timestamp - first) * 1e6, bus) + kind_of(message))
    return frames


def by_us(path):
    said = subprocess.run([program(), path], check=True, capture_output=True, text=True)
    *lines, counts = said.stdout.splitlines()
    frames = []
    for line in lines:
        at, bus, kind, *rest = line.split()
        if kind == "data" and len(rest) == 1:
            rest.append("")
        frames.append((int(at), int(bus), kind, *rest))
    return frames, counts, said.stderr


def compare(path):
    ours, counts, damage = by_us(path)
    peers = by_peer(path)
    # The same samples have 11-bit identifiers above 7FF; the agent counts those as damaged.
    possible = [f for f in peers if f[2] != "impossible"]
    assert int(counts.split()[2]) == len(peers) - len(possible), f"{path.name}: {damage}"
    peers = possible
    assert len(ours) == len(peers), f"{path.name}: {len(ours)} frames, peer {len(peers)}\n{damage}"
    for number, (us, peer) in enumerate(zip(ours, peers)):
        # Its times are floating point numbers of seconds since 1970: half a us of rounding.
        same_time = abs(us[0] - peer[0]) <= 1.5
        same = us[2:] == peer[2:] and peer[1] in (None, us[1])
        assert same_time and same, f"{path.name}: frame {number}: {us} but {peer}"
    return len(ours)


def main():
    logging.disable(logging.CRITICAL)
    total = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(5):
            for ending in ("log", "asc", "blf", "trc"):
                path = Path(folder) / f"{seed}.{ending}"
                dice = random.Random(f"{seed} {ending}")
                with can.Logger(path) as logger:
                    for message in messages(dice, 3_000, ending == "trc"):
                        logger(message)
                total += compare(path)
    samples = 0
    if len(sys.argv) > 1:
        for path in sorted(Path(sys.argv[1]).iterdir()):
            if path.suffix in (".log", ".asc", ".blf", ".trc"):
                compare(path)
                samples += 1
    print(f"{total} frames of 20 recordings and {samples} sample files equal python-can {can.__version__}")


if __name__ == "__main__":
    main()
