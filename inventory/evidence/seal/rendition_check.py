"""Whether the copies of photos on the disk are those that a reading sealed."""

import hashlib
from collections.abc import Iterator

from inventory.evidence.pictures.renditions import HASH_COLUMNS, rendition_path
from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.models import Evidence, Reading


def rendition_faults(snapshot: Snapshot) -> Iterator[str]:
    """Yield a sentence for each copy on the disk that no reading of its photo sealed.

    A missing copy is no fault: it is made again from the original. Nor is a copy of a
    photo that has no reading: it is never printed.
    """
    for (sha256, size), hashes in _sealed(snapshot).items():
        try:
            found = hashlib.sha256(rendition_path(sha256, size).read_bytes())
        except OSError:
            continue
        if found.hexdigest() not in hashes:
            yield (
                f"The {size} px copy of original {sha256} is not the one that was "
                "sealed. It is not printed; it is made again when it is next shown."
            )


def _sealed(snapshot: Snapshot) -> dict[tuple[str, int], set[str]]:
    """Return the sealed hashes of each copy, by its original and size."""
    photos = {
        str(key): str(original)
        for key, original in snapshot.rows(
            Evidence, columns_of(Evidence, ("id", "original"))
        )
    }
    found: dict[tuple[str, int], set[str]] = {}
    columns = columns_of(Reading, ("evidence", *HASH_COLUMNS.values()))
    for evidence, *hashes in snapshot.rows(Reading, columns):
        original = photos.get(str(evidence), "")
        for size, sha256 in zip(HASH_COLUMNS, hashes, strict=True):
            if original and sha256:
                found.setdefault((original, size), set()).add(str(sha256))
    return found
