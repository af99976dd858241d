"""Folders for what one process needs for a while: copies of a database, of pictures.

They lie in the folder of uploads. Each is locked as long as its process lives, so that
the sweep takes what a killed one left, and nothing that is in use, however long.
"""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings

_PREFIX = "own-"


@contextmanager
def own_folder() -> Iterator[Path]:
    """Yield a folder that only this account can read. It is gone afterwards."""
    folder = TemporaryDirectory(dir=settings.FILE_UPLOAD_TEMP_DIR, prefix=_PREFIX)
    lock = os.open(folder.name, os.O_RDONLY | os.O_DIRECTORY)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with folder as name:
            yield Path(name)
    finally:
        os.close(lock)


def sweep_left(*, older_than: float) -> int:
    """Remove the folders that were left before this moment; return how many."""
    folders = sorted(Path(settings.FILE_UPLOAD_TEMP_DIR).glob(f"{_PREFIX}*"))
    left = [path for path in folders if _is_left(path, older_than)]
    for path in left:
        shutil.rmtree(path, ignore_errors=True)
    return len(left)


def _is_left(folder: Path, older_than: float) -> bool:
    try:
        lock = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except FileNotFoundError:
        return False
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return os.fstat(lock).st_mtime < older_than
    except BlockingIOError:
        return False
    finally:
        os.close(lock)
