#!/usr/bin/env python3
"""What `underbrush-agent learn` drafts, read by cantools.

usage: python3 -m pip install cantools==45.1.0
       python3 tests/reference/learn_drafts.py [PROGRAM]

PROGRAM is the agent (default: underbrush-agent in CARGO_TARGET_DIR or target, debug). A bus
with a big-endian speed in 0.01 km/h, a little-endian brush current in 0.1 A, a counter, a
checksum and a pedal is written as `candump -L` does, with its prompts. `learn` must be sure
of both; cantools must load learnt.dbc and decode every frame to the truth, up to the factor;
and the machine file draft must be read again. Exit: 0 right, 1 not, 77 skipped.
"""

import os
import pathlib
import random
import subprocess
import sys
import tempfile

import cantools

TOP = pathlib.Path(__file__).resolve().parents[2]
ROUND = [("stand", 15), ("drive_slow", 20), ("stand", 10), ("drive_fast", 20), ("stand", 10),
         ("brush_lifted", 15), ("stand", 10), ("brush_low", 20), ("brush_high", 20),
         ("drive_slow", 15), ("stand", 10)]
SPEED = {"drive_slow": 0.45, "drive_fast": 1.1, "brush_low": 0.45, "brush_high": 0.45}
CURRENT = {"brush_lifted": 4.0, "brush_low": 12.0, "brush_high": 22.0}


def program():
    if len(sys.argv) > 1:
        return sys.argv[1]
    folder = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    found = folder / "debug/underbrush-agent"
    if not found.exists():
        print(f"skipped: no {found}: cargo build -p underbrush-agent")
        sys.exit(77)
    return str(found)


def bus(dice):
    """Lines of a capture, the prompts, and the true speed and current of each frame."""
    prompts, at = [], 0.0
    for task, length in ROUND:
        prompts.append((at + 6, at + 6 + length, task))
        at += 6 + length
    lines, truth = [], []
    speed = current = wander = 0.0
    for tick in range(int(at * 50)):
        now = tick / 50
        done = [task for start, _, task in prompts if now > start + 1.5]
        task = done[-1] if done else "stand"
        wander += -0.01 * wander + 0.006 * dice.gauss(0, 1)
        wanted = SPEED.get(task, 0.0) * (1 + wander)
        speed = max(0.0, speed + max(-0.012, min(0.01, wanted - speed)))
        current += 0.1 * (CURRENT.get(task, 0.0) - current)
        drawn = current * (1 + 0.04 * dice.gauss(0, 1)) if current > 0.05 else 0.0
        raw = [round(speed * 360), round(drawn * 10)]
        front = raw[0].to_bytes(2, "big") + bytes([0xFF, 0xFF, 0, 0, tick % 16])
        front += bytes([(sum(front) * 7 + 3) & 0xFF])
        pedal = round(180 * SPEED.get(task, 0.0) + dice.gauss(0, 1)) if task in SPEED else 0
        side = bytes([max(pedal, 0)]) + raw[1].to_bytes(2, "little") + bytes(5)
        lines.append(f"({now + 0.001:010.6f}) can0 120#{front.hex().upper()}")
        lines.append(f"({now + 0.003:010.6f}) can0 2A5#{side.hex().upper()}")
        truth.append((front, side, raw[0] / 360, raw[1] / 10))
    return lines, prompts, truth


def close(pairs):
    """Whether the decoded numbers are the true ones times one factor."""
    factor = sum(a * b for a, b in pairs) / max(sum(a * a for a, _ in pairs), 1e-12)
    worst = max(abs(b - factor * a) for a, b in pairs)
    return worst <= 1e-3 * max(abs(b) for _, b in pairs), factor


def main():
    agent = program()
    lines, prompts, truth = bus(random.Random(8))
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "bus.log").write_text("\n".join(lines) + "\n")
        (folder / "prompts.toml").write_text("".join(
            f'[[prompt]]\nfrom = "{a:.2f} s"\nto = "{b:.2f} s"\ntask = "{task}"\n' for a, b, task in prompts))
        out = folder / "learnt"
        call = [agent, "learn", "--capture", folder / "bus.log", "--prompts", folder / "prompts.toml"]
        said = subprocess.run([*call, "--out", out], capture_output=True, text=True)
        if said.returncode:
            print(said.stdout[-3000:], said.stderr, f"learn ended with {said.returncode}")
            return 1
        database = cantools.database.load_file(out / "learnt.dbc")
        names = {signal.name: message for message in database.messages for signal in message.signals}
        wrong = [name for name in ("Speed", "BrushCurrent1") if name not in names]
        for name, part, quantity in (("Speed", 0, 2), ("BrushCurrent1", 1, 3)):
            if name in wrong:
                continue
            message = names[name]
            got = [(message.decode(row[part], decode_choices=False)[name], row[quantity])
                   for row in truth] if message.frame_id == (0x120, 0x2A5)[part] else [(0, 1)]
            fits, factor = close(got)
            if not fits:
                wrong.append(f"{name}: not the true numbers (factor {factor:.3f})")
        again = [*call, "--machine", out / "machine.toml", "--out", folder / "again"]
        read = subprocess.run(again, capture_output=True, text=True)
        if read.returncode not in (0, 3):
            wrong.append(f"machine.toml is not read: {read.stderr.strip()}")
        if wrong:
            print("\n".join([said.stdout[-2500:], *wrong]))
            return 1
        plots = len(list(out.glob("*.svg")))
    print(f"{len(truth)} frames of speed and current decoded by cantools as they were; {plots} plots")
    return 0


if __name__ == "__main__":
    sys.exit(main())
