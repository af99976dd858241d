"""What crashes and cut uploads leave behind: drafts go, orphans are set aside.

An orphan is an original that no row names: its upload ended between the disk and
the database, so nobody was told that it was saved. It is moved, never deleted.
"""

import itertools
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import transaction

from inventory.evidence.store.homes import home
from inventory.evidence.store.own_folders import sweep_left
from inventory.evidence.store.turns import take_turn
from inventory.models import Original

DRAFT_AGE = timedelta(hours=1)
ORPHAN_AGE = timedelta(hours=24)
_BATCH = 500

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Swept:
    """How many drafts were removed, and the hashes of the orphans set aside."""

    drafts: int
    orphans: tuple[str, ...]


def sweep(*, at: datetime) -> Swept:
    """Remove drafts older than an hour; set orphans older than a day aside."""
    before = (at - DRAFT_AGE).timestamp()
    drafts = home().sweep_unfinished(older_than=before)
    drafts += sum(_remove_old(path, before) for path in _drafts())
    drafts += sweep_left(older_than=before)
    orphans = [
        sha256
        for sha256 in _nameless((at - ORPHAN_AGE).timestamp())
        if _set_aside(sha256)
    ]
    return Swept(drafts, tuple(orphans))


def _drafts() -> Iterator[Path]:
    """Yield unfinished renditions and packets, and uploads that never arrived."""
    for root, which, finished in (
        (Path(settings.RENDITION_ROOT), "**/*", {".jpg", ".pdf"}),
        (Path(settings.PACKET_ROOT), "**/*", {".pdf"}),
        (Path(settings.FILE_UPLOAD_TEMP_DIR), "*", set()),
    ):
        for path in sorted(root.glob(which)) if root.is_dir() else []:
            if path.is_file() and path.suffix not in finished:
                yield path


def _remove_old(path: Path, before: float) -> bool:
    try:
        if path.stat().st_mtime >= before:
            return False
        path.unlink()
    except FileNotFoundError:  # its upload ended well in this moment
        return False
    return True


def _nameless(before: float) -> Iterator[str]:
    """Yield the hash of each old file that no row names."""
    names = home().names(older_than=before)
    while batch := list(itertools.islice(names, _BATCH)):
        rows = Original.objects.filter(pk__in=batch)
        known = set(rows.values_list("pk", flat=True))
        yield from (name for name in batch if name not in known)


def _set_aside(sha256: str) -> bool:
    """Look once more, alone, and move the file; say whether it was moved.

    Whoever keeps the same bytes meanwhile either has its row by now, or finds the
    file gone under the same lock and stores it again.
    """
    with transaction.atomic():
        take_turn()
        if Original.objects.filter(pk=sha256).exists():
            return False
        if not home().exists(sha256):  # another machine's sweep was here
            return False
        home().set_aside(sha256)
    log.warning("Original %s has no row: moved to quarantine.", sha256)
    return True
