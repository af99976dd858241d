"""The seam: every system call by which the store touches the disk.

Tests put a double here that fails or stops at each call, so that the order of work
is proven and not believed.
"""

import os
from pathlib import Path


def make_folder(path: Path) -> None:
    """Make a folder; raise FileExistsError when it is there."""
    path.mkdir(mode=0o750)


def open_new(path: Path) -> int:
    """Open a file that must not exist yet, for writing."""
    return os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)


def write(descriptor: int, data: bytes) -> int:
    """Write some of the bytes; return how many were taken."""
    return os.write(descriptor, data)


def sync(descriptor: int) -> None:
    """Force the bytes to the disk. A failure is final: never retried."""
    os.fsync(descriptor)


def link(source: Path, target: Path) -> None:
    """Return the file its final name; never overwrites."""
    os.link(source, target)


def sync_folder(path: Path) -> None:
    """Force a folder's entries to the disk."""
    descriptor = os.open(path, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def unlink(path: Path) -> None:
    """Take a temporary name away."""
    path.unlink(missing_ok=True)
