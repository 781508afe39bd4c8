#!/usr/bin/env python3
"""The shift spans of report/tests/published_values.rs, by Python's zoneinfo (tzdata).

Fails if a value differs. Standard library only, plus the PyPI package tzdata where
the system has no time zones.
"""

from datetime import datetime, timezone
from zoneinfo import ZoneInfo

ROWS = [
    ("America/Chicago", (2026, 3, 7), "2026-03-08T04:00:00Z", "2026-03-08T11:00:00Z"),
    ("America/Chicago", (2026, 10, 31), "2026-11-01T03:00:00Z", "2026-11-01T12:00:00Z"),
    ("Europe/Berlin", (2026, 3, 28), "2026-03-28T21:00:00Z", "2026-03-29T04:00:00Z"),
    ("Europe/Berlin", (2026, 10, 24), "2026-10-24T20:00:00Z", "2026-10-25T05:00:00Z"),
    ("America/Phoenix", (2026, 11, 1), "2026-11-02T05:00:00Z", "2026-11-02T13:00:00Z"),
]


def utc(zone, date, hour, days):
    local = datetime(*date, hour, tzinfo=ZoneInfo(zone))
    moved = datetime.fromordinal(local.toordinal() + days).replace(hour=hour, tzinfo=ZoneInfo(zone))
    return moved.astimezone(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


for zone, date, start, end in ROWS:
    assert (utc(zone, date, 22, 0), utc(zone, date, 6, 1)) == (start, end), zone
    print(zone, date, start, end)
twice = [datetime(2026, 11, 1, 1, 30, fold=fold, tzinfo=ZoneInfo("America/Chicago")) for fold in (0, 1)]
assert [int(t.timestamp()) for t in twice] == [1793514600, 1793518200]
