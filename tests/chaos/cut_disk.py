"""A disk whose power can be cut: ext4 on a file, told to forget whatever was not synced.

The file system's own EXT4_IOC_SHUTDOWN with the flag NOLOGFLUSH (Linux, fs/ext4/ext4.h) drops what
is in memory and lets nothing more through, as its own power failure tests do. Only root may.
"""

import fcntl
import os
import shutil
import struct
import subprocess
from contextlib import contextmanager, suppress

SHUTDOWN = 0x8004587D  # _IOR('X', 125, __u32)
NO_LOG_FLUSH = 2
SYNCED_BY_ITSELF_S = 300
"""How long ext4 may keep what nobody asked it to sync; its usual 5 s would hide a loss."""


def can_cut_power():
    tools = all(map(shutil.which, ("mkfs.ext4", "mount", "umount")))
    return tools and os.path.exists("/dev/loop-control") and os.geteuid() == 0


def make_disk(image, megabytes=128):
    with open(image, "wb") as file:
        file.truncate(megabytes * 1_000_000)
    subprocess.run(["mkfs.ext4", "-q", "-F", str(image)], check=True)


@contextmanager
def mounted(image, folder):
    options = f"loop,commit={SYNCED_BY_ITSELF_S}"
    subprocess.run(["mount", "-o", options, str(image), str(folder)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def cut_power(folder):
    opened = os.open(folder, os.O_RDONLY)
    try:
        fcntl.ioctl(opened, SHUTDOWN, struct.pack("I", NO_LOG_FLUSH))
    finally:
        os.close(opened)


def in_a_process(act, *args):
    """Run `act` in a forked process; return its number and what its `say` writes, line by line."""
    readable, writable = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(readable)
        code = 1
        with suppress(BaseException):
            act(lambda line: os.write(writable, f"{line}\n".encode()), *args)
            code = 0
        os._exit(code)
    os.close(writable)
    return child, os.fdopen(readable)
