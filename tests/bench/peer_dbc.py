"""The peer of the DBC decoder: cantools.

    peer_dbc.py write DBC FRAMES COUNT    random frames that it decodes
    peer_dbc.py decode DBC FRAMES         decodes every tenth; best of three
"""

import random
import sys
import time

import cantools


def write(path, frames, count):
    database = cantools.database.load_file(path, strict=False)
    rng = random.Random(20261125)
    with open(frames, "w") as out:
        written = 0
        while written < int(count):
            message = rng.choice(database.messages)
            data = bytearray(rng.randbytes(message.length))
            if message.is_multiplexed():
                data[0] %= 3
            try:
                database.decode_message(message.frame_id, bytes(data), decode_choices=False)
            except cantools.database.DecodeError:
                continue
            raw = message.frame_id | (1 << 31 if message.is_extended_frame else 0)
            out.write(f"{raw} {data.hex()}\n")
            written += 1


def decode(path, frames):
    database = cantools.database.load_file(path, strict=False)
    all_frames = []
    with open(frames) as lines:
        for number, line in enumerate(lines):
            if number % 10 == 0:
                raw, data = line.split()
                all_frames.append((int(raw) & 0x1FFFFFFF, bytes.fromhex(data)))
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        decoded = [database.decode_message(i, d, decode_choices=False) for i, d in all_frames]
        best = min(best, time.perf_counter() - start)
    print(f"seconds {best}")
    print(f"signals {sum(len(values) for values in decoded)}")
    print(f"sum {sum(float(v) for values in decoded for v in values.values())}")


if __name__ == "__main__":
    {"write": write, "decode": decode}[sys.argv[1]](*sys.argv[2:])
