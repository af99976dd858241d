"""Draw our own re-encoded JPEGs: read once, checked, named by their hash.

ReportLab copies a JPEG without decoding it where it is asked for the file (24 ms less
a photo). It is given the very bytes that were checked, so that nothing can change the
file in between, and the hash for a name, so that the folder does not matter.
"""

import hashlib
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from inventory.documents.core import styles
from inventory.documents.core.binding import BoundPage
from inventory.documents.core.markup import draw_marks
from inventory.rules.core.pictures import PdfPage, Picture
from inventory.rules.evidence.markup import Mark

_JPEG = b"\xff\xd8\xff"


class PictureError(ValueError):
    """A picture is not the one that the document was made with."""


class _CheckedJpeg:
    """The bytes of a picture, under the name that its hash gives it."""

    def __init__(self, data: bytes, name: str) -> None:
        self._data, self._name = data, name

    def __str__(self) -> str:
        return self._name

    def jpeg_fh(self) -> BytesIO:
        """Return the JPEG as a file, as ReportLab asks for it."""
        return BytesIO(self._data)


def draw_picture(
    canvas: Canvas, picture: Picture, root: Path, place: tuple[float, float, float]
) -> None:
    """Draw the picture under ``root`` at (x, y), ``width`` points wide.

    Raise PictureError where the file is missing, is no JPEG, or no longer has the
    SHA-256 that the content names: a document never silently shows another photo.
    """
    if getattr(canvas, "house_room_only", False):
        return
    data = checked_bytes(picture, root)
    if not data.startswith(_JPEG):
        raise PictureError(f"The picture {picture.sha256[:12]} is not a JPEG.")
    x, y, width = place
    canvas.drawImage(
        _CheckedJpeg(data, picture.sha256),
        x,
        y,
        width=width,
        height=width * picture.height / picture.width,
    )


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
    """One page of an uploaded PDF in a thin frame, in the middle of the width.

    Its place is noted as the frame is drawn; ``build_pdf`` puts the page there.
    """

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
        """Draw the frame, and note what goes into it."""
        if self.canv.house_room_only:
            return
        data = checked_bytes(self.page, self.root)
        x, y = self.canv.absolutePosition(0, 0)
        number = self.canv.getPageNumber()
        self.canv.house_pages.bound.append(
            BoundPage(number, (x, y, self.width, self.height), data)
        )
        self.canv.setStrokeColor(styles.RULE)
        self.canv.setLineWidth(0.5)
        self.canv.rect(0, 0, self.width, self.height)


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
