#!/usr/bin/env python3
"""Values of the wear rate's Bayesian regression, by other people's libraries.

Recomputes the constants of report/src/findings/wear/tests/outside.rs and of
report/src/findings/statistics/tests: posterior by numpy's matrix form and by statsmodels' WLS with
the prior as one observation more, days by SciPy's numerical integration over first length and rate
(the program sums over the rate alone), intervals of NIST's data by statsmodels.

Needs the PyPI packages numpy, scipy and statsmodels (2.4.6, 1.17.1, 0.15.0 were used). Fails if a
value differs.
"""

import pathlib

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats

# mm and MJ. A new segment, then three readings.
ENERGY = np.array([0.0, 60.0, 115.0, 190.0])
LENGTH = np.array([25.4, 21.2, 16.9, 11.4])
ERROR = np.array([0.5, 0.4, 0.4, 0.4])
RATE, RATE_SD = 0.08, 0.032
NOW = 220.0
DAILY, DAILY_SD, DAYS = 3.0, 1.2, 60


def near(name, found, expected, tolerance=1e-9):
    assert abs(found - expected) <= tolerance * abs(expected), (name, found, expected)
    print(f"{name} {found:.12g}")


# Conjugate form: precision matrices add up.
X = np.column_stack([np.ones(4), -ENERGY])
precision = X.T @ np.diag(ERROR**-2) @ X + np.diag([0.0, RATE_SD**-2])
cov = np.linalg.inv(precision)
mean = cov @ (X.T @ (LENGTH / ERROR**2) + np.array([0.0, RATE / RATE_SD**2]))

# The same with the prior as an observation more.
rows = np.vstack([X, [0.0, 1.0]])
wls = sm.WLS(np.append(LENGTH, RATE), rows, weights=np.append(ERROR, RATE_SD) ** -2.0).fit()
assert np.allclose(wls.params, mean, rtol=1e-12)
assert np.allclose(wls.normalized_cov_params, cov, rtol=1e-10)

at_now = np.array([1.0, -NOW])
sd_now = np.sqrt(at_now @ cov @ at_now)
near("first length", mean[0], 25.5160283044)
near("rate", mean[1], 0.0743077891175)
near("rate sd", np.sqrt(cov[1, 1]), 0.00311579257041)
near("length now", at_now @ mean, 9.16831469852)
near("length now sd", sd_now, 0.427918485357)


def ahead(days):
    degrees = 4.0 + DAYS - 1.0
    variance = DAILY_SD**2 * degrees / (degrees - 2.0)
    return DAILY * days, np.sqrt(variance * (days + days**2 / DAYS))


def chance(limit, days):
    """Chance that the length is below the limit: integral over both unknowns."""
    use, use_sd = ahead(days)
    nodes, weights = np.polynomial.legendre.leggauss(240)
    sds = np.sqrt(np.diag(cov))
    first = (mean[0] + 8 * sds[0] * nodes)[:, None]
    rate = (mean[1] + 8 * sds[1] * nodes)[None, :]
    grid = np.broadcast_arrays(first, rate)
    density = stats.multivariate_normal(mean, cov).pdf(np.dstack(grid))
    needed = (first - limit) / rate - NOW
    value = density * stats.norm.sf((needed - use) / use_sd)
    return 64 * sds[0] * sds[1] * weights @ value @ weights


for share, expected in ((0.1, 9.2612275), (0.5, 12.670826), (0.9, 16.680896)):
    days = optimize.brentq(lambda t: chance(6.35, t) - share, 0.5, 60.0, xtol=1e-9)
    near(f"days to 6.35 mm at {share}", days, expected, 1e-6)

# Student's t where readings scatter: seven readings 1 mm up and down.
energy = np.arange(7) * 30.0
length = 25.4 - 0.08 * energy + np.array([0.0, 1, -1, 1, -1, 1, -1])
error = np.append(0.5, np.full(6, 0.4))
own = sm.WLS(length, np.column_stack([np.ones(7), -energy]), weights=error**-2.0).fit()
assert own.ssr > stats.chi2.ppf(0.95, 5)
scale = np.sqrt((4 + own.ssr) / (4 + 5))
near("scatter over reading error", scale, 2.08731507108)
rows = np.vstack([np.column_stack([np.ones(7), -energy]), [0.0, 1.0]])
weights = np.append((error * scale) ** -2.0, RATE_SD**-2.0)
both = sm.WLS(np.append(length, RATE), rows, weights=weights).fit()
near("its rate", both.params[1], 0.083946214539)
near("its rate sd", np.sqrt(both.normalized_cov_params[1, 1]), 0.00552862446998)

# A rate as uncertain as it is large, cut off at zero.
cut = stats.truncnorm(-1.0, np.inf, loc=1.0, scale=1.0)
for share, expected in ((0.1, 0.30264308), (0.5, 1.20017369), (0.9, 2.37778736)):
    near(f"cut off at zero, {share}", cut.ppf(share), expected, 1e-7)
near("t(0.9, 9)", stats.t.ppf(0.9, 9), 1.3830287383966, 1e-12)
for degrees, expected in ((1, 3.84145882), (2, 5.99146455), (5, 11.0704977), (10, 18.3070381)):
    near(f"chi2(0.95, {degrees})", stats.chi2.ppf(0.95, degrees), expected, 1e-8)

# Intervals of NIST's data.
data = pathlib.Path(__file__).parents[2] / "fixtures/data/nist_strd"


def nist(name):
    lines = (data / f"{name}.dat").read_text().splitlines()[60:]
    table = np.array([[float(v) for v in line.split()] for line in lines if line.strip()])
    return table[:, 1], table[:, 0]


x, y = nist("Norris")
frame = sm.OLS(y, sm.add_constant(x)).fit().get_prediction([[1.0, 500.0]]).summary_frame(0.05)
near("Norris at 500", frame["mean"].iloc[0], 500.796085936453, 1e-11)
near("Norris one more, low", frame["obs_ci_lower"].iloc[0], 498.971794054184, 1e-11)
near("Norris one more, high", frame["obs_ci_upper"].iloc[0], 502.620377818723, 1e-11)
x, y = nist("NoInt1")
frame = sm.OLS(y, x).fit().get_prediction([[72.0]]).summary_frame(0.05)
near("NoInt1 one more, low", frame["obs_ci_lower"].iloc[0], 140.975801292, 1e-10)
near("NoInt1 one more, high", frame["obs_ci_upper"].iloc[0], 157.734942510, 1e-10)
near("t(0.975, 10)", stats.t.ppf(0.975, 10), 2.2281388519862747, 1e-14)
print("posterior, days, scatter and intervals agree")
