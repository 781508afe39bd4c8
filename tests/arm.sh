#!/usr/bin/env bash
# Runs the Arm agents on this computer (QEMU's user mode) with the same frames as the
# native one:
#   capture   a simulated hour of bridge bytes: the archives must be equal byte for byte
#   candump   the same hour as CAN frames, through the DBC reader: equal too
#   serial    the same bytes through a pseudo-terminal, live: every frame, none lost
#
#   tests/arm.sh [binary ...]      default: those that tests/cross.sh builds
#
# Exit: 0 equal, 1 different, 77 skipped because a tool is missing.
set -euo pipefail
cd "$(dirname "$0")/.."

skip() {
    echo "arm: SKIPPED: $1" >&2
    exit 77
}
command -v cargo >/dev/null || skip "no cargo"
if [ $# -gt 0 ]; then
    binaries=("$@")
else
    listed=$(tests/cross.sh) || { [ $? = 77 ] && skip "no Arm binary"; exit 1; }
    mapfile -t binaries < <(cut -d' ' -f1 <<<"$listed")
fi

cargo build --quiet -p underbrush-agent -p underbrush-fixtures
native=${CARGO_TARGET_DIR:-target}/debug/underbrush-agent
simulate=${CARGO_TARGET_DIR:-target}/debug/simulate

work=$(mktemp -d)
player=''
stop_player() { [ -z "$player" ] || kill "$player" 2>/dev/null || true; }
trap 'stop_player; rm -rf "$work"' EXIT
cp fixtures/scenario/machine.toml fixtures/scenario/machine-can.toml fixtures/scenario/bus.dbc "$work"
"$simulate" --plan short --seed 7 --out "$work/hour.bytes" --can "$work/hour.candump"

settings() { # machine file, then lines of [source]
    printf 'log_dir = "log"\nmachine = "%s"\n[source]\n' "$1"
    shift
    printf '%s\n' "$@"
}
settings machine.toml 'kind = "capture"' 'file = "hour.bytes"' \
    'start = 2026-11-23T22:00:00-06:00' >"$work/capture.toml"
settings machine-can.toml 'kind = "candump"' 'file = "hour.candump"' 'dbc = "bus.dbc"' \
    >"$work/candump.toml"

failed=0
check() { # what, then a command
    what=$1
    shift
    if "$@"; then echo "arm: ok: $what"; else
        echo "arm: FAILED: $what"
        failed=1
    fi
}

# Records what the settings file $1 names, with the agent in the other arguments;
# its log goes to $work/log and is then moved to the name in $log.
record() {
    config=$work/$1
    shift
    status=0
    "$@" run --config "$config" >"$log.out" 2>"$log.err" || status=$?
    # 3: the hour has frames that are not understood; both agents must say the same.
    case $status in 0 | 3) mv "$work/log" "$log" ;; *)
        cat "$log.err" >&2
        return 1
        ;;
    esac
    echo "exit $status" >>"$log.out"
}

archives() { find "$1" -name '*.archive' | wc -l; }
same() { # logs
    [ "$(archives "$1")" -gt 0 ] && diff -r --exclude=agent.lock "$1" "$2" && diff "$1.out" "$2.out"
}
frames() { sed -n 's/^frames  *\([0-9]*\)$/\1/p' "$1"; }

for kind in capture candump; do
    log=$work/native-$kind record $kind.toml "$native"
    echo "arm: native, $kind: $(frames "$work/native-$kind.out") frames," \
        "$(archives "$work/native-$kind") archives"
done

# The frames of the capture through a pseudo-terminal, 120 times as fast as they came.
# Gives 77 where QEMU lacks the call that sets a port's speed (TCGETS2; 7.2 does).
live() { # agent
    "$simulate" --plan short --seed 7 --pty --speed-up 120 >"$work/pty" 2>"$work/pty.err" &
    player=$!
    for _ in $(seq 100); do
        [ -s "$work/pty" ] && break
        sleep 0.1
    done
    port=$(grep -o '/dev/pts/[0-9]*' "$work/pty" | head -1)
    settings machine.toml 'kind = "serial"' "port = \"$port\"" >"$work/serial.toml"
    "$@" run --config "$work/serial.toml" >"$work/live.out" 2>"$work/live.err" &
    agent=$!
    result=0
    while kill -0 "$player" 2>/dev/null; do
        sleep 0.5
        if grep -q 'Function not implemented' "$work/live.err"; then
            result=77
            kill "$player" 2>/dev/null || true
        fi
    done
    wait "$player" || true
    player=''
    kill -TERM "$agent"
    wait "$agent" || result=1
    rm -rf "$work/log"
    [ $result = 77 ] && return 77
    echo "arm: live: $(frames "$work/live.out") of $(frames "$work/native-capture.out") frames"
    [ $result = 0 ] && [ "$(frames "$work/live.out")" = "$(frames "$work/native-capture.out")" ]
}

ran=0
for binary in "${binaries[@]}"; do
    # The machine number in the ELF header.
    case $(od -An -tu2 -j18 -N2 "$binary" | tr -d ' ') in
    183) qemu=qemu-aarch64-static ;;
    40) qemu=qemu-arm-static ;;
    62) qemu=env ;; # the native one, to try this script
    *)
        echo "arm: $binary is no Arm program" >&2
        exit 1
        ;;
    esac
    command -v $qemu >/dev/null || {
        echo "arm: SKIPPED: $binary: no $qemu (Debian: qemu-user-static)" >&2
        continue
    }
    ran=1
    name=${qemu%-static}
    echo "arm: $name, $binary, $(stat -c %s "$binary") bytes"
    for kind in capture candump; do
        log=$work/$name-$kind
        check "$kind recorded" record $kind.toml $qemu "$binary"
        check "$kind: same bytes as native" same "$work/native-$kind" "$log"
    done
    status=0
    live $qemu "$binary" || status=$?
    case $status in
    0) echo "arm: ok: serial, live: every frame of the capture" ;;
    77) echo "arm: SKIPPED: serial, live: this $qemu cannot set up a serial port" ;;
    *)
        cat "$work/live.err"
        echo "arm: FAILED: serial, live"
        failed=1
        ;;
    esac
done
[ $ran = 1 ] || exit 77
exit $failed
