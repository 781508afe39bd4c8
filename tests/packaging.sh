#!/usr/bin/env bash
# Checks the agent's package, as far as this computer has the tools:
#   unit      systemd-analyze: no fault, exposure below 2.0
#   morning   systemd-analyze: no fault in the user's units that make the sheet, exposure
#             below 6.5 (what needs a namespace is left out, see the unit)
#   package   cargo-deb builds it; its files; lintian has no complaint
#   service   the package is installed in a container with its own init (systemd-nspawn,
#             over a throw-away layer on this system: needs root); the service records
#             a simulated hour from a pseudo-terminal, is killed, comes back, stops
#
#   tests/packaging.sh [package.deb]
#
# Debian: systemd, udev, systemd-container, lintian; cargo install cargo-deb.
# Exit: 0 what could be checked is right, 1 something is wrong.
set -euo pipefail
cd "$(dirname "$0")/.."
unit=agent/packaging/underbrush-agent.service
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

skipped() { echo "packaging: SKIPPED: $1"; }
wrong() {
    echo "packaging: WRONG: $1" >&2
    exit 1
}
have() { command -v "$1" >/dev/null; }

if have systemd-analyze; then
    score=$(systemd-analyze security --offline=true "$unit" | sed -n 's/.*Overall exposure level.*: \([0-9.]*\) .*/\1/p')
    awk -v s="$score" 'BEGIN { exit !(s != "" && s < 2.0) }' || wrong "exposure '$score' is not below 2.0"
    # The program and its manual page are not installed on this computer.
    sed -e 's|^ExecStart=/usr/bin/underbrush-agent|ExecStart=/bin/true|' -e 's|man:[^ ]* ||' \
        "$unit" >"$work/underbrush-agent.service"
    told=$(systemd-analyze verify "$work/underbrush-agent.service" 2>&1) || wrong "the unit: $told"
    [ -z "$told" ] || wrong "the unit: $told"
    echo "packaging: unit: no fault, exposure $score"
    morning=report/packaging/underbrush-morning
    score=$(systemd-analyze security --offline=true "$morning.service" | sed -n 's/.*Overall exposure level.*: \([0-9.]*\) .*/\1/p')
    awk -v s="$score" 'BEGIN { exit !(s != "" && s < 6.5) }' || wrong "exposure '$score' of the morning is not below 6.5"
    sed 's|^ExecStart=underbrush|ExecStart=/bin/true|' "$morning.service" >"$work/underbrush-morning.service"
    cp "$morning.timer" "$work"
    grep -q '^Persistent=true$' "$morning.timer" || wrong "a missed morning is not made up for"
    told=$(XDG_RUNTIME_DIR=$work systemd-analyze --user verify \
        "$work/underbrush-morning.service" "$work/underbrush-morning.timer" 2>&1) ||
        wrong "the morning's units: $told"
    [ -z "$told" ] || wrong "the morning's units: $told"
    echo "packaging: morning: no fault, exposure $score"
else
    skipped "unit and morning: no systemd-analyze"
fi

if [ $# -gt 0 ]; then
    package=$1
elif have cargo-deb && have dpkg-deb; then
    package=$work/built.deb
    cargo deb --quiet --profile board -p underbrush-agent -o "$package" >"$work/deb.log" 2>&1 ||
        { cat "$work/deb.log" && wrong "the package cannot be built"; }
else
    skipped "package and service: no cargo-deb (cargo install cargo-deb) or no dpkg-deb"
    exit 0
fi

dpkg-deb --extract "$package" "$work/files"
dpkg-deb --control "$package" "$work/control"
while read -r mode file; do
    found=$(stat -c %a "$work/files/$file" 2>/dev/null) || wrong "the package lacks $file"
    [ "$found" = "$mode" ] || wrong "$file has mode $found, not $mode"
done <<'END'
755 usr/bin/underbrush-agent
644 etc/underbrush/agent.toml
644 etc/underbrush/machine.toml
644 usr/lib/systemd/system/underbrush-agent.service
644 usr/lib/sysusers.d/underbrush.conf
644 usr/lib/udev/rules.d/70-underbrush-bridge.rules
644 usr/share/man/man1/underbrush-agent.1.gz
644 usr/share/doc/underbrush-agent/README.md
644 usr/share/doc/underbrush-agent/SOURCES.md
644 usr/share/doc/underbrush-agent/copyright
END
diff - "$work/control/conffiles" <<'END' || wrong "the settings a person edits must be conffiles"
/etc/underbrush/agent.toml
/etc/underbrush/machine.toml
END
"$work/files/usr/bin/underbrush-agent" --version >/dev/null || wrong "the program does not start"
echo "packaging: package: files as they should be, $(stat -c %s "$package") bytes"
if have lintian; then
    root=''
    [ "$(id -u)" != 0 ] || root=--allow-root
    # The first tag is about uploads to Debian's own archive.
    told=$(lintian $root --suppress-tags initial-upload-closes-no-bugs "$package" 2>/dev/null) || true
    [ -z "$told" ] || wrong "lintian: $told"
    echo "packaging: lintian: no complaint"
else
    skipped "lintian is not installed"
fi

if [ "$(id -u)" != 0 ] || ! have systemd-nspawn || ! have udevadm; then
    skipped "service: needs root, systemd-nspawn and udevadm"
    exit 0
fi
cargo build --quiet -p underbrush-fixtures
simulate=${CARGO_TARGET_DIR:-target}/debug/simulate
mkdir "$work/layer" "$work/root"
cp "$package" "$work/agent.deb"
timeout 180 unshare --mount tests/packaging/container.sh "$work" "$simulate" >"$work/container.log" 2>&1 ||
    { cat "$work/container.log" && wrong "service: the container failed"; }
grep -q '^DONE$' "$work/container.log" || { cat "$work/container.log" && wrong "service (see above)"; }
sed -n 's/^CHECKED/packaging: service:/p' "$work/container.log"
