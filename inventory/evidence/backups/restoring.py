"""Restoring a backup into an empty place. Nothing is ever overwritten."""

from pathlib import Path

from django.conf import settings

from inventory.evidence.backups.database_copy import has_tables, lay_back
from inventory.evidence.backups.taking import (
    Backup,
    BackupError,
    original_at,
    originals_in,
    read_backup,
)
from inventory.evidence.store import originals as store
from inventory.evidence.store import packets
from inventory.evidence.store.durable import hash_of, pieces_of
from inventory.evidence.store.homes import ChangedOnTheWayError, home


def restore_backup(folder: Path) -> Backup:
    """Restore the folder's backup: originals first, the database last.

    An interrupted restore leaves a site without a database, never rows without their
    files. Raise BackupError before anything is written where the place is not
    empty or the copy of the database has changed, and OSError.
    """
    backup = read_backup(folder)
    _require_empty()
    database = folder / backup.database
    if not database.exists() or hash_of(database) != backup.database_sha256:
        raise BackupError(
            f"The copy of the database in {folder} is missing or has changed. Nothing "
            "was restored. Use another backup."
        )
    for sha256 in originals_in(folder):
        _restore_original(folder, sha256)
    for path in sorted((folder / "packets").glob("*.pdf")):
        if hash_of(path) == path.stem:
            packets.keep_packet(path.read_bytes())
    lay_back(database)
    return backup


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


def _restore_original(folder: Path, sha256: str) -> None:
    path = original_at(folder, sha256)
    try:
        store.store_original(
            pieces_of(path), limit=path.stat().st_size, expected=sha256
        )
    except ChangedOnTheWayError as error:
        raise BackupError(
            f"Original {sha256} has changed in the backup. The restore was stopped, "
            "and no database was restored. Empty the folder of originals and use "
            "another backup."
        ) from error
