"""Restoring a backup into an empty place. Nothing is ever overwritten."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from django.conf import settings

from inventory.evidence.backups.database_copy import has_tables, lay_back
from inventory.evidence.backups.folders import PRIVATE, BackupFolder
from inventory.evidence.backups.locks import LockError, opened
from inventory.evidence.backups.taking import (
    Backup,
    BackupError,
    backups_in,
    original_named,
    originals_in,
    read_backup,
)
from inventory.evidence.store import originals as store
from inventory.evidence.store import packets
from inventory.evidence.store.durable import hash_of, pieces_of, write_whole
from inventory.evidence.store.homes import ChangedOnTheWayError, home
from inventory.evidence.store.own_folders import own_folder

Read = Callable[[Path], Iterator[bytes]]


def _chosen(path: Path, of: str = "") -> Backup:
    """Return the newest backup of the folder, or the newest of a day or moment.

    ``of`` is the beginning of its moment in UTC: 2026-11-27, 2026-11-27T18:05. Raise
    BackupError that names those that are there.
    """
    if not of:
        return read_backup(path)
    there = backups_in(path)
    found = [one for one in there if one.made_at.startswith(of)]
    if not found:
        days = ", ".join(one.made_at[:16] for one in there)
        raise BackupError(
            f"{path} has no backup of {of}. Nothing was restored. It has those of {days}."
        )
    return found[0]


def restore_backup(path: Path, key: Path | None = None, of: str = "") -> Backup:
    """Restore the folder's newest backup, or that ``of`` a day: the database last.

    ``key`` is the file of the private key of a locked one. An interrupted restore
    leaves a site without a database, never rows without their files. Raise BackupError
    and LockError before anything is written where the place is not empty, the key does
    not fit or the copy of the database has changed, and OSError.
    """
    backup = _chosen(path, of)
    if backup.locked and key is None:
        raise BackupError(
            f"The backup in {path} is locked. Nothing was restored. Name the file of "
            "the private key with --key."
        )
    read: Read = partial(opened, key=key) if backup.locked and key else pieces_of
    folder = BackupFolder(path, is_locked=backup.locked)
    _require_empty()
    with _database_of(path / backup.database, backup, read) as database:
        for sha256 in originals_in(path):
            _restore_original(folder.at(original_named(sha256)), sha256, read)
        for packet in sorted((path / "packets").glob("*.pdf*")):
            _restore_packet(packet, read)
        lay_back(database)
    return backup


@contextmanager
def _database_of(kept: Path, backup: Backup, read: Read) -> Iterator[Path]:
    """Give the copy of the database in the open, on the disk where it will be."""
    changed = BackupError(
        f"The copy of the database in {kept.parent} is missing or has changed. Nothing "
        "was restored. Use another backup."
    )
    if not kept.exists():
        raise changed
    if not backup.locked:
        if hash_of(kept) != backup.database_sha256:
            raise changed
        yield kept
        return
    with own_folder() as beside:
        plain = beside / "database"
        try:
            found = write_whole(plain, read(kept), mode=PRIVATE)
        except LockError as error:
            raise LockError(f"{error} Nothing was restored.") from error
        if found != backup.database_sha256:
            raise changed
        yield plain


def _require_empty() -> None:
    if has_tables():
        raise BackupError(
            "The database is not empty. Nothing was restored, because nothing is ever "
            "overwritten. Name an empty one in DATABASE_URL or DOCK_DATA_DIR."
        )
    root = Path(settings.EVIDENCE_ROOT)
    if any(path.is_file() for path in root.rglob("*")):
        raise BackupError(
            f"There are already originals in {root}. Nothing was restored, because "
            "nothing is ever overwritten. Name an empty folder in DOCK_DATA_DIR."
        )
    if next(home().names(), None):
        raise BackupError(
            f"There are already originals in {settings.EVIDENCE_HOME}. Nothing was "
            "restored, because nothing is ever overwritten. Name another prefix in "
            "EVIDENCE_HOME."
        )


def _restore_original(path: Path, sha256: str, read: Read) -> None:
    try:
        # What is locked is larger than what is in it.
        store.store_original(read(path), limit=path.stat().st_size, expected=sha256)
    except (ChangedOnTheWayError, LockError) as error:
        raise BackupError(
            f"Original {sha256} has changed in the backup. The restore was stopped, "
            "and no database was restored. Empty the folder of originals and use "
            "another backup."
        ) from error


def _restore_packet(path: Path, read: Read) -> None:
    """Lay back a claim file that is whole; its original is there in any case."""
    try:
        data = b"".join(read(path))
    except LockError:
        return
    if hashlib.sha256(data).hexdigest() == path.name.partition(".")[0]:
        packets.keep_packet(data)
