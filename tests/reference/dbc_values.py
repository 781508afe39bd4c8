#!/usr/bin/env python3
"""Decoded values of random payloads by cantools, a DBC library of others.

usage: python3 -m pip install cantools==45.1.0
       python3 tests/reference/dbc_values.py > fixtures/data/dbc/cantools_values.csv

One row a signal and payload: file,message,payload,signal,value; no value where
the multiplexor selects other signals. `agent/tests/dbc.rs` compares every row.
"""

import pathlib
import random
import sys

import cantools

HERE = pathlib.Path(__file__).resolve().parents[2] / "fixtures" / "data" / "dbc"
FILES = [
    "j1939.dbc",
    "motohawk.dbc",
    "multiplex.dbc",
    "own_example.dbc",
    "own_float_mux.dbc",
    "signed.dbc",
]
PAYLOADS = 24


def payloads(rng, length):
    """Extremes first, then random bytes, half of them with a small first byte."""
    yield bytes(length)
    yield bytes([0xFF] * length)
    for number in range(100 * PAYLOADS):
        data = bytearray(rng.randbytes(length))
        if number % 2:
            data[0] %= 8
        yield bytes(data)


def decoded(rng, message):
    """The first payloads that cantools decodes; it refuses one that selects nothing."""
    found = 0
    for data in payloads(rng, message.length):
        try:
            yield data, message.decode(data, decode_choices=False)
        except cantools.database.DecodeError:
            continue
        found += 1
        if found == PAYLOADS:
            return


def main():
    rng = random.Random(20261125)
    print("file,message,payload,signal,value")
    for file in FILES:
        database = cantools.database.load_file(HERE / file, strict=False)
        for message in database.messages:
            for data, values in decoded(rng, message):
                for signal in message.signals:
                    value = values.get(signal.name)
                    text = "" if value is None else repr(value)
                    print(f"{file},{message.name},{data.hex()},{signal.name},{text}")
    print(f"cantools {cantools.__version__}", file=sys.stderr)


if __name__ == "__main__":
    main()
