"""What a document draws from a file: named by its hash, read from its path."""

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


@dataclass(frozen=True)
class PdfPage:
    """One page of an uploaded PDF, copied into a small PDF that holds only what draws.

    ``sha256`` is of the small PDF's bytes. ``path`` is relative to the same folder as
    that of a ``Picture``. ``width`` and ``height`` are points, as the page is shown.
    """

    sha256: str
    path: str
    width: int
    height: int
