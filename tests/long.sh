#!/usr/bin/env bash
# The tests that take more seeds the longer they may run, with all of them: in `.ci/run` they
# take some. About 7 minutes on two cores, once built.
set -euo pipefail
cd "$(dirname "$0")/.."
command -v cargo >/dev/null || { echo "skipped: no cargo"; exit 0; }

# Test, seeds, and what they are counted by.
run() {
    local name=$1 seeds=$2 variable=${3:-UNDERBRUSH_SEEDS}
    local begun=$SECONDS said
    said=$(env "$variable=$seeds" cargo test --quiet --workspace --test "$name" -- --nocapture 2>&1) ||
        { echo "$said"; echo "failed: $name with $variable=$seeds"; exit 1; }
    echo "ok: $name, seeds $seeds: $(grep -o '[0-9]* passed' <<<"$said" | tail -1) in $((SECONDS - begun)) s"
}

run crashes 0..12500 UNDERBRUSH_CRASH_SEEDS
run simulated_truth 0..500
run live_alarms 0..500
run confusion 100..124
run slow_failures 0..6
