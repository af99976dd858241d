"""A picture that a document draws: named by its hash, read from its path."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Picture:
    """One of our own re-encoded JPEG renditions, upright.

    ``sha256`` is of the rendition's bytes, 64 hexadecimal digits. ``path`` is
    relative to the folder given to the drawing, so that frozen content does not
    depend on where a machine keeps its files. ``width`` and ``height`` are pixels.
    """

    sha256: str
    path: str
    width: int
    height: int
