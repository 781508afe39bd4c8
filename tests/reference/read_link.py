#!/usr/bin/env python3
"""Reads the link packets of protocol/SPEC.md with nothing but cobs (PyPI) and zlib.

    python3 -m pip install cobs
    python3 tests/reference/read_link.py

An independent reader, written from the page: if it disagrees with the page, a
stranger's bridge would disagree with the agent.
"""

import zlib

from cobs import cobs
from dumps import compare
from postcard import Bytes, Malformed


def scaled(name, raw, digits, unit):
    if raw is None:
        return f"{name} = none"
    sign = "-" if raw < 0 else ""
    whole, part = divmod(abs(raw), 10**digits)
    return f"{name} = {raw} ({sign}{whole}.{part:0{digits}} {unit})"


def plain(name, value):
    if value is None:
        return f"{name} = none"
    if isinstance(value, bool):
        return f"{name} = {'true' if value else 'false'}"
    return f"{name} = {value}"


def percent(body):
    value = body.u8()
    if value > 100:
        raise Malformed(f"{value} %")
    return value


def hello(body):
    yield plain("bridge_id", body.varint(32))
    yield f"firmware = {body.u8()}.{body.u8()}.{body.u8()}"
    yield f"capabilities = {body.varint(32):#010x}"
    yield plain("brush_motors", body.u8())
    yield plain("period_ms", body.varint(16))


def motion(body):
    yield scaled("speed", body.zigzag(16), 3, "m/s")
    yield scaled("turn_rate", body.option(lambda: body.zigzag(16)), 3, "rad/s")


def brush(body):
    yield plain("command_on", body.boolean())
    count = body.varint(32)
    if count > 4:
        raise Malformed(f"{count} motors")
    yield plain("motors", count)
    for number in range(1, count + 1):
        yield scaled(f"motor {number} current", body.zigzag(16), 1, "A")
        yield scaled(f"motor {number} rotation", body.option(lambda: body.varint(16)), 1, "r/min")
    yield plain("pressure_setting", body.option(lambda: percent(body)))


def runtime(body):
    for name in ("key_on", "brush_on", "traction"):
        yield plain(name, body.option(lambda: body.varint(32)))


def power(body):
    yield scaled("voltage", body.varint(16), 2, "V")
    yield scaled("current", body.option(lambda: body.zigzag(16)), 1, "A")


def controls(body):
    yield plain("head_down", body.option(body.boolean))
    yield plain("vacuum_on", body.option(body.boolean))
    yield plain("solution_flow", body.option(lambda: percent(body)))


def mark(body):
    variant = body.varint(32)
    if variant == 0:
        yield plain("button", body.u8())
    elif variant == 1:
        yield plain("tag", body.varint(64))
    else:
        raise Malformed(f"mark {variant}")


def fault(body):
    yield plain("controller", body.u8())
    yield plain("code", body.varint(32))
    yield plain("active", body.boolean())


def burst(body):
    spacing, motors, count = body.u8(), body.u8(), body.varint(32)
    yield plain("spacing_ms", spacing)
    yield plain("motors", motors)
    if not (1 <= spacing and 1 <= motors <= 4 and 1 <= count <= 36 and count % motors == 0):
        raise Malformed("burst")
    last = [0] * motors
    for sample in range(count // motors):
        for motor in range(motors):
            last[motor] = (last[motor] + body.zigzag(16) + 0x8000) % 0x10000 - 0x8000
        amperes = ", ".join(f"{raw / 10:.1f} A" for raw in last)
        before = (count // motors - 1 - sample) * spacing
        yield f"{before} ms before: {' '.join(map(str, last))} ({amperes})"


KINDS = {
    1: ("Hello", hello),
    2: ("Motion", motion),
    3: ("Brush", brush),
    4: ("Runtime", runtime),
    5: ("Power", power),
    6: ("Controls", controls),
    7: ("Mark", mark),
    8: ("Fault", fault),
    9: ("Burst", burst),
}


def read_packet(wire):
    """The lines that SPEC.md gives for one packet, delimiter included."""
    if len(wire) > 126 or wire[-1] != 0 or 0 in wire[:-1]:
        raise Malformed("not one packet")
    packet = cobs.decode(wire[:-1])
    if len(packet) < 12:
        raise Malformed("too short")
    if zlib.crc32(packet[:-4]).to_bytes(4, "little") != packet[-4:]:
        raise Malformed("checksum")
    body = Bytes(packet[:-4])
    version, kind = body.u8(), body.u8()
    if version != 1:
        raise Malformed(f"version {version}")
    sequence, tick_ms = body.fixed("H"), body.fixed("I")
    name, read = KINDS[kind]
    head = [f"kind = {kind} {name}", plain("sequence", sequence), plain("tick_ms", tick_ms)]
    lines = head + list(read(body))
    if body.left():
        raise Malformed(f"{body.left()} bytes behind the body")
    return lines


if __name__ == "__main__":
    compare("packet-", read_packet)
