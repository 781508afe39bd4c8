#!/usr/bin/env python3
"""The dead reckoning of the Plaza1 run in report/src/findings/path/tests.rs.

    plaza_heading.py [Plaza1_.mat]

Reads fixtures/data/plaza/Plaza1_DR.txt and integrates it with complex numbers: each row turns half,
moves its chord, turns half. The independent path needs the .mat file of the PyPI package
gtsam 4.3.0 (gtsam/Data/Plaza1_.mat, array GT) with numpy and scipy; its heading
is the robot's own, so that only the place is independent. Fails if a value differs.
"""

import cmath
import math
import sys
from pathlib import Path

data = Path(__file__).parents[2] / "fixtures/data/plaza/Plaza1_DR.txt"
rows = [[float(word) for word in line.split()] for line in data.read_text().splitlines() if line.strip()]
place, heading, places, headings = 0j, 0.0, [0j], [0.0]
for _, way, turn in rows:
    chord = way * (math.sin(turn / 2) / (turn / 2) if turn else 1.0)
    place += chord * cmath.exp(1j * (heading + turn / 2))
    heading += turn
    places.append(place)
    headings.append(heading)
far = max(abs(p) for p in places)
print(f"heading {heading:.4f} rad, end ({place.real:.3f}, {place.imag:.3f}) m, furthest {far:.3f} m")
assert abs(heading + 10.8928) < 1e-4 and abs(place - (-40.395 - 22.870j)) < 0.001

if len(sys.argv) > 1:
    import numpy as np
    from scipy.io import loadmat

    truth = loadmat(sys.argv[1])["GT"]
    true = np.unwrap(truth[:, 3]) - truth[0, 3]
    off = np.array(headings) - true
    print(f"true heading {true[-1]:.4f} rad; off by {off[-1]:.4f} at the end, {np.abs(off).max():.4f} at most")
    turned = (truth[:, 1] + 1j * truth[:, 2] - truth[0, 1] - 1j * truth[0, 2]) * np.exp(-1j * truth[0, 3])
    apart = np.abs(np.array(places) - turned)
    print(f"end ({turned[-1].real:.3f}, {turned[-1].imag:.3f}) m; apart {apart[-1]:.3f} at the end, {apart.max():.3f} m at most")
    assert abs(turned[-1] - (-38.855 - 27.042j)) < 0.001 and abs(apart.max() - 4.447) < 0.001
else:
    print("ground truth skipped: give Plaza1_.mat of the PyPI package gtsam")
