#!/bin/sh
# Builds the agent for small boards, from any Linux computer:
#
#   tests/cross.sh [--deb] [target ...]
#
#   --deb                           a Debian package of each too (needs cargo-deb)
#
#   aarch64-unknown-linux-musl      64-bit Arm. Needs nothing but the Rust toolchain: no
#                                   dependency has C code, and rustc brings musl and a linker
#   armv7-unknown-linux-gnueabihf   32-bit Arm with hardware floats. Needs an Arm gcc to link
#                                   (Debian: gcc-arm-linux-gnueabihf)
#   armv7-unknown-linux-musleabihf  the same without that gcc, where rustup has this target
#
# Without arguments: those of the first two that can be built here. All binaries are
# static: they run on any Linux of that processor, whatever its libc.
#
# The last lines name what was built. Exit: 0 built, 1 wrong use, 2 a build failed,
# 77 skipped because a tool is missing.
set -eu
cd "$(dirname "$0")/.."

command -v cargo >/dev/null || {
    echo "cross: SKIPPED: no cargo" >&2
    exit 77
}
deb=no
if [ "${1:-}" = --deb ]; then
    command -v cargo-deb >/dev/null || {
        echo "cross: SKIPPED: --deb: no cargo-deb (cargo install cargo-deb)" >&2
        exit 77
    }
    deb=yes
    shift
fi
if [ $# -gt 0 ]; then
    targets=$*
else
    targets="aarch64-unknown-linux-musl armv7-unknown-linux-gnueabihf"
fi
sysroot=$(rustc --print sysroot)
built=''
for target in $targets; do
    case $target in
    aarch64-unknown-linux-musl | armv7-unknown-linux-musleabihf)
        linker=rust-lld
        flags="-Clink-self-contained=yes -Ctarget-feature=+crt-static"
        ;;
    armv7-unknown-linux-gnueabihf)
        linker=arm-linux-gnueabihf-gcc
        flags="-Ctarget-feature=+crt-static"
        ;;
    *)
        echo "cross: '$target' is none of the targets at the top of this script" >&2
        exit 1
        ;;
    esac
    if [ ! -d "$sysroot/lib/rustlib/$target/lib" ]; then
        echo "cross: SKIPPED: $target: get it with: rustup target add $target" >&2
        continue
    fi
    if [ $linker != rust-lld ] && ! command -v $linker >/dev/null; then
        echo "cross: SKIPPED: $target: no $linker (Debian: gcc-arm-linux-gnueabihf)" >&2
        continue
    fi
    RUSTFLAGS="-Clinker=$linker $flags" cargo build --quiet --profile board --target "$target" \
        -p underbrush-agent --features socketcan || {
        echo "cross: $target does not build (see above)" >&2
        exit 2
    }
    if [ $deb = yes ]; then
        package=$(RUSTFLAGS="-Clinker=$linker $flags" cargo deb --quiet --no-build --no-strip \
            --profile board --target "$target" -p underbrush-agent) || {
            echo "cross: no package of $target (see above)" >&2
            exit 2
        }
        built="$built $package"
    fi
    built="$built ${CARGO_TARGET_DIR:-target}/$target/board/underbrush-agent"
done
[ -n "$built" ] || exit 77
for file in $built; do
    echo "$file $(stat -c %s "$file") bytes"
done
