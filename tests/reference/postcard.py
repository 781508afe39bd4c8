"""The parts of the postcard wire format that protocol/SPEC.md names, read anew.

Written from SPEC.md alone: it shares no code with the Rust crates.
"""

import struct


class Malformed(Exception):
    """The bytes are not what the format says."""


class Bytes:
    """A buffer that is read from its front."""

    def __init__(self, data):
        self.data = bytes(data)
        self.at = 0

    def left(self):
        return len(self.data) - self.at

    def take(self, count):
        if self.left() < count:
            raise Malformed(f"ends at byte {len(self.data)}, {count} more wanted at {self.at}")
        part = self.data[self.at : self.at + count]
        self.at += count
        return part

    def fixed(self, code):
        """A number of fixed width: struct code B, H, I or Q."""
        size = struct.calcsize("<" + code)
        return struct.unpack("<" + code, self.take(size))[0]

    def u8(self):
        return self.fixed("B")

    def boolean(self):
        byte = self.u8()
        if byte > 1:
            raise Malformed(f"{byte} is no bool")
        return byte == 1

    def varint(self, bits):
        value = 0
        for place in range((bits + 6) // 7):
            byte = self.u8()
            value |= (byte & 0x7F) << (7 * place)
            if byte < 0x80:
                if value >> bits:
                    raise Malformed(f"{value} is more than {bits} bits")
                return value
        raise Malformed("a varint without end")

    def zigzag(self, bits):
        value = self.varint(bits)
        return (value >> 1) ^ -(value & 1)

    def option(self, read):
        return read() if self.boolean() else None

    def text(self):
        return self.take(self.varint(32)).decode("utf-8")
