#!/usr/bin/env python3
"""The areas in report/src/findings/coverage/tests.rs: floor that a brush line passed.

    swept_union.py

The line of 0.7 m goes through rows of places (metres, radians): lanes with overlap, a circle, a
figure of eight, a walk at random. Its floor is the union of the quadrilaterals between one place and
the next, by shapely (GEOS); and by a second method, the middles of a grid of 5 mm counted with
numpy. Needs shapely and numpy from PyPI. Fails if a value differs.
"""

import math

import numpy as np
import shapely

WIDTH = 0.7


def lanes():
    """Six lanes of 8 m, 0.6 m apart, joined by half circles."""
    places = []
    for lane in range(6):
        y, out = 0.6 * lane, lane % 2 == 0
        for i in range(17):
            places.append((0.5 * i if out else 8 - 0.5 * i, y, 0.0 if out else math.pi))
        side = 1 if out else -1
        for i in range(1, 20):
            turn = math.pi * i / 20
            x = (8 if out else 0) + side * 0.3 * math.sin(turn)
            places.append((x, y + 0.3 - 0.3 * math.cos(turn), turn if out else math.pi - turn))
    return places


def circle(radius=2.0, n=240):
    return [(radius * math.sin(a), radius - radius * math.cos(a), a)
            for a in (2 * math.pi * i / n for i in range(n + 1))]


def eight():
    left = circle(1.5)
    right = [(x, -y, -heading) for x, y, heading in left]
    return left + right[1:]


def walk():
    """Steps of 0.1 m; turns from a linear congruential generator (Knuth's MMIX numbers)."""
    state, x, y, heading = 2026, 0.0, 0.0, 0.0
    places = [(x, y, heading)]
    for _ in range(600):
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        heading += ((state >> 33) / 2**31 - 0.5) * 0.5
        x, y = x + 0.1 * math.cos(heading), y + 0.1 * math.sin(heading)
        places.append((x, y, heading))
    return places


def quads(places):
    half = WIDTH / 2
    lines = [((x - half * math.sin(h), y + half * math.cos(h)), (x + half * math.sin(h), y - half * math.cos(h)))
             for x, y, h in places]
    return [(a[0], a[1], b[1], b[0]) for a, b in zip(lines, lines[1:])]


def union(parts):
    # In a tight turn the inner end goes backwards: two triangles that touch.
    shapes = [shapely.make_valid(shapely.Polygon(p)) for p in parts]
    return shapely.union_all(shapes).area


def counted(parts, cell=0.005):
    corners = np.array(parts)
    low = corners.min(axis=(0, 1)) - cell
    size = np.ceil((corners.max(axis=(0, 1)) + cell - low) / cell).astype(int)
    hit = np.zeros(size, dtype=bool)
    for part in corners:
        first = np.floor((part.min(axis=0) - low) / cell).astype(int)
        last = np.ceil((part.max(axis=0) - low) / cell).astype(int)
        xs = low[0] + (np.arange(first[0], last[0]) + 0.5) * cell
        ys = low[1] + (np.arange(first[1], last[1]) + 0.5) * cell
        x, y = np.meshgrid(xs, ys, indexing="ij")
        inside = np.zeros(x.shape, dtype=bool)
        for (x0, y0), (x1, y1) in zip(part, np.roll(part, -1, axis=0)):
            if y0 != y1:
                inside ^= ((y0 <= y) != (y1 <= y)) & (x < x0 + (y - y0) / (y1 - y0) * (x1 - x0))
        hit[first[0]:last[0], first[1]:last[1]] |= inside
    return hit.sum() * cell * cell


expected = {
    "lanes": (lanes(), 33.435032),
    "circle": (circle(), 8.795455),
    "eight": (eight(), 12.162227),
    "walk": (walk(), 41.779962),
}
for name, (places, area) in expected.items():
    parts = quads(places)
    a, b = union(parts), counted(parts)
    print(f"{name}: {len(places)} places, {a:.6f} m2 by shapely, {b:.4f} m2 counted")
    assert abs(a - b) < 0.002 * a, "the two methods differ"
    assert abs(a - area) < 1e-6, "not what the tests of the report hold"
