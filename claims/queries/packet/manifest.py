"""The manifest of a claim file, read from the chain at the claim file's tree."""

from collections.abc import Sequence

from claims.rules.packet.manifest import (
    Manifest,
    ManifestEntry,
    SealedRecord,
    original_name,
)
from inventory.evidence.seal.register import TreeState, paths_of
from inventory.models import Event, EventSubject, Evidence


def manifest_of(files: Sequence[Evidence], tree: TreeState) -> Manifest:
    """Return the list of these originals, numbered as the list of evidence is.

    ``files`` come with their originals joined.
    """
    records = _records(files, tree.size)
    paths = paths_of(tree, [event.sequence for event in records.values()])
    return Manifest(
        size=tree.size,
        root=tree.root,
        originals=tuple(
            ManifestEntry(
                number=str(number),
                evidence=str(row.pk),
                sha256=row.original_id,
                size=row.original.size,
                file=original_name(number, row.original_id, row.original.media_type),
                sealed=_sealed(records.get(str(row.pk)), paths),
            )
            for number, row in enumerate(files, start=1)
        ),
    )


def _records(files: Sequence[Evidence], size: int) -> dict[str, Event]:
    """Return the event of each file's upload, by the file's key."""
    rows = (
        EventSubject.objects.filter(
            noun="evidence",
            key__in=[str(row.pk) for row in files],
            event__kind="evidence.kept",
            event__sequence__lte=size,
        )
        .select_related("event")
        .order_by("event_id")
    )
    return {row.key: row.event for row in rows}


def _sealed(
    event: Event | None, paths: dict[int, tuple[str, ...]]
) -> SealedRecord | None:
    if event is None:
        return None
    return SealedRecord(event.sequence, event.body, paths[event.sequence])
