#!/bin/sh
# Builds the libFuzzer targets and runs each one for a while, one after the other.
#
#   tests/fuzz/run.sh [seconds] [options] [target ...]
#
#   seconds          for each target; 60 if neither this nor --runs is given
#   --runs N         executions for each target instead of a time
#   --no-sanitizer   without the address sanitizer, with shorter inputs: several times
#                    faster. Assertions and overflow checks stay on. Our own code
#                    has no `unsafe`, so the sanitizer watches dependencies only
#   --nice           at the lowest priority, beside other work
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
seconds='' runs='' sanitizer=yes nice='' targets=''

skip() {
    echo "fuzz: SKIPPED: $1" >&2
    exit 77
}

wrong_use() {
    echo "fuzz: $1" >&2
    exit 2
}

number() {
    case ${1:-} in '' | *[!0-9]*) wrong_use "'${1:-}' is no number" ;; esac
}

while [ $# -gt 0 ]; do
    case $1 in
    --runs)
        number "${2:-}"
        runs=$2
        shift
        ;;
    --no-sanitizer) sanitizer=no ;;
    --nice) nice='nice -n 19' ;;
    [0-9]*)
        number "$1"
        seconds=$1
        ;;
    *)
        [ -f "$here/fuzz_targets/$1.rs" ] || wrong_use "there is no target or option '$1'"
        targets="$targets $1"
        ;;
    esac
    shift
done
[ -n "$targets" ] ||
    targets="link_decoder journal_scan archive_reader machine_file agent_file site_file candump captures can_adapter dbc_file"
[ -n "$seconds$runs" ] || seconds=60

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
if [ $sanitizer = yes ]; then
    if ls "$runtime"/librustc*_rt.asan.a >/dev/null 2>&1; then
        flags="$flags -Zsanitizer=address"
    else
        sanitizer=no
        echo "fuzz: note: this toolchain has no address sanitizer, running without it" >&2
    fi
fi

# --target keeps build scripts and macros free of the flags; a folder for each
# kind of build keeps one from throwing away the other.
export RUSTC_BOOTSTRAP=1 RUSTFLAGS="$flags"
if [ $sanitizer = yes ]; then kind=fuzz; else kind=fuzz-plain; fi
export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-$here/target}/$kind"
build() { # features, then targets
    features=$1
    shift
    # shellcheck disable=SC2046,SC2086 # words
    $nice cargo build --quiet --release --target "$triple" --manifest-path "$here/Cargo.toml" \
        --features "$features" $(printf -- ' --bin %s' "$@")
}
core='' agent='' report=''
for target in $targets; do
    case $target in
    agent_file | candump | captures | can_adapter | dbc_file) agent="$agent $target" ;;
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

# The longest input, in bytes. With the sanitizer far above what a person or a bridge
# writes; for many executions, room for each thing a target reads a few times over.
longest() {
    [ $sanitizer = no ] || {
        echo 16384
        return
    }
    case $1 in
    link_decoder | agent_file) echo 384 ;;
    journal_scan | archive_reader | dbc_file) echo 512 ;;
    *) echo 768 ;; # candump too: a line may have 512
    esac
}

found=0
for target in $targets; do
    mkdir -p "$here/corpus/$target" "$here/artifacts/$target"
    log=$here/artifacts/$target/log
    if [ -n "$runs" ]; then limit=-runs=$runs; else limit=-max_total_time=$seconds; fi
    echo "fuzz: $target, ${limit#-}, sanitizer: $sanitizer"
    if $nice "$CARGO_TARGET_DIR/$triple/release/$target" \
        "$limit" -timeout=10 -rss_limit_mb=1024 -malloc_limit_mb=128 \
        -max_len="$(longest "$target")" -print_final_stats=1 \
        -artifact_prefix="$here/artifacts/$target/" \
        "$here/corpus/$target" "$here/seeds/$target" >"$log" 2>&1; then
        grep -E "^Done|peak_rss_mb" "$log"
    else
        found=1
        echo "fuzz: $target FOUND SOMETHING, see $log:"
        grep -E "panicked|ERROR|SUMMARY|Test unit written" "$log" || tail -20 "$log"
    fi
done
exit $found
