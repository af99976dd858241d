"""A backup: the database of one moment, every original it names, and the claim files.

The originals are copied once and re-hashed each time; the database is always new.
The list ``backup.json`` is written last and names the database's file, so that an
interrupted backup leaves the one before it whole.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from inventory.evidence.backups.database_copy import copied_database
from inventory.evidence.seal.register import TreeState
from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.evidence.store import originals as store
from inventory.evidence.store import packets
from inventory.evidence.store.calls import sync_folder
from inventory.evidence.store.durable import hash_of, pieces_of, write_whole
from inventory.models import Event, Original
from inventory.rules.evidence.chain import GrowingTree, leaf_data

LIST_NAME = "backup.json"
FORMAT = 1
_OURS = re.compile(rf"originals\Z|packets\Z|database-\d|\.{LIST_NAME}\.")


class BackupError(Exception):
    """No backup was made, or none can be read; the message says why."""


@dataclass(frozen=True)
class Backup:
    """What ``backup.json`` says."""

    format: int
    made_at: str
    database: str
    database_sha256: str
    events: int
    root: str
    originals: int
    original_bytes: int
    packets: int


@dataclass(frozen=True)
class Made:
    """The backup, and how many originals were newly copied this time."""

    backup: Backup
    copied: int


def original_at(folder: Path, sha256: str) -> Path:
    """Return where a backup keeps this original."""
    return folder / "originals" / sha256[:2] / sha256


def packet_at(folder: Path, sha256: str) -> Path:
    """Return the path of this claim file in a backup."""
    return folder / "packets" / f"{sha256}.pdf"


def make_backup(folder: Path, *, at: datetime) -> Made:
    """Back up the running site into this folder.

    The folder is empty, or holds an earlier backup of this same site: its tree is
    then the beginning of ours, and only new originals are copied. Raise BackupError,
    OSError, and the errors of copying the database.
    """
    before = _backup_before(folder)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    name = f"database-{at.astimezone(UTC):%Y%m%dT%H%M%S%f}"
    with copied_database(folder / name) as moment:
        tree = _tree_of(moment, before)
        if tree is None:
            (folder / name).unlink()
            raise BackupError(
                f"{folder} has the backup of another site, or of events that are no "
                "longer here. Nothing was added. Name an empty folder, and run verify."
            )
        count, total, copied = _copy_originals(folder, moment)
    made = Backup(
        format=FORMAT,
        made_at=at.astimezone(UTC).isoformat(),
        database=name,
        database_sha256=hash_of(folder / name),
        events=tree.size,
        root=tree.root,
        originals=count,
        original_bytes=total,
        packets=_copy_packets(folder),
    )
    text = json.dumps(asdict(made), indent=1, sort_keys=True)
    write_whole(folder / LIST_NAME, [text.encode()])
    _remove_older(folder, name)
    return Made(made, copied)


def read_backup(folder: Path) -> Backup:
    """Return what the folder's list says. Raise BackupError where there is none."""
    try:
        data = json.loads((folder / LIST_NAME).read_text(encoding="utf-8"))
        found = Backup(**data)
    except (OSError, ValueError, TypeError) as error:
        raise BackupError(
            f"{folder} has no backup from this program: {error}"
        ) from error
    if found.format != FORMAT or Path(found.database).name != found.database:
        raise BackupError(f"{folder} has a backup from another program.")
    return found


def _remove_older(folder: Path, name: str) -> None:
    """Remove earlier copies of the database, and what an interrupted one left."""
    for path in folder.glob("database-*"):
        if path.name != name:
            path.unlink()
    sync_folder(folder)


def _backup_before(folder: Path) -> Backup | None:
    """Return the backup that lies there. Raise BackupError where something else does."""
    if not folder.exists() or not any(folder.iterdir()):
        return None
    if (folder / LIST_NAME).exists():
        return read_backup(folder)
    if all(_OURS.match(path.name) for path in folder.iterdir()):
        return None  # a first one that was broken off: it goes on
    raise BackupError(
        f"{folder} is not empty and has no backup from this program. Nothing was "
        "written. Name an empty folder."
    )


def _tree_of(moment: Snapshot, before: Backup | None) -> TreeState | None:
    """Return the tree of this moment; None where it does not begin with the one before."""
    tree, wanted = GrowingTree(), before.events if before else 0
    root = "" if before else None
    for (sealed,) in moment.rows(Event, columns_of(Event, ["hash"])):
        if before and tree.size == wanted:
            root = tree.root().hex()
        tree.add(leaf_data(str(sealed)))
    if before and tree.size == wanted:
        root = tree.root().hex()
    if before and root != before.root:
        return None
    return TreeState(tree.size, tree.root().hex())


def _copy_originals(folder: Path, moment: Snapshot) -> tuple[int, int, int]:
    """Return how many originals there are, their bytes, and how many were copied."""
    count = total = copied = 0
    for sha256, size in moment.rows(Original, columns_of(Original, ["sha256", "size"])):
        copied += _copy_original(folder, str(sha256))
        count, total = count + 1, total + int(str(size))
    return count, total, copied


def _copy_original(folder: Path, sha256: str) -> bool:
    """Copy one original unless it is already there unchanged; return whether it was copied."""
    target = original_at(folder, sha256)
    if target.exists() and hash_of(target) == sha256:
        return False
    try:
        written = write_whole(target, store.read_original(sha256))
    except FileNotFoundError as error:
        raise BackupError(_damaged(sha256, "missing")) from error
    if written != sha256:
        target.unlink()
        raise BackupError(_damaged(sha256, "changed"))
    return True


def _damaged(sha256: str, how: str) -> str:
    return (
        f"Original {sha256} is {how} on this site. The backup was not finished; the "
        "one before it is whole. Run verify, and restore the file from a backup."
    )


def _copy_packets(folder: Path) -> int:
    """Copy the claim files in the folder: those not yet kept as originals too."""
    count = 0
    for sha256, path in packets.kept_packets():
        target = packet_at(folder, sha256)
        if not (target.exists() and hash_of(target) == sha256):
            write_whole(target, pieces_of(path))
        count += 1
    return count


def originals_in(folder: Path) -> Iterator[str]:
    """Yield the hash of each original that a backup holds, in order."""
    for path in sorted((folder / "originals").glob("??/*")):
        if not path.name.startswith("."):
            yield path.name
