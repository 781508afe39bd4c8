"""The bridge of these tests, written from protocol/SPEC.md alone, and what it sent.

Every value tells its place in the stream. Frame number n:

    n mod 20 = 7                 Runtime  key-on meter n, brush-on meter n + 1
    n mod 20 = 13                Power    voltage: low 16 bits of n; current: next 15 bits
    n mod 100 = 10               Mark     tag n
    else                         Motion   speed: low 16 bits of n, signed; turn rate: next 15

The same list stands in the tools' `power_cut_check/bridge.rs`.
"""

import socket
import struct
import threading
import time
import zlib

FRAME_S = 0.02
SPEED, TURN_RATE, VOLTAGE, CURRENT, KEY_ON, BRUSH_ON = 1, 2, 20, 21, 24, 25
MOTION, RUNTIME, POWER, MARK = 2, 4, 5, 7


def varint(value):
    out = bytearray()
    while value > 0x7F:
        out.append(value & 0x7F | 0x80)
        value >>= 7
    out.append(value)
    return bytes(out)


def zigzag(value):
    return varint(value << 1 if value >= 0 else (-value << 1) - 1)


def some(coded):
    return b"\x01" + coded


def low_signed(number):
    low = number & 0xFFFF
    return low - 0x10000 if low >= 0x8000 else low


def frame(number):
    """Kind, body, readings (channel and value), tag or none."""
    high = number >> 16
    if number % 20 == 7:
        body = some(varint(number)) + some(varint(number + 1)) + b"\x00"
        return RUNTIME, body, [(KEY_ON, number), (BRUSH_ON, number + 1)], None
    if number % 20 == 13:
        low = number & 0xFFFF
        return POWER, varint(low) + some(zigzag(high)), [(VOLTAGE, low), (CURRENT, high)], None
    if number % 100 == 10:
        return MARK, b"\x01" + varint(number), [], number
    speed = low_signed(number)
    return MOTION, zigzag(speed) + some(zigzag(high)), [(SPEED, speed), (TURN_RATE, high)], None


def packet(number):
    kind, body, _, _ = frame(number)
    tick_ms = int(number * FRAME_S * 1000) & 0xFFFFFFFF
    plain = struct.pack("<BBHI", 1, kind, number & 0xFFFF, tick_ms) + body
    return cobs(plain + struct.pack("<I", zlib.crc32(plain))) + b"\x00"


def cobs(plain):
    """Each zero is replaced by the distance to the next; packets here are short."""
    out = b""
    for piece in plain.split(b"\x00"):
        out += bytes([len(piece) + 1]) + piece
    return out


def capture(first, frames):
    """Bytes of a bridge, and how many readings are in them."""
    numbers = range(first, first + frames)
    return b"".join(map(packet, numbers)), sum(len(frame(number)[2]) for number in numbers)


class Bridge:
    """Counts on in real time, and sends as long as somebody listens."""

    def __init__(self, first=0):
        self.begun = time.monotonic()
        self.first = first

    def due(self, number):
        return self.begun + (number - self.first) * FRAME_S

    def listen(self, port):
        """Sends to the socket from the next frame on."""
        return Sending(self, port)


class Sending:
    """One boot of the board: what was sent to it, and when."""

    def __init__(self, bridge, port):
        self.bridge = bridge
        self.first = bridge.first + int((time.monotonic() - bridge.begun) / FRAME_S) + 2
        self.sent_at = []
        self.socket = socket.socket(socket.AF_UNIX)
        self.socket.connect(str(port))
        self.thread = threading.Thread(target=self.send, daemon=True)
        self.thread.start()

    def send(self):
        # A board that starts hears the end of a packet first.
        before = packet(self.first - 1)
        try:
            self.socket.sendall(before[len(before) // 2 :])
            while True:
                number = self.first + len(self.sent_at)
                time.sleep(max(0.0, self.bridge.due(number) - time.monotonic()))
                self.socket.sendall(packet(number))
                self.sent_at.append(time.monotonic())
        except OSError:
            self.socket.close()

    def ended(self):
        """Waits for the end, which the cut brings."""
        self.thread.join()
