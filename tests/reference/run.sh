#!/usr/bin/env bash
# Runs the reference scripts: values by other people's Python libraries, and independent
# readers of protocol/SPEC.md: as many at a time as there are processors, the longest first.
# What cannot run here is said to be skipped, and why.
set -euo pipefail
cd "$(dirname "$0")/../.."
python=${PYTHON:-python3}
command -v "$python" >/dev/null || { echo "skipped: all reference scripts: no $python"; exit 0; }

run() {
    local said name=$1.py
    if said=$("$python" "tests/reference/$name" 2>&1); then
        echo "ok: $name: $(tail -1 <<<"$said")"
    elif grep -q '^skipped: ' <<<"$said"; then
        echo "skipped: $name: $(grep '^skipped: ' <<<"$said" | tail -1 | cut -c10-)"
    elif grep -q 'ModuleNotFoundError' <<<"$said"; then
        echo "skipped: $name: $(grep ModuleNotFoundError <<<"$said" | tail -1) (see the script's head)"
    else
        printf '%s\nfailed: tests/reference/%s\n' "$said" "$name"
        return 1
    fi
}
export -f run
export python

# One that fails does not end the others; xargs then fails at the end.
xargs -n 1 -P "$(getconf _NPROCESSORS_ONLN)" bash -c 'run "$1"' run <<END
dbc_sweep
wear_values
j1939_long
footprint
robust
schemas
plaza_values
plaza_heading
shift_hours
hdr_values
theil_sen
trends
swept_union
programme_values
read_link
read_log
captures
learn_layouts
learn_drafts
learn_line
learn_boat
can_adapter
canopen_pdo
END
