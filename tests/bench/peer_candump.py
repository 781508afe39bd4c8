"""The peer of importing recordings: python-can reads a candump file to messages.

    peer_candump.py FILE
"""

import sys
import time

import can

start = time.perf_counter()
frames = 0
with can.LogReader(sys.argv[1]) as reader:
    for _ in reader:
        frames += 1
print(f"seconds {time.perf_counter() - start}")
print(f"frames {frames}")
