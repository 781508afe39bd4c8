#!/usr/bin/env python3
"""The layouts that the bench of `underbrush-agent learn` puts its simulated machines on.

usage: python3 tests/reference/learn_layouts.py [FOLDER] [--write]

Takes the DBC files of the package opendbc 0.3.1 (MIT) of the Python registry, fetched by
`pip download` into FOLDER (default: target/reference/dbc), finds those with a wheel or
vehicle speed in a message of at most 8 bytes, and gives every signal of that message and
of up to 15 others a role by its name. Names are not kept: only numbers, bits and roles,
in agent/tests/data/learn_layouts.csv. Without --write it compares with that file.
Exit: 0 equal or written, 1 not equal, 77 skipped.
"""

import hashlib
import pathlib
import re
import subprocess
import sys
import zipfile

TOP = pathlib.Path(__file__).resolve().parents[2]
KEPT = TOP / "agent/tests/data/learn_layouts.csv"
PACKAGE, VERSION = "opendbc", "0.3.1"
MOST_MESSAGES = 16
# A speed in coarser steps than this (km/h) is no use on a machine that does 4 km/h.
COARSEST_KMH = 0.13

MESSAGE = re.compile(r"BO_ (\d+) (\w+) ?: (\d+)")
SIGNAL = re.compile(
    r" *SG_ (\w+) *(m\d+M?|M)? *: (\d+)\|(\d+)@([01])([+-]) \(([^,]+),([^)]+)\) \[[^\]]*\] \"([^\"]*)\""
)
SPEED = re.compile(
    r"wheel_?speed|whl_?spd|^wheel_?sp|^v(eh(icle)?)?_?(speed|spd)$|^speed$|vehicle_?speed|"
    r"whlgrndvlcty\w+drvn$|car_speed|_speed_(f|r)(l|r)|^xmission_speed|analogspeed|radgeschw|"
    r"smgrmotlongspeed|forward_speed|wheel_(fl|fr|rl|rr)\b|speed_(fl|fr|rl|rr)",
    re.I,
)
NO_SPEED = re.compile(
    r"set|req|cruise|rel|lead|max|gps|qual|stat|valid|flag|sas|limit|steer|dir|tol|unit|disp|fan|hmi|wip", re.I
)
ROLES = [
    ("checksum", r"checksum|chksum|crc|_cs$|^cs_|chk$"),
    ("counter", r"counter|_cnt|_ctr|alive|msgcount|rolling|^cnt|bz$|_ac$|arc$"),
    ("odometer", r"odo|dist|trip|pulse|km_total"),
    ("temperature", r"temp|_t$"),
    ("voltage", r"volt|batt|_v$"),
    ("rpm", r"rpm|engine_?sp|enginesp|n_eng|axlesp|shaft"),
    ("steer", r"steer|angle|yaw|lat_|lateral"),
    ("acceleration", r"acc(el)?_|accel|long_|decel|beschl"),
    ("pedal", r"pedal|gas|throttle|brake_pos|pps"),
    ("torque", r"torque|trq|_tq|current|moment|press|force|load|power"),
    ("clock", r"hour|minute|second|clock|time"),
]
KMH = {"mph": 1.609344, "m/s": 3.6, "km/h": 1.0, "kph": 1.0, "km / h": 1.0, "km^h": 1.0}


def skip(why):
    print(f"skipped: {why}")
    sys.exit(77)


def package(folder):
    folder.mkdir(parents=True, exist_ok=True)
    if not any(folder.glob(f"{PACKAGE}-{VERSION}*.whl")):
        call = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "-d", folder]
        subprocess.run([*call, f"{PACKAGE}=={VERSION}"], capture_output=True)
    found = sorted(folder.glob(f"{PACKAGE}-{VERSION}*.whl"))
    if not found:
        skip(f"{PACKAGE} {VERSION} cannot be fetched")
    return zipfile.ZipFile(found[0])


def bits(start, length, little):
    """DBC numbers of a signal's bits, most significant first."""
    if little:
        return [start + i for i in reversed(range(length))]
    places, at = [], start
    for _ in range(length):
        places.append(at)
        at = at + 15 if at % 8 == 0 else at - 1
    return places


def parse(text):
    """Messages of at most 8 bytes: id, length, signals without multiplexing or overlap."""
    messages, message = [], None
    for line in text.splitlines():
        if found := MESSAGE.match(line):
            message = (int(found[1]), int(found[3]), [])
            if 1 <= message[1] <= 8:
                messages.append(message)
            continue
        if not (found := SIGNAL.match(line)) or message is None or found[2]:
            continue
        name, _, start, length, order, sign, factor, offset, unit = found.groups()
        start, length, little = int(start), int(length), order == "1"
        places = bits(start, length, little)
        if not 1 <= length <= 32 or max(places) >= 8 * message[1]:
            continue
        if any(set(places) & set(other["places"]) for other in message[2]):
            continue
        message[2].append(dict(name=name, start=start, length=length, little=little,
                               sign=sign, factor=float(factor), offset=float(offset),
                               unit=unit.lower(), places=places))
    return [m for m in messages if m[2]]


def kmh(signal):
    """Its step in km/h; without a unit, as if km/h."""
    return abs(signal["factor"]) * KMH.get(signal["unit"], 1.0)


def is_speed(signal):
    return (signal["length"] >= 8 and SPEED.search(signal["name"])
            and not NO_SPEED.search(signal["name"]) and signal["unit"] not in ("rpm", "r/min"))


def role(signal):
    if is_speed(signal):
        return "speed"
    for role, words in ROLES:
        if re.search(words, signal["name"], re.I):
            wide = signal["length"] >= 8 or role in ("checksum", "counter")
            return role if wide else "setting" if signal["length"] > 3 else "switch"
    if signal["length"] <= 3:
        return "switch"
    return "setting" if signal["length"] <= 8 else "other"


def layout(text):
    """The messages of one file that the bench uses, the speed's first; none without a speed."""
    messages = parse(text)
    fine = [m for m in messages
            if any(is_speed(s) and kmh(s) <= COARSEST_KMH and s["length"] >= 10 for s in m[2])]
    if not fine:
        return None
    count = lambda m: sum(bool(is_speed(s)) for s in m[2])
    first = max(fine, key=lambda m: (count(m), -m[0]))
    telling = lambda m: len({role(s) for s in m[2]} - {"switch", "setting", "other"})
    others = sorted((m for m in messages if m is not first), key=lambda m: (-telling(m), m[0]))
    chosen = others[:MOST_MESSAGES - 1]
    # The machine's brush motors: two wide numbers of loads, in other messages than the speed.
    loads = [(m[0], s["start"]) for m in chosen for s in m[2]
             if role(s) == "torque" and 8 <= s["length"] <= 16]
    if not loads:
        loads = [(m[0], s["start"]) for m in chosen for s in m[2]
                 if role(s) == "other" and 9 <= s["length"] <= 16]
    rows = []
    for number, (frame, length, signals) in enumerate([first, *chosen]):
        for s in signals:
            kind = "current" if (frame, s["start"]) in loads[:2] else role(s)
            if kind == "speed" and (kmh(s) > COARSEST_KMH or s["length"] < 10):
                kind = "coarse"
            unit = s["unit"]
            step = s["factor"] * KMH.get(unit, 1.0) / 3.6 if kind in ("speed", "coarse") else s["factor"]
            zero = s["offset"] * KMH.get(unit, 1.0) / 3.6 if kind in ("speed", "coarse") else s["offset"]
            rows.append(f"{frame:x},{length},{kind},{s['start']},{s['length']},"
                        f"{'le' if s['little'] else 'be'},{s['sign']},{step:.9g},{zero:.9g}")
    return rows if loads else None


def main():
    arguments = [a for a in sys.argv[1:] if not a.startswith("--")]
    folder = pathlib.Path(arguments[0]) if arguments else TOP / "target/reference/dbc"
    archive = package(folder)
    found, seen = [], set()
    for name in sorted(archive.namelist()):
        if not name.endswith(".dbc"):
            continue
        raw = archive.read(name)
        rows = layout(raw.decode("utf-8", "replace"))
        # Files of one family put the speed at the same place: one of them is enough.
        place = rows and tuple(sorted(r for r in rows if ",speed," in r))
        if rows and place not in seen:
            seen.add(place)
            found.append((hashlib.sha256(raw).hexdigest()[:12], rows))
    found.sort()
    lines = [
        f"# Made by tests/reference/learn_layouts.py from the DBC files of {PACKAGE} {VERSION} (MIT).",
        "# `file` is the beginning of the file's SHA-256; speeds have their step and zero in m/s.",
        "file,id,bytes,role,start,bits,order,sign,factor,offset",
    ]
    lines += [f"{digest},{row}" for digest, rows in found for row in rows]
    text = "\n".join(lines) + "\n"
    if "--write" in sys.argv:
        KEPT.write_text(text)
        print(f"written: {len(found)} layouts, {len(lines) - 3} signals")
        return 0
    if KEPT.read_text() != text:
        print(f"{KEPT.name} differs from what {PACKAGE} {VERSION} gives")
        return 1
    print(f"{len(found)} layouts, {len(lines) - 3} signals: as kept")
    return 0


if __name__ == "__main__":
    sys.exit(main())
