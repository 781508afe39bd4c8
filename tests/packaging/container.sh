#!/usr/bin/env bash
# Inside a mount namespace of its own: this system under a throw-away layer, the package
# installed in it, and its init started. packaging.sh calls it: WORK SIMULATE.
set -euo pipefail
work=$1 root=$1/root
mount --make-rprivate /
mount -t tmpfs tmpfs /run
mount -t tmpfs tmpfs "$work/layer"
mkdir "$work/layer/upper" "$work/layer/work"
mount -t overlay overlay -o "lowerdir=/,upperdir=$work/layer/upper,workdir=$work/layer/work" "$root"
cp "$work/agent.deb" "$root/root/agent.deb"
cp "$2" "$root/usr/bin/simulate"
cp "$(dirname "$0")/inside.sh" "$root/root/inside.sh"
mount -t proc proc "$root/proc"
chroot "$root" dpkg -i /root/agent.deb

# The rule for the port's name, on the first serial port of this computer.
if [ -e /sys/class/tty/ttyS0 ]; then
    mount -t tmpfs tmpfs "$root/dev"
    mknod "$root/dev/null" c 1 3
    mknod "$root/dev/ttyS0" c 4 64
    mount --rbind /sys "$root/sys"
    sed 's/ATTRS{serial}=="BRIDGE-0001"/KERNEL=="ttyS0"/' \
        "$root/usr/lib/udev/rules.d/70-underbrush-bridge.rules" \
        >"$root/etc/udev/rules.d/70-underbrush-bridge.rules"
    chroot "$root" udevadm test --action=add /sys/class/tty/ttyS0 >"$work/udev.log" 2>&1 || true
    grep -q '^DEVLINKS=.*/dev/underbrush-bridge' "$work/udev.log" || { cat "$work/udev.log"; exit 1; }
    ! grep -i 'underbrush.*\(invalid\|unknown\)' "$work/udev.log"
    echo "CHECKED the rule names the port /dev/underbrush-bridge"
    umount -l "$root/sys" "$root/dev"
fi
umount "$root/proc"

rm -f "$root/etc/machine-id"
echo 0123456789abcdef0123456789abcdef >"$root/etc/machine-id"
cat >"$root/etc/systemd/system/check.service" <<'END'
[Unit]
After=underbrush-agent.service
[Service]
Type=oneshot
StandardOutput=file:/root/out.txt
StandardError=file:/root/out.txt
ExecStart=/bin/bash /root/inside.sh
ExecStopPost=/bin/systemctl poweroff --force
END
printf '[Unit]\nRequires=underbrush-agent.service\nWants=check.service\n' \
    >"$root/etc/systemd/system/check.target"
timeout 150 systemd-nspawn --directory="$root" --boot --register=no --keep-unit \
    --private-network --console=pipe systemd.unit=check.target || true
cat "$root/root/out.txt"
