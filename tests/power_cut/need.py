"""What these checks need: programs, a kernel, our own programs. Fetches only when told to."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
TOP = HERE.parents[1]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target")).resolve()
CACHE = TARGET / "power_cut"
GUEST_TARGET = "x86_64-unknown-linux-musl"
SKIPPED = 77

# Program and the Debian package it comes from.
PACKAGES = {
    "qemu-system-x86_64": "qemu-system-x86",
    "busybox": "busybox-static",
    "mkfs.ext4": "e2fsprogs",
    "e2fsck": "e2fsprogs",
    "debugfs": "e2fsprogs",
    "mkfs.f2fs": "f2fs-tools",
    "mkfs.vfat": "dosfstools",
    "cangen": "can-utils",
    "candump": "can-utils",
    "cansend": "can-utils",
}
FOR_A_DISK = ["qemu-system-x86_64", "busybox", "mkfs.ext4", "e2fsck", "debugfs"]
FOR_CAN = ["qemu-system-x86_64", "busybox", "cangen", "candump", "cansend"]
# Any newer one of Debian 12 or later serves; this one was in use for the numbers in README.md.
KERNEL = re.compile(r"linux-image-6\.1\.0-(\d+)-amd64")


def skip(why):
    print(f"power_cut: SKIPPED: {why}", flush=True)
    sys.exit(SKIPPED)


def path_of(program):
    """Where a program is; file system tools are often outside a user's PATH."""
    places = os.environ.get("PATH", "") + ":/usr/sbin:/sbin"
    return shutil.which(program, path=places)


def make_ready(programs, install):
    """Ends with SKIPPED if anything is missing that `install` may not fetch."""
    if sys.platform != "linux" or os.uname().machine != "x86_64":
        skip("the virtual machine is set up for Linux on x86-64")
    missing = sorted({PACKAGES[name] for name in programs if not path_of(name)})
    if missing and not install:
        skip(f"not installed: apt-get install {' '.join(missing)}, or call with --install")
    if missing:
        subprocess.run(["apt-get", "install", "-y", "--no-install-recommends", *missing], check=True)
    if not path_of("cargo"):
        skip("no cargo")
    if not kernel_image():
        if not install:
            skip(f"no kernel in {CACHE / 'kernel'}: call with --install to fetch Debian's")
        fetch_kernel()
    if not guest_target_there():
        if not install:
            skip(f"rustup target add {GUEST_TARGET}, or call with --install")
        subprocess.run(["rustup", "target", "add", GUEST_TARGET], check=True)


def guest_target_there():
    try:
        listed = subprocess.run(
            ["rustc", "--print", "target-libdir", "--target", GUEST_TARGET],
            capture_output=True, text=True, cwd=TOP,
        )
    except FileNotFoundError:
        return False
    return listed.returncode == 0 and Path(listed.stdout.strip()).is_dir()


def kernel_image():
    images = sorted((CACHE / "kernel/boot").glob("vmlinuz-*-amd64"))
    return images[-1] if images else None


def kernel_modules():
    return next((CACHE / "kernel/lib/modules").iterdir())


def fetch_kernel():
    """Downloads Debian's newest kernel of the 6.1 series and unpacks it; installs nothing."""
    folder = CACHE / "kernel"
    folder.mkdir(parents=True, exist_ok=True)
    listed = subprocess.run(
        ["apt-cache", "search", "--names-only", r"^linux-image-6\.1\.0-[0-9]+-amd64$"],
        capture_output=True, text=True, check=True,
    ).stdout
    found = {int(match[1]): match[0] for match in KERNEL.finditer(listed)}
    if not found:
        skip("apt knows no linux-image-6.1.0-*-amd64: run apt-get update")
    subprocess.run(["apt-get", "download", found[max(found)]], cwd=folder, check=True)
    package = next(folder.glob("linux-image-*.deb"))
    subprocess.run(["dpkg", "-x", package, folder], check=True)
    package.unlink()


def build():
    """Builds the guest's and the host's programs; the guest's are static."""
    guest = ["cargo", "build", "--quiet", "--release", "--target", GUEST_TARGET]
    for arguments in (
        [*guest, "-p", "underbrush-agent", "--features", "socketcan"],
        [*guest, "-p", "underbrush-power-cut", "--bin", "power-cut-check"],
        ["cargo", "build", "--quiet", "--release", "-p", "underbrush-power-cut"],
        ["cargo", "build", "--quiet", "--release", "-p", "underbrush-report", "--bin", "underbrush"],
    ):
        if subprocess.run(arguments, cwd=TOP, env=os.environ | {"CARGO_TARGET_DIR": str(TARGET)}).returncode:
            sys.exit("power_cut: the programs do not build (see above)")


def guest_program(name):
    return TARGET / GUEST_TARGET / "release" / name


def host_program(name):
    return TARGET / "release" / name
