"""Makes agent/tests/data/bus_layouts.csv: the layouts of published CAN buses, without names.

Source: the DBC files of the package opendbc (PyPI, MIT licence), given as a wheel:
    pip download --no-deps opendbc==0.3.1
    python3 bus_layouts.py opendbc-0.3.1-py3-none-any.whl > bus_layouts.csv
Kept of each signal: its place, and by its name what kind of thing it tells. Buses with a
wheel or vehicle speed and at least 10 messages count; multiplexed signals are left out.
"""

import re
import sys
import zipfile

MESSAGE = re.compile(r"^BO_\s+(\d+)\s+(\S+?)\s*:\s*(\d+)")
SIGNAL = re.compile(
    r"^\s*SG_\s+(\S+)\s*:\s*(\d+)\|(\d+)@([01])([+-])\s*\(([^,]+),([^)]+)\)\s*\[[^]]*\]\s*\"([^\"]*)\""
)
SPEED_UNITS = {"kph": 1 / 3.6, "km/h": 1 / 3.6, "kmh": 1 / 3.6, "mph": 0.44704, "m/s": 1.0}
MOST_MESSAGES = 40


def role(name, length, unit):
    has = lambda *parts: any(part in name for part in parts)
    if has("COUNTER", "CNT", "ALIVE"):
        return "counter"
    if has("CHECKSUM", "CRC", "CHKSUM"):
        return "checksum"
    if unit in SPEED_UNITS and 8 <= length <= 20:
        if has("SET", "CRUISE", "TARGET", "LIMIT", "REL", "OBJ", "LEAD", "ACC_", "MAX"):
            return "setting"
        if ("WHEEL" in name or "WHL" in name or "VEH" in name or "CAR" in name or name == "SPEED"):
            return "speed"
    if length <= 2:
        return "switch"
    for kind, parts in {
        "rotation": ("RPM", "ENGINE_SPEED", "N_MOT", "ENGSPD"),
        "steering": ("STEER", "ANGLE"),
        "motion": ("YAW", "ACCEL", "LAT", "LONG", "GYRO"),
        "temperature": ("TEMP",),
        "voltage": ("VOLT", "BATT"),
        "pedal": ("PEDAL", "GAS", "THROTTLE", "BRAKE", "TORQUE", "TRQ"),
        "odometer": ("ODO", "DIST", "TRIP"),
    }.items():
        if has(*parts) and length >= 6:
            return kind
    return "setting" if length <= 5 else "noise" if length >= 9 else "level"


def bus(text):
    messages, now = [], None
    for line in text.splitlines():
        if m := MESSAGE.match(line):
            now = (int(m[1]), int(m[3]), [])
            if 1 <= now[1] <= 8 and now[0] != 0xC0000000:
                messages.append(now)
        elif now and (m := SIGNAL.match(line)):
            unit = m[8].strip().lower()
            what = role(m[1].upper(), int(m[3]), unit)
            factor = float(m[6]) * (SPEED_UNITS[unit] if what == "speed" else 1.0)
            offset = float(m[7]) * (SPEED_UNITS[unit] if what == "speed" else 1.0)
            now[2].append((int(m[2]), int(m[3]), int(m[4]), m[5], factor, offset, what))
    messages = [m for m in messages if m[2]]
    spoken = [m for m in messages if any(s[6] == "speed" for s in m[2])]
    others = [m for m in messages if m not in spoken]
    return (spoken + others)[:MOST_MESSAGES] if spoken and len(messages) >= 10 else []


def main():
    print("bus,id,bytes,start,bits,little_endian,sign,factor,offset,role")
    seen, number = set(), 0
    with zipfile.ZipFile(sys.argv[1]) as wheel:
        for name in sorted(n for n in wheel.namelist() if n.endswith(".dbc")):
            messages = bus(wheel.read(name).decode("latin1"))
            # Files that differ only in other messages count once.
            key = tuple(sorted((m[0], s[0], s[1]) for m in messages for s in m[2] if s[6] == "speed"))
            if not messages or key in seen:
                continue
            seen.add(key)
            for ident, size, signals in messages:
                for start, bits, order, sign, factor, offset, what in signals:
                    print(f"{number},{ident},{size},{start},{bits},{order},{sign},{factor:.9g},{offset:.9g},{what}")
            number += 1


main()
