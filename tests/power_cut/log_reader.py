"""Reads a whole log directory by the rules of protocol/SPEC.md, damage and all.

The parts of the formats come from tests/reference, which shares no code with the Rust
crates; the search behind damage is written here, from "Reading a journal".
"""

import sys
from collections import defaultdict
from dataclasses import dataclass, field

from need import TOP

sys.path.append(str(TOP / "tests/reference"))
import read_log  # noqa: E402
from postcard import Bytes, Malformed  # noqa: E402

NOTE, LAST_CHANNEL = 128, 127
MARK, LINK_LOSS, GAP = 1, 4, 5
TAG = 1


def table_entry(byte):
    for _ in range(8):
        byte = byte >> 1 ^ (0x82F63B78 if byte & 1 else 0)
    return byte


TABLE = [table_entry(byte) for byte in range(256)]


def crc32c(*parts):
    crc = 0xFFFFFFFF
    for part in parts:
        for byte in part:
            crc = crc >> 8 ^ TABLE[(crc ^ byte) & 0xFF]
    return (crc ^ 0xFFFFFFFF).to_bytes(4, "little")


# By table: whole logs are checked here, and the page's own check value holds for both.
assert crc32c(b"123456789") == read_log.crc32c(b"123456789") == (0xE3069283).to_bytes(4, "little")
read_log.crc32c = crc32c


@dataclass
class Boot:
    """All entries of one start of the board."""

    values: dict = field(default_factory=lambda: defaultdict(list))
    times: dict = field(default_factory=lambda: defaultdict(list))
    tags: list = field(default_factory=list)
    notes: int = 0
    link_losses: list = field(default_factory=lambda: [0] * 7)
    # Begin, reason and readings dropped of each.
    gaps: list = field(default_factory=list)

    def readings(self):
        return sum(map(len, self.values.values()))


@dataclass
class Log:
    boots: dict = field(default_factory=lambda: defaultdict(Boot))
    archives: int = 0
    journals: int = 0
    unfinished: int = 0
    # Journals that the power cut at their birth.
    headless: int = 0
    torn_bytes: int = 0
    # What should be whole and is not.
    damage: list = field(default_factory=list)
    # Archives with columns of pco, where PyPI's pcodec is missing.
    unread: int = 0


def read(folder):
    log = Log()
    names = sorted(path.name for path in folder.iterdir() if path.name.startswith("boot-"))
    for name in names:
        data = (folder / name).read_bytes()
        if name.endswith(".tmp"):
            log.unfinished += 1
        elif name.endswith(".archive"):
            log.archives += 1
            archive(log, name, data)
        elif name.endswith(".journal") and name.replace(".journal", ".archive") not in names:
            log.journals += 1
            journal(log, name, data)
    return log


def identity(data, magic):
    """Boot of the file, its salt, and where the header ends; raises Malformed."""
    file = Bytes(data)
    lines, salt = read_log.header(file, magic)
    return int(lines[1].removeprefix("boot = ")), salt, file.at


def journal(log, name, data):
    try:
        boot, salt, start = identity(data, b"UBJRNL\n")
    except Malformed:
        # SPEC.md: an incomplete header is a file that the power cut at its birth. If
        # anything in it was promised, that shows as missing.
        log.headless += 1
        return
    at, whole_until, expected = start, start, 0
    while (at := data.find(b"\x55\x42\x4a\xb5", at)) >= 0:
        head = data[at : at + 24]
        length = int.from_bytes(head[4:8], "little")
        number = int.from_bytes(head[8:12], "little")
        end = at + 28 + length
        if head[20:] != crc32c(salt, head[4:20]) or length > 65536 or end > len(data):
            at += 1
            continue
        if data[end - 4 : end] != crc32c(salt, data[at + 4 : end - 4]) or number < expected:
            at = end
            continue
        if at != whole_until or number != expected:
            log.damage.append(f"{name}: damaged between {whole_until} and {at}, batch {number}")
        entries(log.boots[boot], data[at + 24 : end - 4], int.from_bytes(head[12:20], "little"))
        at = whole_until = end
        expected = number + 1
    log.torn_bytes += sum(1 for byte in data[whole_until:] if byte)


def entries(boot, body, at):
    body = Bytes(body)
    while body.left():
        tag = body.u8()
        at += body.varint(32)
        if 1 <= tag <= LAST_CHANNEL:
            boot.times[tag].append(at)
            boot.values[tag].append(body.zigzag(32))
            continue
        note = Bytes(body.take(body.varint(32)))
        if tag == NOTE:
            take_note(boot, note)


def take_note(boot, note):
    boot.notes += 1
    variant = note.varint(32)
    if variant == MARK and note.varint(32) == TAG:
        boot.tags.append(note.varint(64))
    elif variant == LINK_LOSS:
        for place in range(7):
            boot.link_losses[place] += note.varint(32)
    elif variant == GAP:
        boot.gaps.append((note.varint(64), note.varint(32), note.varint(32)))


def archive(log, name, data):
    try:
        boot, salt, _ = identity(data, b"UBARCH\n")
        trailer = Bytes(data[-18:])
        offset = trailer.fixed("Q")
        read_log.need(trailer.take(4) == crc32c(salt, data[-18:-10]), "trailer checksum")
        index = Bytes(data[offset:-18])
        read_log.need(index.take(4) == b"\x55\x42\x49\xb5", "index")
        length = index.fixed("I")
        body = Bytes(index.take(length))
        covered = data[offset + 4 : offset + 8 + length]
        read_log.need(index.take(4) == crc32c(salt, covered), "index checksum")
        for _ in range(body.varint(32)):
            at, size = body.varint(64), body.varint(32)
            for _ in ("first", "last", "readings"):
                body.varint(64)
            block(log.boots[boot], data[at : at + size], salt)
    except Malformed as why:
        if "install pcodec" in str(why):
            log.unread += 1
        else:
            log.damage.append(f"{name}: {why}")


def block(boot, data, salt):
    head = Bytes(data)
    read_log.need(head.take(4) == b"\x55\x42\x41\xb5", "block")
    length, base = head.fixed("I"), head.fixed("Q")
    read_log.need(data[28:32] == crc32c(salt, data[4:28]), "first checksum")
    read_log.need(data[-4:] == crc32c(salt, data[4 : 32 + length]), "second checksum")
    body = Bytes(data[32 : 32 + length])
    entries(boot, body.take(body.varint(32)), base)
    times = [read_log.column(body, body.varint(32)) for _ in range(body.u8())]
    for _ in range(body.u8()):
        channel, place = body.u8(), body.u8()
        boot.times[channel] += [base + at for at in times[place]]
        boot.values[channel] += read_log.column(body, len(times[place]))
