"""Pictures for documents: our own renditions, named by the hash of their bytes."""

import hashlib

from inventory.evidence.pictures import renditions
from inventory.rules.core.pictures import Picture

SIZE = 1600

_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""The JPEG markers that begin a frame and state its size (ITU-T T.81, B.2.2)."""


def picture_for(sha256: str) -> Picture | None:
    """Return the full-size rendition of an original; None where there is none.

    The path is relative to the folder of renditions, so that frozen content does
    not depend on where this machine keeps its files.
    """
    path = renditions.ensure_rendition(sha256, SIZE)
    if path is None:
        return None
    data = path.read_bytes()
    size = jpeg_size(data)
    if size is None:
        return None
    return Picture(
        sha256=hashlib.sha256(data).hexdigest(),
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
