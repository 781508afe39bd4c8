"""Finds the dumps of protocol/SPEC.md and compares what a reader says with the page."""

import re
import sys
from pathlib import Path

SPEC = Path(__file__).resolve().parents[2] / "protocol" / "SPEC.md"


def blocks(kind):
    """Name and lines of each fenced block of that kind, in the page's order."""
    text = SPEC.read_text(encoding="utf-8")
    found = re.findall(rf"^```{kind} (\S+)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return {name: body.splitlines() for name, body in found}


def compare(prefix, read):
    """Runs `read` (bytes to lines) over the dumps whose name begins so; exits by the outcome."""
    dumps, values = blocks("hex"), blocks("values")
    names = [name for name in dumps if name.startswith(prefix)]
    wrong = 0
    for name in names:
        got = read(bytes.fromhex(" ".join(dumps[name])))
        if got == values[name]:
            print(f"{name}: {len(got)} values as the page says")
            continue
        wrong += 1
        print(f"{name}: DIFFERS")
        for line in got:
            if line not in values[name]:
                print(f"  read: {line}")
        for line in values[name]:
            if line not in got:
                print(f"  page: {line}")
    print(f"{len(names) - wrong} of {len(names)} dumps agree")
    sys.exit(1 if wrong or not names else 0)
