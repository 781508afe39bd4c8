"""A virtual machine under qemu's software emulation, whose power can be cut."""

import queue
import signal
import subprocess
import threading
import time

from need import kernel_image, path_of

MEMORY_MIB = 256


class Stuck(Exception):
    """The guest did not do what it should."""


class Console:
    """Lines of a stream, each with the time it came at."""

    def __init__(self, stream, keep=None):
        self.lines = queue.Queue()
        self.text = [] if keep is None else keep
        self.thread = threading.Thread(target=self.listen, args=(stream,), daemon=True)
        self.thread.start()

    def listen(self, stream):
        for line in stream:
            told = line.decode(errors="replace").rstrip()
            self.text.append(told)
            self.lines.put((time.monotonic(), told))
        self.lines.put((time.monotonic(), None))

    def next(self, until):
        """The next line and its time; `None` at the time `until` or at the end."""
        try:
            at, line = self.lines.get(timeout=max(0.0, until - time.monotonic()))
        except queue.Empty:
            return None
        return None if line is None else (at, line)

    def rest(self):
        """All lines up to the end of the stream."""
        self.thread.join()
        while not self.lines.empty():
            at, line = self.lines.get()
            if line is not None:
                yield at, line

    def tail(self):
        return "\n".join(self.text[-15:])


def start(initramfs, task, console="stdio", port=None, drives=(), memory_mib=MEMORY_MIB, cpus=1, **settings):
    """Boots; `settings` reach the task's script as variables."""
    words = [f"TASK={task}", *(f"{name}={value}" for name, value in settings.items())]
    command = [
        path_of("qemu-system-x86_64"), "-M", "q35", "-accel", "tcg", "-cpu", "max",
        "-m", str(memory_mib), "-smp", str(cpus), "-nodefaults", "-no-user-config", "-display", "none", "-no-reboot",
        "-kernel", str(kernel_image()), "-initrd", str(initramfs),
        "-append", "console=ttyS0,115200 quiet panic=-1 mitigations=off random.trust_cpu=on " + " ".join(words),
        "-chardev", console if "," in console else f"{console},id=console", "-serial", "chardev:console",
    ]
    if port is not None:
        command += ["-chardev", f"socket,id=port,path={port},server=on,wait=off", "-serial", "chardev:port"]
    for number, drive in enumerate(drives):
        command += ["-drive", f"{drive},if=none,id=disk{number}",
                    "-device", f"virtio-blk-pci,drive=disk{number},write-cache=on"]
    return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE)


def cut_power(machine):
    """Kills it in the middle of whatever it does; the time of that."""
    machine.send_signal(signal.SIGKILL)
    at = time.monotonic()
    machine.wait()
    return at
