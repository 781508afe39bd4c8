#!/bin/sh
# Runs the protocol's tests under Miri, which interprets them and stops at undefined
# behaviour. Our code has no `unsafe`; what is watched is that of the dependencies.
#
#   tests/miri.sh [more arguments for `cargo miri test`]
#
# Miri is a component of nightly toolchains only:
#   rustup toolchain install nightly --component miri
# Left out: tests that start processes (bombs) or run thousands of random cases.
# Exit: that of the tests, 77 skipped because Miri is not there.
set -eu
cd "$(dirname "$0")/.."

if cargo +nightly miri --version >/dev/null 2>&1; then
    toolchain=+nightly
elif cargo miri --version >/dev/null 2>&1; then
    toolchain=''
else
    echo "miri: SKIPPED: no Miri (rustup toolchain install nightly --component miri)" >&2
    exit 77
fi
# Golden files and frozen bytes are read from the disk.
export MIRIFLAGS="-Zmiri-disable-isolation${MIRIFLAGS:+ $MIRIFLAGS}"
# shellcheck disable=SC2086 # an empty word is none
cargo $toolchain miri test -p underbrush-protocol --all-features --lib \
    --test cobs_vectors --test frozen_v1 --test frozen_log_v1 --test postcard_wire --test readings "$@"
