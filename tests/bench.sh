#!/bin/sh
# Measures every part beside a named peer in the same run and prints one table.
#
#   tests/bench.sh [--shifts N] [--times N] [--seconds N] [sheet|range|size|load|decode|year|dbc|candump|screen|export|full_rate ...]
#
# About 10 minutes for all parts. Nothing here is a test: no time fails it. Needs
# Linux, cargo and Python 3.9 or later. The peers are Python packages
# (tests/bench/requirements.txt); they are fetched into a folder of their own under
# target/ and left out, which the table says, where that fails.
#
# Exit: 0 done, 2 wrong use, a wrong result or a failed build, 77 skipped.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
cd "$here/.."

skip() {
    echo "bench: SKIPPED: $1" >&2
    exit 77
}

[ "$(uname -s)" = Linux ] || skip "processes are watched through Linux's /proc"
command -v cargo >/dev/null || skip "no cargo"
command -v python3 >/dev/null || skip "no python3: it starts and times the programs"
python3 -c 'import sys; sys.exit(sys.version_info < (3, 9))' || skip "python3 is older than 3.9"

# No run may find what an earlier one kept.
export UNDERBRUSH_NIGHTS=

target=${CARGO_TARGET_DIR:-$PWD/target}
cargo build --quiet --release -p underbrush-agent -p underbrush-report -p underbrush-tests -p underbrush-fixtures --bins \
    --features underbrush-report/parquet || {
    echo "bench: the programs do not build (see above)" >&2
    exit 2
}

cargo build --quiet --release -p underbrush-agent --example can_kit || exit 2

peers=$target/bench/peers
why=''
if ! cmp -s tests/bench/requirements.txt "$peers/have.txt"; then
    mkdir -p "$target/bench"
    rm -rf "$peers"
    if ! python3 -m venv "$peers" >"$target/bench/venv.log" 2>&1; then
        why="python3 -m venv does not work, see $target/bench/venv.log"
    elif ! "$peers/bin/pip" install --quiet --disable-pip-version-check \
        -r tests/bench/requirements.txt >"$target/bench/pip.log" 2>&1; then
        why="pip could not install the peers, see $target/bench/pip.log"
    else
        cp tests/bench/requirements.txt "$peers/have.txt"
    fi
fi
[ -n "$why" ] && echo "bench: peers are left out: $why" >&2
python=''
[ -z "$why" ] && python=$peers/bin/python

# The peers run in their own Python; the driver stays small, and so do its children.
exec python3 -B tests/bench/bench.py --bin "$target/release" --work "$target/bench/work" \
    --peers "$python" --why-no-peers "$why" "$@"
