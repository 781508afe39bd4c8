#!/usr/bin/env python3
"""Long messages sent by can-j1939 over a virtual bus, put together by us.

usage: python3 -m pip install can-j1939==2.0.12
       python3 tests/reference/j1939_long.py

Broadcasts and transfers between two of its stacks, of random sizes and two senders at a
time. A third listener records the frames; `can_kit long` reads them. Every message must
come out once, with the bytes that were sent. It also holds the parameter group of random
identifiers against can-j1939's own.
"""

import os
import pathlib
import random
import subprocess
import sys
import time

import can
import j1939

TOP = pathlib.Path(__file__).resolve().parents[2]
CHANNEL = f"long{os.getpid()}"
ROUNDS = 6


def stack(address):
    ecu = j1939.ElectronicControlUnit()
    ecu.connect(interface="virtual", channel=CHANNEL)
    name = j1939.Name(identity_number=address, function=1, manufacturer_code=0)
    application = ecu.add_ca(name=name, device_address=address)
    application.start()
    return ecu, application


def exchange(rng):
    """What was sent, as (group, from, to, bytes), and all frames."""
    listener = can.Bus(interface="virtual", channel=CHANNEL)
    stacks = [stack(address) for address in (0x20, 0x21)]
    time.sleep(1.0)
    sent = []
    for number in range(ROUNDS):
        for place, (_, application) in enumerate(stacks):
            own, other = 0x20 + place, 0x21 - place
            to = 255 if number % 2 else other
            data = [rng.randrange(256) for _ in range(rng.choice([9, 14, 15, 40, 64]))]
            page, form, low = (0, 0xFE, 0xCA + place) if to == 255 else (0, 0xD0, other)
            if application.send_pgn(page, form, low, 6, data):
                group = form << 8 | (low if form >= 240 else 0)
                sent.append((group, own, to, bytes(data)))
        time.sleep(1.2)
    time.sleep(0.5)
    frames = []
    while (message := listener.recv(0)) is not None:
        frames.append(message)
    for ecu, _ in stacks:
        ecu.disconnect()
    listener.shutdown()
    return sent, frames


def main():
    rng = random.Random(20261125)
    sent, frames = exchange(rng)
    first = frames[0].timestamp
    asked = [
        f"{round((f.timestamp - first) * 1e6)} {f.arbitration_id} {f.data.hex()}" for f in frames
    ]
    groups = []
    for _ in range(2000):
        # can-j1939 knows no extended data page (bit 25).
        identifier = rng.randrange(1 << 29) & ~(1 << 25)
        parsed = j1939.message_id.MessageId(can_id=identifier)
        group = j1939.ParameterGroupNumber()
        group.from_message_id(parsed)
        specific = group.is_pdu1_format
        # can-j1939 leaves the destination of a message to one in the value.
        groups.append((identifier, group.value & 0x3FF00 if specific else group.value))
    asked += [f"group {identifier}" for identifier, _ in groups]
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    build = ["cargo", "build", "--quiet", "--workspace", "--example", "can_kit"]
    subprocess.run(build, cwd=TOP, check=True)
    kit = target / "debug/examples/can_kit"
    text = "\n".join(asked) + "\n"
    said = subprocess.run([kit, "long"], input=text, capture_output=True, text=True, check=True)
    lines = said.stdout.splitlines()
    got = [line.split()[1:] for line in lines if line.startswith("long ")]
    got = sorted((int(g), int(f), int(t), bytes.fromhex(data)) for g, f, t, data in got)
    theirs = [str(group) for _, group in groups]
    ours = [line.split()[1] for line in lines if line.startswith("group ")]
    wrong = sum(a != b for a, b in zip(theirs, ours)) + abs(len(theirs) - len(ours))
    print(lines[-1])
    if got != sorted(sent) or len(sent) < ROUNDS or wrong:
        missing = [entry for entry in sent if entry not in got]
        print(f"{len(got)} messages of {len(sent)}; missing {missing[:2]}; {wrong} wrong groups")
        return 1
    print(f"{len(sent)} long messages of can-j1939 in {len(frames)} frames whole, {len(ours)} groups equal")
    return 0


if __name__ == "__main__":
    sys.exit(main())
