#!/usr/bin/env bash
# Exports a simulated night, and ten days of two machines, and has the files read by other
# people's programs: DuckDB, polars, pyarrow and the Python package of MCAP's makers. All
# formats must have the same rows, all figures must be those of the sheet, and the examples of
# report/DATA.md must run. What cannot run here is said to be skipped, and why.
#
#   tests/export.sh [FOLDER]    keeps what it makes in FOLDER
set -euo pipefail
cd "$(dirname "$0")/.."
python=${PYTHON:-python3}
command -v "$python" >/dev/null || { echo "skipped: exports by other programs: no $python"; exit 0; }
if [ $# -gt 0 ]; then
    out=$1
    mkdir -p "$out"
else
    out=$(mktemp -d)
    trap 'rm -rf "$out"' EXIT
fi

# Its own tests build it, too.
cargo test --quiet --workspace --test export \
    --features underbrush-report/parquet,underbrush-report/mcap >"$out/tests.log" 2>&1 ||
    { cat "$out/tests.log"; exit 1; }
echo "ok: its own tests: $(grep 'test result' "$out/tests.log" | head -1)"
cp "${CARGO_TARGET_DIR:-target}/debug/underbrush" "$out/underbrush"

cargo run --quiet --bin demo -- "$out/night" >/dev/null 2>&1
# The sheets that it prints at its end want more days than these.
cargo run --quiet --bin demo_programme -- "$out/weeks" 10 >/dev/null 2>&1 || true
[ -f "$out/weeks/book.toml" ] || { echo "demo_programme made nothing"; exit 1; }

for part in formats figures examples full_disk; do
    "$python" -B "tests/export/$part.py" "$out" || { echo "failed: tests/export/$part.py"; exit 1; }
done
