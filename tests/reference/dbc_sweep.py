#!/usr/bin/env python3
"""Every signal of a large set of published DBC files, decoded by cantools and by us.

usage: python3 -m pip install cantools==45.1.0
       python3 tests/reference/dbc_sweep.py [FOLDER] [--fetch] [--all]

The files come out of packages of the Python registry, by `pip download` into FOLDER
(default: target/reference/dbc), and are not kept with the project: the test files of
cantools (MIT) and canmatrix (BSD), and those of opendbc (MIT). `--fetch` fetches what is
not in FOLDER. Each message gets payloads of zeros, of ones, random ones, random ones with
multiplexors that cantools knows, and shorter ones. The values must be equal to 1e-12 of
the value. `--all` lists each statement that could not be read. Exit: 0 equal, 1 not,
77 skipped.
"""

import argparse
import collections
import os
import pathlib
import random
import re
import subprocess
import sys
import tarfile
import zipfile

import cantools

TOP = pathlib.Path(__file__).resolve().parents[2]
# Package, version, and whether its test files are only in the source package.
PACKAGES = [("cantools", "45.1.0", True), ("canmatrix", "1.3.3", True), ("opendbc", "0.3.1", False)]
PAYLOADS = 6


def skip(why):
    print(f"skipped: {why}")
    sys.exit(77)


def fetch(folder):
    for name, version, source in PACKAGES:
        if any(folder.glob(f"{name}-{version}*")):
            continue
        kind = ["--no-binary", name] if source else ["--only-binary", ":all:"]
        call = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", *kind]
        done = subprocess.run([*call, "-d", folder, f"{name}=={version}"], capture_output=True)
        if done.returncode:
            last = done.stderr.decode().strip().splitlines()[-1:]
            print(f"not fetched: {name} {version}: {' '.join(last)}")


def files(folder):
    """Name and bytes of each DBC file in the packages."""
    for package in sorted(folder.iterdir()):
        if package.name.endswith(".tar.gz"):
            with tarfile.open(package) as tar:
                for entry in tar:
                    if entry.isfile() and entry.name.lower().endswith(".dbc"):
                        yield entry.name, tar.extractfile(entry).read()
        elif package.suffix == ".whl":
            with zipfile.ZipFile(package) as archive:
                for name in archive.namelist():
                    if name.lower().endswith(".dbc"):
                        yield name, archive.read(name)


def set_bits(data, signal, value):
    """Writes a multiplexor's value. A bit that lies outside stays out."""
    at = signal.start
    places = []
    for _ in range(signal.length):
        places.append(at)
        if signal.byte_order == "little_endian":
            at += 1
        else:
            at = at + 15 if at % 8 == 0 else at - 1
    if signal.byte_order == "little_endian":
        places.reverse()
    for place in reversed(places):
        if place // 8 < len(data):
            data[place // 8] &= ~(1 << place % 8)
            data[place // 8] |= (value & 1) << place % 8
        value >>= 1


def select(rng, message, data, tree):
    for entry in tree:
        if isinstance(entry, dict):
            for name, branches in entry.items():
                value = rng.choice(list(branches))
                set_bits(data, message.get_signal_by_name(name), value)
                select(rng, message, data, branches[value])


def payloads(rng, message):
    length = message.length
    yield bytes(length)
    yield b"\xff" * length
    muxed = message.is_multiplexed()
    for number in range(PAYLOADS * (8 if muxed else 1)):
        data = bytearray(rng.randbytes(length))
        if muxed and number % 4:
            select(rng, message, data, message.signal_tree)
        yield bytes(data)
    if not muxed:
        for _ in range(min(2, length)):
            yield rng.randbytes(rng.randrange(length))


def marked(found):
    """A statement whose identifier must be one of 29 bits, marked so."""
    word, number = found[1], int(found[2])
    return f"{word} {number | 1 << 31 if 0x7FF < number < 1 << 29 else number}"


def decoded(message, data):
    """Values by name, or None where cantools refuses."""
    short = len(data) < message.length
    try:
        return message.decode(data, decode_choices=False, allow_truncated=short)
    except (cantools.database.DecodeError, KeyError, ValueError, TypeError):
        return None


class Sweep:
    def __init__(self):
        self.count = collections.Counter()
        self.wrong = []
        self.asked = []
        self.checks = []

    def ask(self, line, check):
        self.asked.append(line)
        self.checks.append(check)

    def file(self, rng, name, path):
        self.count["files"] += 1
        try:
            database = self.load(path.read_bytes().decode("cp1252", "replace"))
        except Exception as error:  # It raises many kinds.
            self.count["files that cantools refuses"] += 1
            print(f"cantools refuses {name}: {' '.join(str(error).split())[:100]}")
            self.ask(f"file {path}", (name, None, None))
            return
        self.ask(f"file {path}", (name, database, None))
        named = collections.Counter(message.name for message in database.messages)
        for message in database.messages:
            if named[message.name] > 1:
                self.count["messages of a name given twice, left out"] += 1
                continue
            self.count["messages"] += 1
            self.count["signals"] += len(message.signals)
            self.ask(f"message {message.name}", (name, message, None))
            for data in payloads(rng, message):
                values = decoded(message, data)
                if values is None:
                    self.count["payloads that cantools refuses"] += 1
                else:
                    self.ask(data.hex() or "-", (name, message, (data, values)))

    def load(self, text):
        """cantools reads `text`, if need be without what decoding does not need."""
        # It would name signals by these attributes.
        text = text.replace('LongSymbol"', 'LongName"')
        try:
            return cantools.database.load_string(text, "dbc", strict=False)
        except Exception:
            text = re.sub(r"^(VAL_|CM_) .*;\s*$", "", text, flags=re.MULTILINE)
            text = re.sub(r"^(BO_|SG_MUL_VAL_|SIG_VALTYPE_) +(\d+)", marked, text, flags=re.MULTILINE)
            database = cantools.database.load_string(text, "dbc", strict=False)
            self.count["files that cantools reads only with comments out and 29 bits marked"] += 1
            return database

    def answer(self, lines, show):
        """Goes through the answers of can_kit in the order of what was asked."""
        lines = iter(lines)
        names, unread = [], 0
        for name, about, payload in self.checks:
            line = next(lines)
            if payload is None and not isinstance(about, cantools.database.Message):
                unread = 0
                while not line.startswith("whole "):
                    unread += line.startswith("unread ")
                    self.count["remarks"] += line.startswith("remark ")
                    if line.startswith("refused "):
                        self.count["files that we refuse"] += 1
                        unread += 1
                        print(f"refused: {name}: {line[8:]}")
                        if about is not None and any(m.signals for m in about.messages):
                            self.wrong.append(f"{name} is refused, but cantools reads it")
                    elif line.startswith("unread ") and (show or about is not None):
                        print(f"unread: {name}: {line[7:]}")
                    line = next(lines)
                self.count["statements unread"] += unread
                self.count["files with statements unread"] += unread > 0
                self.count["files that can-dbc refuses as a whole"] += line == "whole no"
            elif payload is None:
                names = line.split(" ")[1:] if line != "message " else []
                missing = {signal.name for signal in about.signals} - set(names)
                self.count["signals lost and told"] += len(missing) if unread else 0
                if missing and not unread:
                    self.wrong.append(f"{name}, {about.name}: without {sorted(missing)[:4]}")
            else:
                self.compare(name, about, *payload, dict(zip(names, line.split(" ")[1:])))

    def compare(self, name, message, data, values, got):
        named = collections.Counter(signal.name for signal in message.signals)
        for signal in message.signals:
            ours = got.get(signal.name)
            if ours is None:
                continue
            if named[signal.name] > 1:
                self.count["values of signals of a name given twice, left out"] += 1
                continue
            above = signal.multiplexer_signal
            if above and not message.get_signal_by_name(above).is_multiplexer:
                # Written as `m` without a number, not `M`: cantools never selects by it.
                self.count["values whose multiplexor cantools leaves out, left out"] += 1
                continue
            self.count["values"] += 1
            if not equal(message, signal, data, values.get(signal.name), ours):
                wanted = values.get(signal.name)
                text = f"{name}, {message.name}.{signal.name} of {data.hex()}: {ours}, not {wanted}"
                self.wrong.append(text)


def equal(message, signal, data, wanted, ours):
    if wanted is None:
        return ours == ("short" if len(data) < message.length else "-")
    if ours in ("-", "short"):
        return False
    if ours in ("none", "code"):
        # Numbers that SAE J1939 keeps for what is no value; cantools gives them as values.
        short = len(data) < message.length
        raw = message.decode(data, decode_choices=False, scaling=False, allow_truncated=short)
        raw, bits = raw[signal.name], signal.length
        if signal.is_signed or signal.is_float or bits != 2 and bits < 8:
            return False
        if bits == 2:
            return raw == (3 if ours == "none" else 2)
        if bits in (8, 16, 24, 32):
            high = raw >> bits - 8
            return high == 0xFF if ours == "none" else 0xFB <= high <= 0xFE
        return ours == "none" and raw == (1 << bits) - 1
    ours, wanted = float(ours), float(wanted)
    if ours != ours or wanted != wanted:
        return ours != ours and wanted != wanted
    return ours == wanted or abs(ours - wanted) <= 1e-12 * abs(wanted)


def main():
    parser = argparse.ArgumentParser()
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    parser.add_argument("folder", nargs="?", type=pathlib.Path, default=target / "reference/dbc")
    parser.add_argument("--fetch", action="store_true")
    parser.add_argument("--all", action="store_true")
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    if args.fetch:
        fetch(args.folder)
    found = list(files(args.folder))
    if not found:
        skip(f"no package with DBC files in {args.folder}: run {pathlib.Path(__file__).name} --fetch with a network")
    build = ["cargo", "build", "--quiet", "--workspace", "--example", "can_kit"]
    subprocess.run(build, cwd=TOP, check=True)
    unpacked = args.folder / "unpacked"
    unpacked.mkdir(exist_ok=True)
    sweep, rng = Sweep(), random.Random(20261125)
    for number, (name, data) in enumerate(found):
        path = unpacked / f"{number}.dbc"
        path.write_bytes(data)
        sweep.file(rng, name, path)
    kit = target / "debug/examples/can_kit"
    asked = ("\n".join(sweep.asked) + "\n").encode()
    done = subprocess.run([kit, "decode"], input=asked, stdout=subprocess.PIPE, check=False)
    if done.returncode:
        print(f"can_kit ended with {done.returncode}")
        return 1
    sweep.answer(done.stdout.decode().splitlines(), args.all)
    for wrong in sweep.wrong[:40]:
        print(f"WRONG: {wrong}")
    counts = ", ".join(f"{count} {what}" for what, count in sweep.count.items())
    print(f"{len(sweep.wrong)} differences from cantools {cantools.__version__}: {counts}")
    return 1 if sweep.wrong or not sweep.count["values"] else 0


if __name__ == "__main__":
    sys.exit(main())
