#!/usr/bin/env python3
"""The published values of tests/tests/published_motion.rs, from the data themselves.

    plaza_values.py [Plaza1_.mat]

Reads fixtures/data/plaza/Plaza1_DR.txt. The ground-truth path needs the .mat file of the
PyPI package gtsam 4.3.0 (gtsam/Data/Plaza1_.mat) and scipy. Fails if a value differs.
"""

import math
import sys
from pathlib import Path

data = Path(__file__).parents[2] / "fixtures/data/plaza/Plaza1_DR.txt"
rows = [[float(word) for word in line.split()] for line in data.read_text().splitlines() if line.strip()]
start = rows[-1][0] - 1933.442
before, way, bins, stops, stop = start, 0.0, {}, [], None
for time, distance, _ in rows:
    seconds = time - before
    speed = distance / seconds
    way += distance
    bins[int(speed / 0.25)] = bins.get(int(speed / 0.25), 0.0) + seconds
    if speed < 0.05:
        stop = (before, time) if stop is None else (stop[0], time)
    elif stop is not None:
        stops.append(stop)
        stop = None
    before = time
stops = [(round(a - start, 1), round(b - a, 1)) for a, b in stops if b - a >= 5]
print(f"rows {len(rows)}, odometry {way:.3f} m")
print("stops", stops)
print("bins", {place: round(seconds, 2) for place, seconds in sorted(bins.items())})
assert len(rows) == 9657 and abs(way - 1861.278) < 0.001
assert stops == [(0.0, 44.8), (62.4, 16.0), (195.6, 69.0), (273.0, 11.2), (775.3, 37.2), (1461.6, 7.0)]
published = [224.50, 20.01, 191.97, 592.22, 420.52, 199.08, 280.79, 3.15, 0.20, 0.41, 0.20]
assert all(abs(bins[place] - seconds) < 0.006 for place, seconds in enumerate(published))

if len(sys.argv) > 1:
    from scipy.io import loadmat

    truth = loadmat(sys.argv[1])["GT"]
    path = sum(math.dist(a[1:3], b[1:3]) for a, b in zip(truth, truth[1:]))
    print(f"ground truth {path:.3f} m, odometry {100 * (way / path - 1):+.3f} %")
    assert abs(path - 1858.977) < 0.001
else:
    print("ground truth skipped: give Plaza1_.mat of the PyPI package gtsam")
