"""A PDF that is written to a file as it is formatted, one object after the other.

ReportLab holds every object, its formatted copy and the joined file at once: three
times a claim file's pictures. Here an object that is written is forgotten. The bytes
are those that ReportLab itself would write.
"""

from collections.abc import Callable
from typing import Any, BinaryIO

from reportlab.pdfbase.pdfdoc import (
    PDFCrossReferenceTable,
    PDFDocument,
    PDFFile,
    PDFIndirectObject,
    PDFObject,
    PDFTrailer,
)
from reportlab.pdfgen.canvas import Canvas


class Raw(PDFObject):  # type: ignore[misc]
    """An object whose bytes are known."""

    __RefOnly__ = 1

    def __init__(self, data: bytes) -> None:
        """Keep the bytes of the object, without its number."""
        self._data = data

    def format(self, _document: PDFDocument) -> bytes:
        """Return them."""
        return self._data


Told = Callable[[str, int, int], None]
"""Is told what is being made (a "page", then a "picture"), its number, and how many."""


def tell_nobody(_what: str, _number: int, _total: int) -> None:
    """Say to nobody how far a document is."""


class Drawn(PDFObject):  # type: ignore[misc]
    """A picture or a page that takes time: whoever waits is told of each."""

    __RefOnly__ = 1


class _Written(PDFFile):  # type: ignore[misc]
    """ReportLab's list of what it wrote; here it is written at once."""

    def __init__(self, out: BinaryIO, version: tuple[int, int]) -> None:
        super().__init__(version)  # lists how a PDF begins
        out.write(self.format(None))
        self.strings: list[bytes] = []
        self.write = out.write


class _WrittenDocument(PDFDocument):  # type: ignore[misc]
    """ReportLab's document, which goes to its file object by object."""

    house_told: Told = staticmethod(tell_nobody)

    def SaveToFile(self, filename: BinaryIO, canvas: Canvas) -> None:  # noqa: N802
        """Write it into this open file."""
        self.house_file = filename
        self.GetPDFData(canvas)

    def format(self) -> None:
        """Write every object, the table of their places, and the trailer."""
        root, info = self.Reference(self.Catalog), self.Reference(self.info)
        file = _Written(self.house_file, self._pdfVersion)
        ids: list[str] = []
        pictures = sum(isinstance(one, Drawn) for one in self.idToObject.values())
        written = 0
        while len(ids) < len(self.numberToId):  # formatting one may add others
            name = self.numberToId[len(ids) + 1]
            thing = self.idToObject[name]
            if isinstance(thing, Drawn):
                written += 1
                self.house_told("picture", written, pictures)
            whole = PDFIndirectObject(name, thing).format(self)
            self.idToOffset[name] = file.add(whole)
            ids.append(name)
        table = PDFCrossReferenceTable()
        table.addsection(0, ids)
        start = file.add(table.format(self))
        trailer = PDFTrailer(
            startxref=start, Size=len(ids) + 1, Root=root, Info=info, ID=self.ID()
        )
        file.add(trailer.format(self))


class WrittenCanvas(Canvas):  # type: ignore[misc]
    """A canvas whose document is written as it is formatted."""

    def __init__(self, *args: Any, **options: Any) -> None:  # noqa: ANN401
        super().__init__(*args, **options)
        self._doc.__class__ = _WrittenDocument  # it makes its document by itself


class RoomCanvas(Canvas):  # type: ignore[misc]
    """A canvas of which only the page numbers are asked; nothing is written."""

    def save(self) -> None:
        """Close the last page."""
        if self._code:
            self.showPage()


def stream(entries: bytes, data: bytes) -> bytes:
    """Return a stream object: the entries of its dictionary, and its bytes."""
    head = b"<< " + entries + b" /Length %d >>\nstream\n" % len(data)
    return head + data + b"\nendstream\n"


def number_of(document: PDFDocument, thing: PDFObject) -> bytes:
    """Return how others name this object, which is in the file from now on."""
    return bytes(document.Reference(thing).format(document))
