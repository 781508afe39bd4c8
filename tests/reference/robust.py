"""Weighted median, MAD and quantiles of motor currents by numpy and scipy, for
report/src/findings/load/currents.rs: each current repeated for its milliseconds.

pip install numpy scipy
"""
import numpy as np
from scipy.stats import median_abs_deviation

times = [(18.2, 301), (19.9, 1200), (20.4, 900), (23.0, 250), (96.0, 100)]
readings = np.repeat([a for a, _ in times], [ms for _, ms in times])
values = {
    "median": np.median(readings),
    "mad": median_abs_deviation(readings),
    "mean": readings.mean(),
    "p95": np.quantile(readings, 0.95, method="inverted_cdf"),
    "max": readings.max(),
}
expected = {"median": 19.9, "mad": 0.5, "mean": 22.925554344, "p95": 23.0, "max": 96.0}
for name, value in values.items():
    assert abs(value - expected[name]) < 1e-8, (name, value)

# The spread of the nights in baseline.rs: one worn pad among four nights.
nights = [20.0, 20.4, 12.0, 20.2]
assert abs(np.median(nights) - 20.1) < 1e-12
assert abs(median_abs_deviation(nights, scale="normal") - 0.2 * 1.482602218505602) < 1e-9
print("weighted median, MAD, mean and quantiles as in currents.rs")
