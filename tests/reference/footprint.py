#!/usr/bin/env python3
"""The floor that the simulated brushes touched, by polygon union (shapely).

`simulate --plan block --path FILE` writes the line that the brushes sweep ten times a
second; the quadrilaterals between two of them are united exactly. The simulator itself
counts points of a grid 2 cm apart. SIMULATE names the program, if it is not in target/debug.
"""
import os
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from shapely import union_all
from shapely.geometry import MultiPoint

target = Path(os.environ.get("CARGO_TARGET_DIR", "target"))
program = Path(os.environ.get("SIMULATE", target / "debug/simulate"))
if not program.exists():
    print(f"footprint: skipped, {program} is not built")
    sys.exit(0)
seeds = sys.argv[1:] or ["0", "1", "2", "5"]
bad = 0
for seed in seeds:
    with tempfile.TemporaryDirectory() as folder:
        path, truth = Path(folder, "path"), Path(folder, "truth")
        subprocess.run(
            [program, "--plan", "block", "--seed", seed, "--path", path, "--truth", truth],
            check=True,
        )
        known = tomllib.loads(truth.read_text())["section"][0]["distinct_area_m2"]
        pieces, last = [], None
        for line in path.read_text().splitlines():
            ends = [int(number) / 1000 for number in line.split()]
            if ends and last and ends != last:
                corners = [last[0:2], last[2:4], ends[2:4], ends[0:2]]
                pieces.append(MultiPoint(corners).convex_hull)
            last = ends
        area = union_all(pieces).area
    error = known / area - 1
    bad += abs(error) > 0.002
    print(f"seed {seed}: simulator {known:.3f} m2, union {area:.3f} m2, {100 * error:+.3f} %")
sys.exit(1 if bad else 0)
