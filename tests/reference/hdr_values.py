#!/usr/bin/env python3
"""The HDR histogram values of report/tests/published_values.rs, by another implementation.

Needs the PyPI package hdrhistogram (0.10.8 was used). Fails if a value differs.
"""

from hdrh.histogram import HdrHistogram

ROWS = [(0, 300), (250, 60), (500, 120), (1000, 600), (1001, 30), (2047, 60), (2048, 15), (2049, 15), (4097, 5)]
EXPECTED = {10: 0, 25: 250, 50: 1000, 75: 1000, 90: 1001, 95: 2047, 99: 2049, 99.9: 4099, 100: 4099}

histogram = HdrHistogram(1, 3_600_000_000, 3)
for value, count in ROWS:
    histogram.record_value(value, count)
for percent, value in EXPECTED.items():
    found = histogram.get_value_at_percentile(percent)
    assert found == value, (percent, found, value)
    print(f"{percent} % {found}")
assert abs(histogram.get_mean_value() - 755.029045643) < 1e-6
print(f"mean {histogram.get_mean_value():.9f}")
