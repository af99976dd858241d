"""The pages of an uploaded file, to bind into a document of ours.

A photo is one page: its sealed rendition. A PDF is taken apart by a child process with
limits, which copies only what draws; each page is kept beside the renditions under the
hash of its bytes, and made again from the original where it is missing or differs.
"""

import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.store import originals as store
from inventory.models import Evidence
from inventory.rules.core.pictures import PdfPage, Picture

MOST_PAGES = 60
"""As many pages of one file are bound; the rest is in the original."""

MOST_KNOWN = 500
SECONDS = 30
PDF = "application/pdf"

_at_once = threading.BoundedSemaphore(1)
_SCRIPT = Path(__file__).with_name("pdf_child.py")

REASONS = {
    "Locked": "it is locked or encrypted",
    "OtherProgram": "it is a form that only its own program can show",
    "Layers": "it has layers that are switched off",
    "TooLarge": "it is far larger than it looks",
    "LimitReachedError": "it is far larger than it looks",
    "TooManyPages": "its list of pages is too long or too deep",
    "TooManyObjects": "it has too many parts",
    "TooManyPixels": "a picture in it has too many pixels",
    "TooDeep": "its parts are nested too deep",
    "PageSize": "a page has no usable size",
    "OtherFile": "it takes a part from another file or program",
    "OtherFilter": "a part of it is packed in a way that we do not read",
    "NoPages": "it has no pages",
    "Missing": "its original is missing or changed",
    "NoPreview": "the photo cannot be read",
    "TimeoutExpired": "it took too long to read",
}
_DAMAGED = "it is damaged"


@dataclass(frozen=True)
class Bound:
    """The pages that can be bound; where not all are, ``reason`` says why.

    ``total`` is how many pages the file has, 0 where that could not be read.
    ``reason`` ends a sentence: "not bound in, because it is damaged".
    """

    pages: tuple[Picture | PdfPage, ...] = ()
    total: int = 0
    reason: str = ""


_known: dict[tuple[str, int], Bound] = {}
"""What this process took apart lately: the same bytes have the same pages."""


def pages_of(row: Evidence, most: int = MOST_PAGES) -> Bound:
    """Return the pages of one uploaded file, at most ``most`` of them.

    ``row`` comes with its original joined. Never raises for a bad file. Raise
    UnsealedPictureError for a photo whose rendition is not sealed.
    """
    if row.is_picture:
        picture = picture_for(row)
        return Bound((picture,), 1) if picture else Bound((), 0, REASONS["NoPreview"])
    return _pages_of_pdf(row.original_id, most)


def ensure_page(original: str, page: PdfPage) -> None:
    """Make a page again from its original where the disk does not hold these bytes."""
    path = renditions.rendition_root() / page.path
    try:
        data = path.read_bytes()
    except OSError:
        data = b""
    if renditions.hash_of(data) != page.sha256:
        _pages_of_pdf(original, MOST_PAGES, anew=True)


def _pages_of_pdf(sha256: str, most: int, *, anew: bool = False) -> Bound:
    data = store.intact_bytes(sha256)
    if data is None:
        return Bound((), 0, REASONS["Missing"])
    known = None if anew else _known.get((sha256, most))
    if known and all(_is_kept(page) for page in known.pages):
        return known
    try:
        told, rest = _run_child(data, most)
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        return Bound((), 0, REASONS.get(type(error).__name__, _DAMAGED))
    if "error" in told:
        return Bound((), 0, REASONS.get(told["error"], _DAMAGED))
    pages = []
    for number, one in enumerate(told["pages"], start=1):
        made, rest = rest[: one["pdf"]], rest[one["pdf"] :]
        pages.append(_kept(sha256, number, made, (one["width"], one["height"])))
    left = told["total"] - len(pages)
    reason = f"only its first {len(pages)} pages are bound in" if left > 0 else ""
    if len(_known) >= MOST_KNOWN:
        _known.clear()
    bound = _known[sha256, most] = Bound(tuple(pages), told["total"], reason)
    return bound


def _is_kept(page: Picture | PdfPage) -> bool:
    return (renditions.rendition_root() / page.path).exists()


def _kept(sha256: str, number: int, data: bytes, size: tuple[int, int]) -> PdfPage:
    path = renditions.keep_page(sha256, number, data)
    return PdfPage(renditions.hash_of(data), path, *size)


def _run_child(data: bytes, most: int) -> tuple[dict[str, Any], bytes]:
    with _at_once:
        done = subprocess.run(  # noqa: S603 - our own script, no text of a person
            [sys.executable, "-I", str(_SCRIPT), str(most)],
            input=data,
            capture_output=True,
            timeout=SECONDS,
            check=True,
        )
    line, _, rest = done.stdout.partition(b"\n")
    told: dict[str, Any] = json.loads(line)
    return told, rest
