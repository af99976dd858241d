"""A backup: the database of one moment, every original it names, and the claim files.

The originals are copied once and re-hashed each time; the database is always new.
With public keys each file is locked, and none of it is ever there in the open.
The list ``backup.json`` is written last and names the database's file, so that an
interrupted backup leaves the one before it whole. Earlier copies of the database stay
as ``generations`` says, each with a list of its own; the originals serve them all.
"""

import json
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from inventory.evidence.backups.database_copy import copied_database
from inventory.evidence.backups.folders import (
    PRIVATE,
    SUMS,
    BackupFolder,
    ChangedBytesError,
)
from inventory.evidence.backups.locks import SUFFIX, require_lock
from inventory.evidence.seal.register import TreeState
from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.evidence.store import originals as store
from inventory.evidence.store import packets
from inventory.evidence.store.calls import sync_folder
from inventory.evidence.store.durable import hash_of, pieces_of, write_whole
from inventory.evidence.store.own_folders import own_folder
from inventory.models import Event, Original
from inventory.rules.evidence.chain import GrowingTree, leaf_data
from inventory.rules.evidence.generations import Keep, kept

LIST_NAME = "backup.json"
FORMAT = 1
_OURS = re.compile(rf"originals\Z|packets\Z|(database|backup)-\d|{SUMS}\Z|\.")


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
    locked: bool = False

    @property
    def moment(self) -> datetime:
        """When it was made, in UTC."""
        return datetime.fromisoformat(self.made_at)


@dataclass(frozen=True)
class Made:
    """The backup, and how many originals were newly copied this time."""

    backup: Backup
    copied: int


def original_named(sha256: str) -> str:
    """Return what a backup calls this original."""
    return f"originals/{sha256[:2]}/{sha256}"


def packet_named(sha256: str) -> str:
    """Return what a backup calls this claim file."""
    return f"packets/{sha256}.pdf"


def make_backup(
    path: Path, *, at: datetime, keys: Iterable[str] = (), keep: Keep | None = None
) -> Made:
    """Back up the running site into this folder, locked where there are public keys.

    The folder is empty, or holds an earlier backup of this same site: its tree is
    then the beginning of ours, and only new originals are copied. Without ``keep``
    every earlier copy of the database stays. Raise BackupError,
    LockError, OSError, and the errors of copying the database.
    """
    folder = BackupFolder(path, tuple(keys))
    if folder.is_locked:
        require_lock(folder.keys)
    before = _backup_before(folder)
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    name = f"database-{at.astimezone(UTC):%Y%m%dT%H%M%S%f}"
    with _database_in(folder, name) as (moment, sha256):
        tree = _tree_of(moment, before)
        if tree is None:
            folder.at(name).unlink()
            raise BackupError(
                f"{path} has the backup of another site, or of events that are no "
                "longer here. Nothing was added. Name an empty folder, and run verify."
            )
        count, total, copied = _copy_originals(folder, moment)
    made = Backup(
        format=FORMAT,
        made_at=at.astimezone(UTC).isoformat(),
        database=folder.at(name).name,
        database_sha256=sha256,
        events=tree.size,
        root=tree.root,
        originals=count,
        original_bytes=total,
        packets=_copy_packets(folder),
        locked=folder.is_locked,
    )
    for one in (before, made):  # a former version wrote no list of its own
        if one is not None:
            _write_list(path / _list_of(one.database), one)
    _write_list(path / LIST_NAME, made)
    _remove_older(path, keep)
    folder.close()
    return Made(made, copied)


@contextmanager
def _database_in(folder: BackupFolder, name: str) -> Iterator[tuple[Snapshot, str]]:
    """Copy the database into the folder; give its moment and the copy's hash.

    One to be locked is copied into the data folder first, where the same can be read.
    """
    if not folder.is_locked:
        with copied_database(folder.at(name)) as moment:
            yield moment, hash_of(folder.at(name))
        return
    with own_folder() as beside:
        plain = beside / name
        with copied_database(plain) as moment:
            sha256 = hash_of(plain)
            folder.keep(name, pieces_of(plain), sha256)
            yield moment, sha256


def read_backup(folder: Path) -> Backup:
    """Return what the folder's list says. Raise BackupError where there is none."""
    return read_list(folder / LIST_NAME)


def read_list(path: Path) -> Backup:
    """Return what a list says. Raise BackupError where there is none."""
    try:
        found = Backup(**json.loads(path.read_text(encoding="utf-8")))
        _ = found.moment  # it is a day
    except (OSError, ValueError, TypeError) as error:
        raise BackupError(
            f"{path.parent} has no backup from this program: {error}"
        ) from error
    if found.format != FORMAT or Path(found.database).name != found.database:
        raise BackupError(f"{path.parent} has a backup from another program.")
    return found


def _list_of(database: str) -> str:
    """Return the name of the list that stands beside this copy of the database."""
    stamp = database.removeprefix("database-").removesuffix(SUFFIX)
    return f"backup-{stamp}.json"


def _write_list(path: Path, made: Backup) -> None:
    text = json.dumps(asdict(made), indent=1, sort_keys=True)
    write_whole(path, [text.encode()], mode=PRIVATE)


def backups_in(folder: Path) -> list[Backup]:
    """Return every backup that the folder holds, the newest first.

    One whose list cannot be read is left out. Raise BackupError where it holds none.
    """
    newest = read_backup(folder)
    found = {newest.moment: newest}
    for path in folder.glob("backup-*.json"):
        with suppress(BackupError):
            one = read_list(path)
            if (folder / one.database).exists():
                found[one.moment] = one
    return [found[moment] for moment in sorted(found, reverse=True)]


def _remove_older(folder: Path, keep: Keep | None) -> None:
    """Remove the copies that need not stay, and what an interrupted backup left."""
    there = {one.database: one for one in backups_in(folder)}
    moments = {one.moment for one in there.values()}
    stays = kept(moments, keep) if keep else moments
    for path in folder.glob("database-*"):
        listed, found = folder / _list_of(path.name), there.get(path.name)
        # One whose list is there and cannot be read is nobody's to judge but a person's.
        is_over = found.moment not in stays if found else not listed.exists()
        if is_over:
            listed.unlink(missing_ok=True)
            path.unlink()
    sync_folder(folder)


def _backup_before(kept: BackupFolder) -> Backup | None:
    """Return the backup that lies there. Raise BackupError where something else does."""
    folder = kept.path
    if not folder.exists() or not any(folder.iterdir()):
        return None
    if not (folder / LIST_NAME).exists():
        _require_begun(kept)
        return None  # a first one that was broken off: it goes on
    found = read_backup(folder)
    if found.locked != kept.is_locked:
        how = "locked, and BACKUP_KEY is not set" if found.locked else "not locked"
        raise BackupError(
            f"The backup in {folder} is {how}. Nothing was written. Name an empty folder."
        )
    return found


def _require_begun(kept: BackupFolder) -> None:
    if not all(_OURS.match(path.name) for path in kept.path.iterdir()):
        raise BackupError(
            f"{kept.path} is not empty and has no backup from this program. Nothing was "
            "written. Name an empty folder."
        )
    if kept.is_locked and _has_plain(kept.path):
        raise BackupError(
            f"{kept.path} has files of a backup that are not locked. Nothing was "
            "written. Name an empty folder."
        )


def _has_plain(folder: Path) -> bool:
    names = (path.name for path in folder.rglob("*") if path.is_file())
    return any(
        not name.startswith(".") and not name.endswith((SUFFIX, SUMS)) for name in names
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


def _copy_originals(folder: BackupFolder, moment: Snapshot) -> tuple[int, int, int]:
    """Return how many originals there are, their bytes, and how many were copied."""
    count = total = copied = 0
    for sha256, size in moment.rows(Original, columns_of(Original, ["sha256", "size"])):
        copied += _copy_original(folder, str(sha256))
        count, total = count + 1, total + int(str(size))
    return count, total, copied


def _copy_original(folder: BackupFolder, sha256: str) -> bool:
    """Copy one original unless it is already there unchanged; return whether it was copied."""
    name = original_named(sha256)
    if folder.holds(name, sha256):
        return False
    try:
        folder.keep(name, store.read_original(sha256), sha256)
    except FileNotFoundError as error:
        raise BackupError(_damaged(sha256, "missing")) from error
    except ChangedBytesError as error:
        raise BackupError(_damaged(sha256, "changed")) from error
    return True


def _damaged(sha256: str, how: str) -> str:
    return (
        f"Original {sha256} is {how} on this site. The backup was not finished; the "
        "one before it is whole. Run verify, and restore the file from a backup."
    )


def _copy_packets(folder: BackupFolder) -> int:
    """Copy the claim files in the folder: those not yet kept as originals too."""
    count = 0
    for sha256, path in packets.kept_packets():
        name = packet_named(sha256)
        if not folder.holds(name, sha256):
            folder.keep(name, pieces_of(path), sha256)
        count += 1
    return count


def originals_in(folder: Path) -> Iterator[str]:
    """Yield the hash of each original that a backup holds, in order."""
    for path in sorted((folder / "originals").glob("??/*")):
        if not path.name.startswith("."):
            yield path.name.removesuffix(SUFFIX)
