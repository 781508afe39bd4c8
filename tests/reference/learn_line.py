#!/usr/bin/env python3
"""The lines of agent/src/learn/line.rs and calibrate's interval, by another implementation.

Needs the PyPI package scipy (1.17.1 was used). Fails if a value differs.
"""

import pathlib
import re

from scipy.stats import linregress, t, theilslopes

TOP = pathlib.Path(__file__).parents[2]
text = (TOP / "agent/src/learn/line.rs").read_text()


def given(name, text):
    body = re.search(rf"const {name}: [^=]*=\s*\[(.*?)\];", text, re.S).group(1)
    return [float(value.replace("_", "")) for value in re.findall(r"-?[\d_]+\.[\d_]*(?:e-?\d+)?", body)]


flat = given("POINTS", text)
points = list(zip(flat[::2], flat[1::2]))
for name, part in [("ALL", points), ("FIVE", points[2:7])]:
    found = theilslopes([y for _, y in part], [x for x, _ in part], 0.95)
    values = [found.slope, found.low_slope, found.high_slope]
    print(name, [float(f"{value:.12g}") for value in values])
    for mine, theirs in zip(given(name, text), values, strict=True):
        assert abs(mine - theirs) < 1e-9, (name, mine, theirs)

text = (TOP / "agent/src/calibrate/current.rs").read_text()
reads, shown = zip((10.0, 12.0), (20.0, 21.0), (30.0, 33.0))
line = linregress(reads, shown)
half = t.ppf(0.975, len(reads) - 2) * line.stderr
words = f"95 % interval {line.slope - half:.4f} to {line.slope + half:.4f}"
assert words in text, words
print("lines and intervals of factors agree with scipy")
