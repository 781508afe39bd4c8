"""The peer of the link decoder: the package `cobs` (its core is C) and zlib's CRC-32.

    peer_cobs.py BYTES

It splits, undoes COBS and holds each packet against its checksum; unlike the link
decoder it does not read the packet's fields. Best of five.
"""

import sys
import time
import zlib

from cobs import cobs


def count(data):
    frames = 0
    for coded in data.split(b"\0"):
        if not coded:
            continue
        try:
            packet = cobs.decode(coded)
        except cobs.DecodeError:
            continue
        if zlib.crc32(packet[:-4]) == int.from_bytes(packet[-4:], "little"):
            frames += 1
    return frames


def main(path):
    with open(path, "rb") as file:
        data = file.read()
    best = float("inf")
    for _ in range(5):
        start = time.perf_counter()
        frames = count(data)
        best = min(best, time.perf_counter() - start)
    print(f"frames {frames}")
    print(f"seconds {best}")


if __name__ == "__main__":
    main(sys.argv[1])
