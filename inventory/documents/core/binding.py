"""Pages of uploaded PDFs in a document of ours, each in its frame.

The pages come from ``inventory.evidence.pictures.exhibits``, which leaves only what
draws. Each becomes a form XObject (ISO 32000-1, 8.10), one unit wide and high, which the
frame draws as large as it is.
"""

# ruff: noqa: ANN401 - the objects of a PDF are of any type

import hashlib
from collections.abc import Callable
from io import BytesIO
from typing import Any

from pypdf import PdfReader
from pypdf.generic import IndirectObject, NameObject, StreamObject
from reportlab.pdfbase.pdfdoc import PDFDocument, PDFObject

from inventory.documents.core.written import Drawn, Raw, number_of, stream

Matrix = tuple[float, float, float, float, float, float]


class BoundPage(Drawn):
    """One page of an uploaded PDF. It is read when the document is written."""

    def __init__(self, read: Callable[[], bytes]) -> None:
        """``read`` returns the PDF whose only page it is."""
        self._read = read

    def format(self, document: PDFDocument) -> bytes:
        """Return the form, and put what it draws with into the document."""
        page: Any = PdfReader(BytesIO(self._read())).pages[0]
        box = tuple(float(side) for side in page["/MediaBox"])
        matrix = _matrix(box, int(page.get("/Rotate", 0)))
        entries = (
            b"/Type /XObject /Subtype /Form /Filter /FlateDecode "
            b"/BBox [ %b ] /Matrix [ %b ] /Resources %b"
        ) % (
            " ".join(f"{side:.5f}" for side in box).encode("ascii"),
            " ".join(f"{value:.10f}" for value in matrix).encode("ascii"),
            _told(page["/Resources"], document, {}),
        )
        return stream(entries, page["/Contents"]._data)  # noqa: SLF001 - packed as it is


def _matrix(box: tuple[float, ...], turn: int) -> Matrix:
    """Return the matrix that puts the box, turned clockwise, on one unit by one."""
    left, low, right, high = box
    wide, tall = right - left, high - low
    if turn == 90:
        return (0, -1 / wide, 1 / tall, 0, -low / tall, right / wide)
    if turn == 180:
        return (-1 / wide, 0, 0, -1 / tall, right / wide, high / tall)
    if turn == 270:
        return (0, 1 / wide, -1 / tall, 0, high / tall, -left / wide)
    return (1 / wide, 0, 0, 1 / tall, -left / wide, -low / tall)


def _told(thing: Any, document: PDFDocument, made: dict[int, bytes]) -> bytes:
    """Return what a page draws with as bytes; what it names is in the document then."""
    if isinstance(thing, IndirectObject):
        if thing.idnum not in made:
            told = _told(thing.get_object(), document, made)
            made[thing.idnum] = number_of(document, _once(told, document))
        return made[thing.idnum]
    if isinstance(thing, StreamObject):
        entries = _entries(thing, document, made)
        return stream(entries, thing._data)  # noqa: SLF001 - packed as it is
    if isinstance(thing, dict):
        return b"<< " + _entries(thing, document, made) + b" >>"
    if isinstance(thing, list):
        return b"[ " + b" ".join(_told(one, document, made) for one in thing) + b" ]"
    out = BytesIO()
    thing.write_to_stream(out)
    return out.getvalue()


def _entries(thing: Any, document: PDFDocument, made: dict[int, bytes]) -> bytes:
    return b" ".join(
        _told(NameObject(name), document, made)
        + b" "
        + _told(dict.__getitem__(thing, name), document, made)
        for name in thing
        if name != "/Length"
    )


def _once(told: bytes, document: PDFDocument) -> PDFObject:
    """Return the object of these bytes: a font that two pages share is there once."""
    alike: dict[bytes, PDFObject] = vars(document).setdefault("house_alike", {})
    return alike.setdefault(hashlib.sha256(told).digest(), Raw(told))
