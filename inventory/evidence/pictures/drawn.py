"""Pictures for documents: our own renditions, named by the hash of their bytes."""

from inventory.evidence.pictures import renditions
from inventory.models import Evidence
from inventory.rules.core.pictures import Picture

SIZE = 1600

_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""The JPEG markers that begin a frame and state its size (ITU-T T.81, B.2.2)."""


def picture_for(row: Evidence) -> Picture | None:
    """Return the full-size rendition of a photo to print; None where there is none.

    Its bytes are those whose hash is sealed, whatever is on the disk. The path is
    relative to the folder of renditions, so that frozen content does not depend on
    where this machine keeps its files. Lists prefetch ``readings``. Raise
    UnsealedPictureError.
    """
    hashes = sealed_hashes(row, SIZE)
    data = renditions.sealed_rendition(row.original_id, SIZE, hashes)
    return _picture(row.original_id, data)


def picture_to_show(row: Evidence) -> Picture | None:
    """Return the full-size rendition to show on a page; None where there is none."""
    return _picture(row.original_id, data_to_show(row, SIZE))


def data_to_show(row: Evidence, size: int) -> bytes | None:
    """Return a photo's rendition to send to a browser; None where there is none."""
    hashes = sealed_hashes(row, size)
    return renditions.shown_rendition(row.original_id, size, hashes)


def sealed_hashes(row: Evidence, size: int) -> frozenset[str]:
    """Return the hash of each rendition of this size that a reading sealed."""
    column = renditions.HASH_COLUMNS[size]
    found = (getattr(reading, column) for reading in row.readings.all())
    return frozenset(found) - {""}


def _picture(sha256: str, data: bytes | None) -> Picture | None:
    size = None if data is None else jpeg_size(data)
    if data is None or size is None:
        return None
    path = renditions.rendition_path(sha256, SIZE)
    return Picture(
        sha256=renditions.hash_of(data),
        path=f"{path.parent.name}/{path.name}",
        width=size[0],
        height=size[1],
    )


def jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Return a JPEG's width and height in pixels, None where it states none."""
    place = 2
    while place + 9 <= len(data) and data[place] == 0xFF:
        marker, length = data[place + 1], int.from_bytes(data[place + 2 : place + 4])
        if marker in _FRAMES:
            height = int.from_bytes(data[place + 5 : place + 7])
            return int.from_bytes(data[place + 7 : place + 9]), height
        place += 2 + length
    return None
