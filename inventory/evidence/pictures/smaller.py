"""A smaller copy of one of our own renditions, for a document that must be small."""

import io
from collections.abc import Iterable
from pathlib import Path

from inventory.evidence.pictures.drawn import jpeg_size
from inventory.evidence.pictures.renditions import hash_of, rendition_root
from inventory.rules.core.pictures import PdfPage, Picture


def smaller_jpeg(data: bytes, side: int, quality: int) -> bytes:
    """Return the JPEG with at most ``side`` pixels; unchanged where that saves nothing.

    ``data`` is a rendition whose hash was checked: our own encoder wrote it, so it is
    read here and not in a child process. The same input gives the same bytes.
    """
    from PIL import Image  # noqa: PLC0415 - slow to import

    image: Image.Image = Image.open(io.BytesIO(data), formats=["JPEG"])
    image.draft("RGB", (side, side))
    image = image.convert("RGB")
    image.thumbnail((side, side), Image.Resampling.BICUBIC)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True)
    made = out.getvalue()
    return made if len(made) < len(data) else data


def picture_of(data: bytes) -> Picture:
    """Return a JPEG as a picture named by its own hash."""
    sha256 = hash_of(data)
    width, height = jpeg_size(data) or (1, 1)
    return Picture(sha256, f"{sha256}.jpg", width, height)


def link_others(folder: Path, others: Iterable[Picture | PdfPage]) -> None:
    """Put a link into the folder for each of these that it has no smaller copy of."""
    for one in others:
        link = folder / one.path
        link.parent.mkdir(exist_ok=True)
        if not link.exists():
            link.symlink_to(rendition_root() / one.path)
