"""Makes the guest's initramfs: busybox, kernel modules, our programs, the task scripts."""

import re
import stat
import subprocess
from pathlib import Path

from need import HERE, TOP, guest_program, kernel_modules, path_of

# The checksums are asked for by name at mounting, so no list of needs has them.
DISK_MODULES = ["crc32c_generic", "crc32_generic", "virtio_pci", "virtio_blk", "loop", "ext4", "f2fs", "vfat", "nls_cp437", "nls_ascii",
                "nls_iso8859-1", "nls_utf8"]
CAN_MODULES = ["virtio_pci", "virtio_blk", "can", "can_raw", "vcan"]
# What the scripts of the guest call.
APPLETS = ["sh", "mount", "umount", "insmod", "cat", "echo", "sleep", "dmesg", "mkdir", "poweroff",
           "ip", "expr", "losetup", "tail", "kill", "sed", "cut", "tr", "grep", "tar"]


def disk_guest(restart_bytes=b""):
    files = {
        "bin/underbrush-agent": guest_program("underbrush-agent"),
        "bin/power-cut-check": guest_program("power-cut-check"),
        "etc/machine.toml": TOP / "fixtures/scenario/machine.toml",
        "etc/restart.bytes": restart_bytes,
    }
    return initramfs(DISK_MODULES, files)


def can_guest(frames):
    files = {
        "etc/frames": "".join(f"{frame}\n" for frame in frames).encode(),
        "bin/underbrush-agent": guest_program("underbrush-agent"),
        "etc/machine.toml": TOP / "fixtures/scenario/machine-can.toml",
        "etc/bus.dbc": TOP / "fixtures/scenario/bus.dbc",
    }
    for program in ("cansend", "cangen", "candump"):
        place = Path(path_of(program))
        files[f"bin/{program}"] = place
        for library in libraries(place):
            files[str(library).lstrip("/")] = library
    return initramfs(CAN_MODULES, files)


def libraries(program):
    """Shared libraries and the loader of a dynamic program, by ldd."""
    told = subprocess.run(["ldd", program], capture_output=True, text=True, check=True).stdout
    return sorted({Path(path) for path in re.findall(r"(/\S+) \(0x", told)})


def initramfs(modules, files):
    """The bytes of a cpio archive, format `newc` (Linux: initramfs buffer-format)."""
    files = dict(files)
    files["init"] = HERE / "guest/init"
    for task in sorted((HERE / "guest").iterdir()):
        if task.name != "init":
            files[f"tasks/{task.name}"] = task
    files["bin/busybox"] = Path(path_of("busybox"))
    order = module_order(modules)
    files["modules/order"] = "".join(f"{path.name}\n" for path in order).encode()
    files |= {f"modules/{path.name}": path for path in order}

    folders = {"proc", "sys", "dev", "mnt", "tmp"}
    for name in files:
        folders |= {str(parent) for parent in Path(name).parents if str(parent) != "."}
    parts = [cpio_entry(folder, stat.S_IFDIR | 0o755, b"") for folder in sorted(folders)]
    for applet in APPLETS:
        parts.append(cpio_entry(f"bin/{applet}", stat.S_IFLNK | 0o777, b"busybox"))
    for name, content in files.items():
        content = content if isinstance(content, bytes) else Path(content).read_bytes()
        parts.append(cpio_entry(name, stat.S_IFREG | 0o755, content))
    parts.append(cpio_entry("TRAILER!!!", 0, b""))
    return b"".join(parts)


def cpio_entry(name, mode, content):
    # Fields: inode, mode, owner, group, links, time, size, device (4), name size, check.
    fields = [0, mode, 0, 0, 1, 0, len(content), 0, 0, 0, 0, len(name) + 1, 0]
    head = b"070701" + b"".join(b"%08X" % field for field in fields) + name.encode() + b"\0"
    return padded(head) + padded(content)


def padded(content):
    return content + b"\0" * (-len(content) % 4)


def module_order(names):
    """The modules with all they depend on, each after its own needs."""
    root = kernel_modules()
    built_in = {Path(line).stem for line in (root / "modules.builtin").read_text().split()}
    by_name = {path.stem.replace("-", "_"): path for path in root.glob("kernel/**/*.ko")}
    order = []

    def add(name):
        path = by_name.get(name.replace("-", "_"))
        if path is None:
            if name not in built_in:
                raise SystemExit(f"power_cut: this kernel has no module {name}")
            return
        if path not in order:
            # The list of needs stands in the section .modinfo.
            needs = re.search(rb"\0depends=([^\0]*)\0", path.read_bytes())
            for need in needs[1].decode().split(",") if needs and needs[1] else []:
                add(need)
            order.append(path)

    for name in names:
        add(name)
    return order
