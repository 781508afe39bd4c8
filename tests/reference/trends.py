#!/usr/bin/env python3
"""The change points of report/src/trends/change.rs, by another implementation of Pettitt's test.

Needs the PyPI package pyhomogeneity (1.1 was used). Fails if a value differs.
"""

import pathlib
import re

import pyhomogeneity


def series(step):
    return [10 + 0.1 * ((i * 37) % 11) + (step if i >= 17 else 0.0) for i in range(40)]


source = pathlib.Path(__file__).parents[2] / "report/src/trends/change.rs"
text = source.read_text()
for name, values in [("STEPPED", series(0.7)), ("FLAT", series(0.0))]:
    found = pyhomogeneity.pettitt_test(values, sim=None)
    mine = re.search(rf"const {name}: \(usize, f64\) = \((\d+), ([^)]*)\)", text)
    print(name, found.cp, found.p)
    # Above 1 the approximation says nothing; ours is cut off there.
    assert int(mine.group(1)) == found.cp, (name, found)
    assert abs(float(mine.group(2).replace("_", "")) - min(found.p, 1.0)) < 1e-12, (name, found)
print("change points agree with pyhomogeneity")
