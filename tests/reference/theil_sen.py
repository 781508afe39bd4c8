#!/usr/bin/env python3
"""The Theil-Sen and median values of report/src/findings/robust.rs, by another implementation.

Needs the PyPI package scipy (1.17.1 was used). Fails if a value differs.
"""

import math
import pathlib
import re

import numpy
from scipy.stats import median_abs_deviation, theilslopes

points = []
for i in range(24):
    x = float((i * 7) % 24) + 0.5 * (i % 3)
    y = 0.3 - 0.02 * x + 0.001 * ((i * 37) % 11) + (4.0 if i % 6 == 5 else 0.0)
    points.append((x, y))
tied = [(math.floor(x / 2.0), math.floor(y * 16.0) / 16.0) for x, y in points]
ys = [y for _, y in points]

def line(points):
    found = theilslopes([y for _, y in points], [x for x, _ in points], 0.95)
    return [found.slope, found.intercept, found.low_slope, found.high_slope]

values = {
    "SLOPE": line(points),
    "TIED": line(tied),
    "SPREAD": [numpy.median(ys), median_abs_deviation(ys, scale="normal")],
}
source = pathlib.Path(__file__).parents[2] / "report/src/findings/robust.rs"
text = source.read_text()
for name, found in values.items():
    print(name, [float(f"{value:.15g}") for value in found])
    given = re.search(rf"const {name}: \[f64; \d\] =\s*\[([^\]]*)\]", text).group(1)
    given = [float(value.replace("_", "")) for value in given.split(",") if value.strip()]
    assert len(given) == len(found), name
    for mine, theirs in zip(given, found):
        assert abs(mine - theirs) < 1e-9, (name, mine, theirs)
print("Theil-Sen lines and spreads agree with scipy")
