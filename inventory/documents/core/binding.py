"""Pages of uploaded PDFs put into a finished document of ours, each into its frame.

The pages come from ``inventory.evidence.pictures.exhibits``, which leaves only what
draws. Each becomes a form XObject (ISO 32000-1, 8.10) of the page that shows it.
"""

# ruff: noqa: ANN401 - the objects of a PDF are of any type

from collections.abc import Sequence
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    EncodedStreamObject,
    FloatObject,
    IndirectObject,
    NameObject,
    StreamObject,
)

from inventory.documents.core.attachments import Attachment, attach

Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True)
class BoundPage:
    """A page to put on page ``number``, from 1, at x, y, width and height in points."""

    number: int
    place: tuple[float, float, float, float]
    data: bytes = field(repr=False)


def finished(
    pdf: bytes, bound: Sequence[BoundPage], attachments: Sequence[Attachment]
) -> bytes:
    """Return the PDF with these pages in it and these files attached.

    The same input gives the same bytes. What is read is held once, whatever is added:
    a claim file's pictures are most of its size.
    """
    if not (bound or attachments):
        return pdf
    writer = PdfWriter(clone_from=PdfReader(BytesIO(pdf)))
    bind_pages(writer, bound)
    attach(writer, attachments)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def bind_pages(writer: PdfWriter, bound: Sequence[BoundPage]) -> None:
    """Put the pages into their places.

    A font or picture that several pages share is in the file once.
    """
    alike: dict[bytes, IndirectObject] = {}
    for count, one in enumerate(bound, start=1):
        _put(writer, one, f"/Bound{count}", alike)


def _put(
    writer: PdfWriter, one: BoundPage, name: str, alike: dict[bytes, IndirectObject]
) -> None:
    source: Any = PdfReader(BytesIO(one.data)).pages[0]
    box = tuple(float(side) for side in source["/MediaBox"])
    turn = int(source.get("/Rotate", 0))
    form = EncodedStreamObject()
    contents = source["/Contents"]
    form[NameObject("/Filter")] = NameObject("/FlateDecode")
    form._data = contents._data  # noqa: SLF001 - packed as it is, in one stream
    form[NameObject("/Type")] = NameObject("/XObject")
    form[NameObject("/Subtype")] = NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(FloatObject(side) for side in box)
    form[NameObject("/Resources")] = _copied(source["/Resources"], writer, alike)
    target: Any = writer.pages[one.number - 1]
    resources = target["/Resources"]
    if "/XObject" not in resources:
        resources[NameObject("/XObject")] = DictionaryObject()
    resources["/XObject"][NameObject(name)] = writer._add_object(form)  # noqa: SLF001
    numbers = " ".join(f"{value:.5f}" for value in _matrix(box, turn, one.place))
    _append(writer, target, f"q {numbers} cm {name} Do Q\n".encode("ascii"))


def _matrix(
    box: tuple[float, ...], turn: int, place: tuple[float, float, float, float]
) -> Matrix:
    """Return the matrix that puts the box, turned clockwise, into the place."""
    left, low, right, high = box
    x, y, width, height = place
    wide, tall = right - left, high - low
    if turn in {90, 270}:
        across, up = width / tall, height / wide
    else:
        across, up = width / wide, height / tall
    if turn == 90:
        return (0, -up, across, 0, x - low * across, y + right * up)
    if turn == 180:
        return (-across, 0, 0, -up, x + right * across, y + high * up)
    if turn == 270:
        return (0, up, -across, 0, x + high * across, y - left * up)
    return (across, 0, 0, up, x - left * across, y - low * up)


def _append(writer: PdfWriter, page: Any, drawing: bytes) -> None:
    more = StreamObject()
    more._data = drawing  # noqa: SLF001 - as pypdf keeps it
    added = writer._add_object(more)  # noqa: SLF001
    found = page.raw_get("/Contents")
    own = page["/Contents"]
    before = list(own) if isinstance(own, ArrayObject) else [found]
    page[NameObject("/Contents")] = ArrayObject([*before, added])


def _copied(
    thing: Any, writer: PdfWriter, alike: dict[bytes, IndirectObject], made: Any = None
) -> Any:
    """Copy what a page draws with; the same object of two pages becomes one."""
    made = {} if made is None else made
    if isinstance(thing, IndirectObject):
        if thing.idnum not in made:
            copy = _copied(thing.get_object(), writer, alike, made)
            made[thing.idnum] = _once(copy, writer, alike)
        return made[thing.idnum]
    if isinstance(thing, StreamObject):
        stream = EncodedStreamObject()
        stream.update(_entries(thing, writer, alike, made))
        stream._data = thing._data  # noqa: SLF001
        return stream
    if isinstance(thing, dict):
        return DictionaryObject(_entries(thing, writer, alike, made))
    if isinstance(thing, list):
        return ArrayObject(_copied(one, writer, alike, made) for one in thing)
    return thing


def _entries(
    thing: Any, writer: PdfWriter, alike: dict[bytes, IndirectObject], made: Any
) -> dict[Any, Any]:
    return {
        NameObject(name): _copied(dict.__getitem__(thing, name), writer, alike, made)
        for name in thing
        if name != "/Length"
    }


def _once(
    copy: Any, writer: PdfWriter, alike: dict[bytes, IndirectObject]
) -> IndirectObject:
    out = BytesIO()
    copy.write_to_stream(out)
    key = out.getvalue()
    if key not in alike:
        alike[key] = writer._add_object(copy)  # noqa: SLF001
    return alike[key]
