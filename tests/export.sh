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

cargo build --quiet --workspace --bin demo --bin demo_programme
demo=${CARGO_TARGET_DIR:-target}/debug/demo
"$demo" "$out/night" >/dev/null 2>&1 &
# The sheets that it prints at its end want more days than these.
"${demo}_programme" "$out/weeks" 10 >/dev/null 2>&1 || true
wait $! || { echo "demo failed"; exit 1; }
[ -f "$out/weeks/book.toml" ] || { echo "demo_programme made nothing"; exit 1; }

run() {
    local part=$1
    "$python" -B "tests/export/$part.py" "$out" "${@:2}" || { echo "failed: tests/export/$part.py"; return 1; }
}
export -f run
export python out
side_by_side() { xargs -L 1 -P "$(getconf _NPROCESSORS_ONLN)" bash -c 'run "$@"' run; }

# What makes the files, each in a folder of its own.
side_by_side <<END
formats weeks
formats night
formats short
full_disk
END
# Both read the sheets that the first of them makes.
run figures
run examples
