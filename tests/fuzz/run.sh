#!/bin/sh
# Builds every libFuzzer target and runs each one for a while.
#
#   tests/fuzz/run.sh [seconds for each target, default 60] [target ...]
#
# Needs neither cargo-fuzz nor clang: the coverage pass and the address
# sanitizer are in rustc itself, libFuzzer comes with the crate libfuzzer-sys
# and is compiled by the system's C++ compiler. Both are flags that a stable
# rustc takes only with RUSTC_BOOTSTRAP=1, which is set for this build alone.
#
# Exit: 0 all ran clean, 1 a target found something (the input is kept in
# artifacts/), 2 wrong use or the build failed, 77 skipped because a tool is missing.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
seconds=${1:-60}
[ $# -gt 0 ] && shift
targets=${*:-"link_decoder journal_scan archive_reader machine_file candump dbc_file site_file"}

skip() {
    echo "fuzz: SKIPPED: $1" >&2
    exit 77
}

case $seconds in '' | *[!0-9]*)
    echo "fuzz: the first argument is a number of seconds, not '$seconds'" >&2
    exit 2
    ;;
esac
command -v cargo >/dev/null || skip "no cargo"
command -v c++ >/dev/null || skip "no C++ compiler: libfuzzer-sys compiles libFuzzer with it"
[ "$(uname -s)" = Linux ] || skip "only set up for Linux"

triple=$(rustc -vV | sed -n 's/^host: //p')
flags="--cfg fuzzing -Cpasses=sancov-module \
-Cllvm-args=-sanitizer-coverage-level=4 \
-Cllvm-args=-sanitizer-coverage-inline-8bit-counters \
-Cllvm-args=-sanitizer-coverage-pc-table \
-Cllvm-args=-sanitizer-coverage-trace-compares"
runtime=$(rustc --print sysroot)/lib/rustlib/$triple/lib
if ls "$runtime"/librustc*_rt.asan.a >/dev/null 2>&1; then
    flags="$flags -Zsanitizer=address"
else
    echo "fuzz: note: this toolchain has no address sanitizer, running without it" >&2
fi

# --target keeps build scripts and macros free of the flags.
export RUSTC_BOOTSTRAP=1 RUSTFLAGS="$flags"
export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-$here/target}/fuzz"
build() { # features, then targets
    features=$1
    shift
    # shellcheck disable=SC2046 # one word an option
    cargo build --quiet --release --target "$triple" --manifest-path "$here/Cargo.toml" \
        --features "$features" $(printf -- ' --bin %s' "$@")
}
core='' agent='' report=''
for target in $targets; do
    case $target in
    candump | dbc_file) agent="$agent $target" ;;
    site_file) report="$report $target" ;;
    *) core="$core $target" ;;
    esac
done
# shellcheck disable=SC2086 # a list of words
{
    { [ -z "$core" ] || build "" $core; } &&
        { [ -z "$agent" ] || build agent $agent; } &&
        { [ -z "$report" ] || build report $report; }
} || {
    echo "fuzz: the targets do not build (see above)" >&2
    exit 2
}

found=0
for target in $targets; do
    mkdir -p "$here/corpus/$target" "$here/artifacts/$target"
    log=$here/artifacts/$target/log
    echo "fuzz: $target for $seconds s"
    if "$CARGO_TARGET_DIR/$triple/release/$target" \
        -max_total_time="$seconds" -timeout=10 -rss_limit_mb=1024 -malloc_limit_mb=128 \
        -max_len=16384 -print_final_stats=1 -artifact_prefix="$here/artifacts/$target/" \
        "$here/corpus/$target" "$here/seeds/$target" >"$log" 2>&1; then
        grep -E "number_of_executed_units|average_exec_per_sec|peak_rss_mb" "$log"
        grep -E "DONE" "$log" || true
    else
        found=1
        echo "fuzz: $target FOUND SOMETHING, see $log:"
        grep -E "panicked|ERROR|SUMMARY|Test unit written" "$log" || tail -20 "$log"
    fi
done
exit $found
