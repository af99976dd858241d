"""Draw our own re-encoded JPEGs: read once, checked, named by their hash.

A JPEG is copied without decoding it (24 ms less a photo), and is read only when it is
written, so that no two are in memory. The very bytes that are written were checked, so
that nothing can change the file in between, and the hash is their name, so that the
folder does not matter.
"""

import hashlib
from collections.abc import Sequence
from functools import partial
from io import BytesIO
from pathlib import Path

from reportlab.pdfbase.pdfdoc import PDFDocument, PDFImageXObject
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from inventory.documents.core import styles
from inventory.documents.core.binding import BoundPage
from inventory.documents.core.markup import draw_marks
from inventory.documents.core.written import Drawn
from inventory.rules.core.pictures import PdfPage, Picture
from inventory.rules.evidence.markup import Mark

_JPEG = b"\xff\xd8\xff"
_PICTURE, _PAGE = "p", "b"
"""Before a hash, for its name in the document."""


class PictureError(ValueError):
    """A picture is not the one that the document was made with."""


class _CheckedJpeg(Drawn):
    """A picture in the document, under the name that its hash gives it."""

    def __init__(self, picture: Picture, root: Path) -> None:
        self._picture, self._root = picture, root
        self.width, self.height = picture.width, picture.height

    def __str__(self) -> str:
        return self._picture.sha256

    def format(self, document: PDFDocument) -> bytes:
        """Return the bytes as an image. Raise PictureError."""
        data = checked_bytes(self._picture, self._root)
        if not data.startswith(_JPEG):
            raise PictureError(f"The picture {self} is not a JPEG.")
        return bytes(PDFImageXObject("", _Opened(data)).format(document))


class _Opened:
    """A JPEG's bytes as a file, as ReportLab asks for it."""

    def __init__(self, data: bytes) -> None:
        self._data = data

    def jpeg_fh(self) -> BytesIO:
        """Return the file."""
        return BytesIO(self._data)


def draw_picture(
    canvas: Canvas, picture: Picture, root: Path, place: tuple[float, float, float]
) -> None:
    """Draw the picture under ``root`` at (x, y), ``width`` points wide.

    As the document is written, PictureError is raised where the file is missing, is no
    JPEG, or no longer has the SHA-256 that the content names: a document never silently
    shows another photo.
    """
    x, y, width = place
    name = f"{_PICTURE}{picture.sha256}"
    if not canvas.hasForm(name):
        document = canvas._doc  # noqa: SLF001 - drawImage would read the file now
        document.Reference(_CheckedJpeg(picture, root), document.getXObjectName(name))
    canvas._currentPageHasImages = 1  # noqa: SLF001 - as drawImage notes it
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(width, width * picture.height / picture.width)
    canvas.doForm(name)
    canvas.restoreState()


def checked_bytes(one: Picture | PdfPage, root: Path) -> bytes:
    """Return the bytes that the content names, or raise PictureError."""
    try:
        data = (root / one.path).read_bytes()
    except OSError:
        raise PictureError(f"The picture {one.sha256[:12]} is missing.") from None
    if hashlib.sha256(data).hexdigest() != one.sha256:
        raise PictureError(f"The picture {one.sha256[:12]} has changed.")
    return data


class PageBox(Flowable):  # type: ignore[misc]
    """One page of an uploaded PDF in a thin frame, in the middle of the width."""

    def __init__(
        self, page: PdfPage, root: Path, most_width: float, most_height: float
    ) -> None:
        """Fit the page into ``most_width`` by ``most_height`` points, never larger."""
        super().__init__()
        scale = min(most_width / page.width, most_height / page.height, 1.0)
        self.page, self.root = page, root
        self.width, self.height = page.width * scale, page.height * scale
        self.hAlign = "CENTER"
        self.spaceAfter = 4

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the drawn size."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the page and its frame."""
        canvas = self.canv
        name = f"{_PAGE}{self.page.sha256}"
        if not canvas.hasForm(name):
            bound = BoundPage(partial(checked_bytes, self.page, self.root))
            document = canvas._doc  # noqa: SLF001 - it has no door for a form made by hand
            document.Reference(bound, document.getXObjectName(name))
        canvas.saveState()
        canvas.scale(self.width, self.height)
        canvas.doForm(name)
        canvas.restoreState()
        canvas.setStrokeColor(styles.RULE)
        canvas.setLineWidth(0.5)
        canvas.rect(0, 0, self.width, self.height)


class PhotoBox(Flowable):  # type: ignore[misc]
    """One picture in a thin frame, at the left, with the marks drawn over it."""

    def __init__(
        self,
        picture: Picture,
        root: Path,
        most_width: float,
        most_height: float,
        *,
        marks: Sequence[Mark] = (),
    ) -> None:
        """Fit the picture into ``most_width`` by ``most_height`` points."""
        super().__init__()
        self.marks = marks
        scale = min(most_width / picture.width, most_height / picture.height)
        self.picture, self.root = picture, root
        self.width, self.height = picture.width * scale, picture.height * scale
        self.spaceAfter = 4

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the drawn size."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the picture and its frame."""
        draw_picture(self.canv, self.picture, self.root, (0, 0, self.width))
        draw_marks(self.canv, self.marks, (self.width, self.height))
        self.canv.setStrokeColor(styles.RULE)
        self.canv.setLineWidth(0.5)
        self.canv.rect(0, 0, self.width, self.height)
