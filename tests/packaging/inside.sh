#!/usr/bin/env bash
# Inside the container, beside the running service. Says CHECKED for each thing seen and
# DONE at the end; stops at the first that is wrong, with the service's own words.
service=underbrush-agent log=/var/lib/underbrush/log
wrong() {
    echo "WRONG: $1"
    systemctl status --no-pager -l $service
    journalctl --no-pager -o cat -u $service | tail -40
    exit 1
}
show() { systemctl show -P "$1" $service; }

[ "$(show ActiveState)" = active ] || wrong "it does not start"
simulate --plan short --seed 7 --pty --speed-up 240 --out /root/hour.bytes >/run/pty &
for _ in $(seq 50); do [ -s /run/pty ] && break; sleep 0.1; done
port=$(grep -o '/dev/pts/[0-9]*' /run/pty)
# As udev leaves a serial port.
chgrp dialout "$port" && chmod 660 "$port"
ln -s "$port" /dev/underbrush-bridge
wait
pid=$(show MainPID)
[ "$(ps -o user= -p "$pid")" = underbrush ] || wrong "it does not run as underbrush"
grep -q '^CapEff:.*[1-9a-f]' "/proc/$pid/status" && wrong "it has capabilities"
grep -q '^Seccomp:.*2' "/proc/$pid/status" || wrong "no filter on system calls"
echo "CHECKED runs as underbrush, without capabilities, with a filter on system calls"

# After a sync (sync_every = "1 s") a kill costs nothing.
sleep 2.5
kill -9 "$pid"
for _ in $(seq 100); do
    [ "$(show NRestarts)" -ge 1 ] && [ "$(show ActiveState)" = active ] && break
    sleep 0.1
done
[ "$(show ActiveState)" = active ] && [ "$(show MainPID)" != "$pid" ] || wrong "killed, it does not come back"
for _ in $(seq 100); do
    ls $log/*.archive >/dev/null 2>&1 && break
    sleep 0.1
done
systemctl stop $service || wrong "it does not stop"
[ "$(show Result)" = success ] || wrong "it stops with $(show Result)"
[ "$(stat -c '%U %a' $log/*00000001*.archive)" = "underbrush 640" ] || wrong "owner or mode of the archive"

# The same bytes, given as a capture: as many readings must be in the log.
mkdir /root/native && cd /root/native || exit 1
cp /etc/underbrush/machine.toml .
printf 'log_dir = "log"\nmachine = "machine.toml"\n[source]\nkind = "capture"\nfile = "/root/hour.bytes"\n' >agent.toml
want=$(underbrush-agent run --config agent.toml | sed -n 's/^readings recorded //p')
got=$(journalctl --no-pager -o cat -u $service | sed -n 's/.*sealed archive="boot-00000001.*entries=//p')
[ -n "$want" ] && [ "${got:-0}" -ge "$want" ] || wrong "${got:-no} entries in the log, $want readings were sent"
echo "CHECKED recorded $want readings from the port, killed, restarted, sealed, stopped"
echo DONE
