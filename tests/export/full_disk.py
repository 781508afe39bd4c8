"""A disk that is full: told at once, exit code 2, and nothing is left on it.

A small file system in memory, in a mount namespace of its own; skipped where none is to be had.
"""

import subprocess
import time

from kit import OUT, said, wrong

SCRIPT = """
mount -t tmpfs -o size=256k tmpfs "$0" || exit 99
"$1" export all --format "$3" --out "$0/tables" --in "$2" 2>"$0.said"
echo $?
find "$0" -type f | wc -l
"""


def main():
    place = OUT / "full"
    place.mkdir(exist_ok=True)
    begun = time.monotonic()
    for form in ("csv", "jsonl", "parquet", "mcap"):
        command = ["unshare", "-rm", "sh", "-c", SCRIPT]
        try:
            done = subprocess.run(
                [*command, place, OUT / "underbrush", OUT / "night", form], capture_output=True, text=True
            )
        except FileNotFoundError:
            print("skipped: full disk: unshare is not installed")
            return
        if done.returncode == 99 or not done.stdout:
            print(f"skipped: full disk: no file system of its own here: {done.stderr.strip()}")
            return
        told = place.with_suffix(".said").read_text()
        if done.stdout.split() != ["2", "0"] or "No space left on device" not in told:
            wrong(f"full disk, {form}: exit code and files {done.stdout.split()}: {told}")
    said("full disk: told, nothing left, in all formats", begun)


main()
