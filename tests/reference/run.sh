#!/usr/bin/env bash
# Runs the reference scripts: values by other people's Python libraries, and independent
# readers of protocol/SPEC.md. What cannot run here is said to be skipped, and why.
set -euo pipefail
cd "$(dirname "$0")/../.."
python=${PYTHON:-python3}
command -v "$python" >/dev/null || { echo "skipped: all reference scripts: no $python"; exit 0; }

run() {
    local said
    if said=$("$python" "$@" 2>&1); then
        echo "ok: $(basename "$1"): $(tail -1 <<<"$said")"
    elif grep -q '^skipped: ' <<<"$said"; then
        echo "skipped: $(basename "$1"): $(grep '^skipped: ' <<<"$said" | tail -1 | cut -c10-)"
    elif grep -q 'ModuleNotFoundError' <<<"$said"; then
        echo "skipped: $(basename "$1"): $(grep ModuleNotFoundError <<<"$said" | tail -1) (see the script's head)"
    else
        echo "$said"
        echo "failed: $1"
        exit 1
    fi
}

run tests/reference/plaza_values.py
run tests/reference/plaza_heading.py
run tests/reference/shift_hours.py
run tests/reference/hdr_values.py
run tests/reference/robust.py
run tests/reference/theil_sen.py
run tests/reference/trends.py
run tests/reference/swept_union.py
run tests/reference/footprint.py
run tests/reference/wear_values.py
run tests/reference/programme_values.py
run tests/reference/schemas.py
run tests/reference/read_link.py
run tests/reference/read_log.py
run tests/reference/captures.py
run tests/reference/dbc_sweep.py
run tests/reference/j1939_long.py
run tests/reference/learn_layouts.py
run tests/reference/learn_drafts.py
run tests/reference/learn_line.py
run tests/reference/learn_boat.py
run tests/reference/can_adapter.py
run tests/reference/canopen_pdo.py
