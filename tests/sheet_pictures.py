#!/usr/bin/env python3
"""Compares pictures of the twelve scenario sheets with those in report/tests/pictures.

    sheet_pictures.py PDF_FOLDER [--update]

Pages are drawn in grey by poppler's pdftoppm at 50 dots an inch. Letters may be
drawn a little differently by another version of it: a page differs when more than
1.5 % of its dots are off by more than 80 of 255, after both were blurred over 3 x 3
dots. Only Python's standard library is used.

Exit: 0 alike, 1 different, 2 wrong use, 77 skipped (no pdftoppm).
"""
import pathlib
import shutil
import struct
import subprocess
import sys
import tempfile
import zlib

DPI = "50"
OFF = 80
SHARE = 0.015
KEPT = pathlib.Path(__file__).resolve().parent.parent / "report" / "tests" / "pictures"


def read_pgm(path):
    data = path.read_bytes()
    magic, width, height, _ = data.split(maxsplit=4)[:4]
    width, height = int(width), int(height)
    assert magic == b"P5", path
    return width, height, data[-width * height:]


def write_png(path, width, height, dots):
    """16 greys do for a comparison and keep the files small."""
    rows = bytearray()
    for y in range(height):
        row = dots[y * width:(y + 1) * width]
        rows.append(0)
        for x in range(0, width, 2):
            right = row[x + 1] if x + 1 < width else 255
            rows.append((row[x] + 8) // 17 << 4 | (right + 8) // 17)
    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    head = struct.pack(">IIBBBBB", width, height, 4, 0, 0, 0, 0)
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
                     + chunk(b"IDAT", zlib.compress(bytes(rows), 9)) + chunk(b"IEND", b""))


def read_png(path):
    """Only what write_png writes."""
    data = path.read_bytes()
    at, body = 8, b""
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        part = data[at + 8:at + 8 + size]
        if kind == b"IHDR":
            width, height = struct.unpack(">II", part[:8])
        elif kind == b"IDAT":
            body += part
        at += 12 + size
    rows = zlib.decompress(body)
    step = 1 + (width + 1) // 2
    dots = bytearray()
    for y in range(height):
        row = rows[y * step + 1:(y + 1) * step]
        line = bytearray()
        for pair in row:
            line += bytes(((pair >> 4) * 17, (pair & 15) * 17))
        dots += line[:width]
    return width, height, bytes(dots)


def blurred(width, height, dots):
    across = [dots[i - 1] + dots[i] + dots[(i + 1) % len(dots)] for i in range(len(dots))]
    n = len(across)
    return [(across[i - width] + across[i] + across[(i + width) % n]) / 9 for i in range(n)]


def different(now, kept):
    """The share of dots that are off; 1 where the sizes differ."""
    if now[:2] != kept[:2]:
        return 1.0
    pairs = zip(blurred(*now), blurred(*kept))
    return sum(abs(a - b) > OFF for a, b in pairs) / len(now[2])


def main():
    if len(sys.argv) not in (2, 3) or sys.argv[2:] not in ([], ["--update"]):
        print(__doc__, file=sys.stderr)
        return 2
    if not shutil.which("pdftoppm"):
        print("skipped: pdftoppm is not installed")
        return 77
    update = len(sys.argv) == 3
    pdfs = sorted(pathlib.Path(sys.argv[1]).glob("*.pdf"))
    if len(pdfs) != 12:
        print(f"{len(pdfs)} sheets in {sys.argv[1]}, not 12", file=sys.stderr)
        return 2
    if update:
        shutil.rmtree(KEPT, ignore_errors=True)
        KEPT.mkdir(parents=True)
    wrong, seen = [], set()
    with tempfile.TemporaryDirectory() as folder:
        for pdf in pdfs:
            base = pathlib.Path(folder) / pdf.stem
            # No picture holds more than four pages of a sheet: the rest is more of the same.
            subprocess.run(["pdftoppm", "-r", DPI, "-gray", "-l", "4", pdf, base], check=True)
        for page in sorted(pathlib.Path(folder).glob("*.pgm")):
            name = page.stem + ".png"
            seen.add(name)
            now = read_pgm(page)
            if update:
                write_png(KEPT / name, *now)
            elif not (KEPT / name).exists():
                wrong.append(f"{name}: there is no such picture")
            else:
                share = different(now, read_png(KEPT / name))
                if share > SHARE:
                    wrong.append(f"{name}: {100 * share:.1f} % of the dots differ")
    if not update:
        wrong += [f"{p.name}: the sheet has no such page" for p in KEPT.glob("*.png")
                  if p.name not in seen]
    for line in wrong:
        print(line)
    print(f"pictures: {len(seen)} pages, {len(wrong)} differ")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
