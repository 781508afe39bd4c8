#!/usr/bin/env python3
"""Reads the journal and the archive of protocol/SPEC.md with the standard library.

    python3 tests/reference/read_log.py

Columns that pco coded need the PyPI package pcodec; without it they are said to
be unread, and the comparison fails.
"""

from dumps import compare
from postcard import Bytes, Malformed

try:
    from pcodec import standalone
except ImportError:
    standalone = None


def crc32c(*parts):
    crc = 0xFFFFFFFF
    for byte in b"".join(parts):
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0x82F63B78 if crc & 1 else 0)
    return (crc ^ 0xFFFFFFFF).to_bytes(4, "little")


assert crc32c(b"123456789") == (0xE3069283).to_bytes(4, "little")


def need(holds, what):
    if not holds:
        raise Malformed(what)


def header(file, magic):
    """Lines, salt; `file` then stands behind the header."""
    need(file.take(8) == magic + b"\x01", "magic")
    identity = Bytes(file.take(file.fixed("H")))
    covered = file.data[: file.at]
    salt = file.take(4)
    need(crc32c(covered) == salt, "header checksum")
    lines = [
        f"machine = {identity.text()}",
        f"boot = {identity.varint(32)}",
        f"part = {identity.varint(32)}",
        f"agent = {identity.text()}",
        f"salt = {salt.hex(' ')}",
    ]
    return lines, salt


def clock_fix(note):
    utc, source, half = note.zigzag(64), note.varint(32), note.varint(32)
    return f"ClockFix utc_ms {utc} source {source} uncertainty_ms {half}"


def note_text(note):
    variant = note.varint(32)
    if variant == 3:
        return clock_fix(note)
    if variant == 5:
        return f"Gap from_ms {note.varint(64)} reason {note.varint(32)} dropped {note.varint(32)}"
    return {6: "Started", 7: "Stopped"}[variant]


def entries(body, base):
    at = base
    while body.left():
        tag = body.u8()
        at += body.varint(32)
        if 1 <= tag <= 127:
            yield f"{at} ms: channel {tag} = {body.zigzag(32)}"
            continue
        note = Bytes(body.take(body.varint(32)))
        if tag == 128:
            yield f"{at} ms: {note_text(note)}"


def read_journal(data):
    file = Bytes(data)
    lines, salt = header(file, b"UBJRNL\n")
    rows, batches = [], 0
    while file.left():
        begin = file.at
        need(file.take(4) == b"\x55\x42\x4a\xb5", "batch")
        length, number, base = file.fixed("I"), file.fixed("I"), file.fixed("Q")
        need(file.take(4) == crc32c(salt, data[begin + 4 : begin + 20]), "first checksum")
        need(length <= 65536 and number == batches, "length or number")
        body = Bytes(file.take(length))
        need(crc32c(salt, data[begin + 4 : file.at]) == file.take(4), "second checksum")
        rows += entries(body, base)
        batches += 1
    return [*lines, f"batches = {batches}", *rows]


def column(body, rows):
    kind = body.u8()
    if kind == 0:
        return [body.zigzag(32)] * rows
    if kind == 1:
        first, step = body.zigzag(32), body.zigzag(32)
        wrap = lambda x: (x + 2**31) % 2**32 - 2**31
        return [wrap(first + row * step) for row in range(rows)]
    if kind == 3:
        numbers, before = [], 0
        for _ in range(rows):
            before = (before + body.zigzag(32) + 2**31) % 2**32 - 2**31
            numbers.append(before)
        return numbers
    need(kind == 2, f"column {kind}")
    coded = body.take(body.varint(32))
    need(standalone is not None, "a pco column: install pcodec to read it")
    numbers = standalone.simple_decompress(coded)
    need(len(numbers) == rows, "rows")
    return [int(number) for number in numbers]


def block(data, salt):
    head = Bytes(data)
    need(head.take(4) == b"\x55\x42\x41\xb5", "block")
    length, base, last, rows = head.fixed("I"), head.fixed("Q"), head.fixed("Q"), head.fixed("I")
    need(head.take(4) == crc32c(salt, data[4:28]), "first checksum")
    body = Bytes(head.take(length))
    need(head.take(4) == crc32c(salt, data[4 : 32 + length]), "second checksum")
    need(not head.left(), "length")
    lines = list(entries(Bytes(body.take(body.varint(32))), base))
    times = [column(body, body.varint(32)) for _ in range(body.u8())]
    found = 0
    for _ in range(body.u8()):
        channel, place = body.u8(), body.u8()
        values = column(body, len(times[place]))
        found += len(values)
        lines.append(f"channel {channel} times = {' '.join(map(str, times[place]))}")
        lines.append(f"channel {channel} values = {' '.join(map(str, values))}")
    need(not body.left() and found == rows, "rows")
    return base, last, rows, lines


def read_archive(data):
    file = Bytes(data)
    lines, salt = header(file, b"UBARCH\n")
    trailer = Bytes(data[-18:])
    offset = trailer.fixed("Q")
    need(trailer.take(4) == crc32c(salt, data[-18:-10]), "trailer checksum")
    need(trailer.take(6) == b"UBEND\n", "trailer")
    index = Bytes(data[offset:-18])
    need(index.take(4) == b"\x55\x42\x49\xb5", "index")
    length = index.fixed("I")
    body = Bytes(index.take(length))
    need(index.take(4) == crc32c(salt, data[offset + 4 : offset + 8 + length]), "index checksum")
    for _ in range(body.varint(32)):
        at, size = body.varint(64), body.varint(32)
        span = (body.varint(64), body.varint(64), body.varint(32))
        first, last, rows, inside = block(data[at : at + size], salt)
        need(span == (first, last, rows), "the index does not name this block")
        lines.append(f"block at {at} of {size} bytes, {first} to {last} ms, {rows} readings")
        lines += inside
    for _ in range(body.varint(32)):
        lines.append(f"index clock fix at {body.varint(64)} ms: {clock_fix(body)}")
    return lines


def read_file(data):
    return read_journal(data) if data.startswith(b"UBJRNL") else read_archive(data)


if __name__ == "__main__":
    compare("file-", read_file)
