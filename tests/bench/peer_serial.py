"""The peer of the agent's load: pyserial reads a port and writes the bytes to a file.

    peer_serial.py PORT FILE

It syncs the file each second as the agent does, and understands nothing of the bytes.
"""

import os
import signal
import sys
import time

import serial


def main(port, path):
    go = True

    def stop(*_):
        nonlocal go
        go = False

    signal.signal(signal.SIGTERM, stop)
    line = serial.Serial(port, 921600, timeout=0.1)
    with open(path, "wb", buffering=0) as file:
        print("reading", file=sys.stderr, flush=True)
        synced = time.monotonic()
        while go:
            # Waits for a first byte and takes what has come with it.
            data = line.read(1)
            data += line.read(line.in_waiting)
            file.write(data)
            if time.monotonic() - synced >= 1:
                os.fdatasync(file.fileno())
                synced = time.monotonic()


if __name__ == "__main__":
    main(*sys.argv[1:])
