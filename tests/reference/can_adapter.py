#!/usr/bin/env python3
"""The ASCII protocol of serial-line CAN adapters against python-can's interface for it.

usage: python3 -m pip install python-can==4.6.1 pyserial==3.5
       python3 tests/reference/can_adapter.py

On a pseudo terminal, both ways. Frames that python-can sends are read by us (`can_kit
adapter`) and must be those that it was given. Frames that a made-up adapter sends, half of
them with times, are read by python-can and by us and must be equal. Data of classic and FD
frames, 11 and 29 bits, and remote frames.
"""

import os
import pathlib
import pty
import random
import subprocess
import sys
import threading
import tty

try:
    import can
    import serial  # noqa: F401
except ModuleNotFoundError as missing:
    print(f"skipped: {missing} (see the script's head)")
    sys.exit(0)

TOP = pathlib.Path(__file__).resolve().parents[2]
COUNT = 1_500
FD_LENGTHS = [*range(9), 12, 16, 20, 24, 32, 48, 64]


def frames(rng):
    for _ in range(COUNT):
        extended = rng.random() < 0.5
        common = {
            "arbitration_id": rng.randrange(1 << (29 if extended else 11)),
            "is_extended_id": extended,
        }
        kind = rng.random()
        if kind < 0.1:
            yield can.Message(is_remote_frame=True, dlc=rng.randrange(9), **common)
        elif kind < 0.3:
            data = rng.randbytes(rng.choice(FD_LENGTHS))
            yield can.Message(is_fd=True, bitrate_switch=rng.random() < 0.5, data=data, **common)
        else:
            yield can.Message(data=rng.randbytes(rng.randrange(9)), **common)


def line(message, stamp):
    """As an adapter says it; `stamp` in ms or None."""
    wide = message.is_extended_id
    if message.is_remote_frame:
        kind = "R" if wide else "r"
    elif message.is_fd:
        kind = "b" if message.bitrate_switch else "d"
        kind = kind.upper() if wide else kind
    else:
        kind = "T" if wide else "t"
    code = FD_LENGTHS.index(message.dlc) if message.is_fd else message.dlc
    text = f"{kind}{message.arbitration_id:0{8 if wide else 3}X}{code:X}{message.data.hex().upper()}"
    return text + ("" if stamp is None else f"{stamp:04X}") + "\r"


def key(message):
    if message.is_remote_frame:
        return "remote"
    width = 8 if message.is_extended_id else 3
    return f"data {message.arbitration_id:0{width}X} {bytes(message.data).hex().upper()}-"


def read_by_us(kit, data):
    said = subprocess.run([kit, "adapter"], input=data, capture_output=True, check=True)
    said = said.stdout.decode().splitlines()
    # Answers to commands, and the commands themselves where we read what the peer sent.
    said = [entry for entry in said if entry.startswith(("data", "remote"))]
    return [entry.split(" None")[0].split(" Some")[0] for entry in said], said


def main():
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    build = ["cargo", "build", "--quiet", "--workspace", "--example", "can_kit"]
    subprocess.run(build, cwd=TOP, check=True)
    kit = target / "debug/examples/can_kit"
    rng = random.Random(20261126)
    adapter, other = pty.openpty()
    tty.setraw(adapter)
    tty.setraw(other)
    sent = bytearray()

    def listen():
        while chunk := os.read(adapter, 65536):
            sent.extend(chunk)

    threading.Thread(target=listen, daemon=True).start()
    bus = can.Bus(interface="slcan", channel=os.ttyname(other), bitrate=250_000,
                  listen_only=True, sleep_after_open=0.1)
    given = list(frames(rng))
    for message in given:
        bus.send(message)
    shown = [line(message, rng.choice([None, rng.randrange(60_000)])) for message in frames(rng)]
    back = []
    for text in shown:
        os.write(adapter, text.encode())
        while (message := bus.recv(0.5)) is None:
            pass
        back.append(message)
    bus.shutdown()
    ours, _ = read_by_us(kit, bytes(sent))
    assert ours == [key(message) for message in given], "frames that python-can sent"
    ours, whole = read_by_us(kit, "".join(shown).encode())
    assert ours == [key(message) for message in back], "frames that an adapter sent"
    stamps = sum("Some" in entry for entry in whole)
    # Remote frames are printed without their time.
    assert stamps > COUNT / 3
    print(f"{len(given)} frames of python-can {can.__version__} and {len(back)} to it equal, {stamps} with times")


if __name__ == "__main__":
    main()
