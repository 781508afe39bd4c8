#!/usr/bin/env python3
"""Rate and forecast of a restoration, by numpy and SciPy.

Recomputes the constants of report/src/programme/tests/finish.rs: the mean's interval by
scipy.stats.t.interval, the chances by the closed form with SciPy's Student t, and, as a derivation
of its own, by drawing: mean and variance from their reference posterior (normal values, scaled
inverse chi squared), then the sum of so many further nights. Fails if a value differs.

Needs the PyPI packages numpy and scipy (2.4.6 and 1.17.1 were used).
"""

import pathlib
import re

import numpy as np
from scipy import stats

SOURCE = pathlib.Path(__file__).parents[2] / "report/src/programme/tests/finish.rs"
MISSING = 2000.0
DRAWS = 2_000_000


def numbers(name):
    body = re.search(rf"const {name}[^=]*=\s*\[(.*?)\];", SOURCE.read_text(), re.S).group(1)
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", body.replace("_", ""))]


nights = np.array(numbers("NIGHTS"))
n, mean, deviation = len(nights), nights.mean(), nights.std(ddof=1)


def chance(t):
    spread = deviation * np.sqrt(t + t**2 / n)
    return stats.t.sf((MISSING - t * mean) / spread, n - 1)


def drawn(t, rng):
    variance = (n - 1) * deviation**2 / rng.chisquare(n - 1, DRAWS)
    centre = rng.normal(mean, np.sqrt(variance / n))
    return np.mean(rng.normal(t * centre, np.sqrt(t * variance)) >= MISSING)


def night(wanted):
    return next(t for t in range(1, 1000) if chance(t) >= wanted)


interval = stats.t.interval(0.8, n - 1, loc=mean, scale=stats.sem(nights))
constants = numbers("REFERENCE_CHANCES")
days, chances = [int(t) for t in constants[::2]], constants[1::2]
wanted = [(share, night(share)) for share in (0.1, 0.5, 0.9)]
print("interval", *(f"{value:.12g}" for value in interval))
print("chances", *(f"({t}, {chance(t):.12g})" for t in days))
print("nights", *wanted)
rng = np.random.default_rng(1)
for t in days:
    print(f"drawn: within {t} nights {drawn(t, rng):.4f}, closed form {chance(t):.4f}")
    np.testing.assert_allclose(drawn(t, rng), chance(t), atol=0.002)
np.testing.assert_allclose(chances, [chance(t) for t in days], rtol=1e-9)
np.testing.assert_allclose(numbers("REFERENCE_INTERVAL"), interval, rtol=1e-9)
np.testing.assert_array_equal(numbers("REFERENCE_NIGHTS"), np.array(wanted).ravel())
print("interval, chances and nights of the programme agree")
