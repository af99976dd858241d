"""One page of a foreign PDF copied into a PDF of its own: only what draws.

Runs in the child process of ``pdf_child``. Nothing is taken out of the foreign file;
what is known to draw is copied into a new one: content, fonts, images, patterns. So no
script, action, form, attachment or link can come along. What annotations and filled
form fields look like (their normal appearance) is drawn into the page, because it is
what a reader sees. Keys are those of ISO 32000-1.
"""

# ruff: noqa: ANN401 - the objects of a PDF are of any type

import io
import math
import zlib
from typing import Any

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DictionaryObject,
    EncodedStreamObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NullObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

from inventory.evidence.pictures.pdf_values import (
    MOST_DEEP,
    UnfitError,
    filters_of,
    fitting,
    number_of,
    open_up,
    rectangle_of,
    shown_box,
)

MOST_OBJECTS = 20_000
MOST_UNPACKED = 120 * 1024 * 1024
MOST_PIXELS = 100_000_000
MOST_ANNOTATIONS = 1_000
HIDDEN = 0x02 | 0x20

_PLAIN = (NameObject, NumberObject, FloatObject, BooleanObject, NullObject)
_TEXTS = (TextStringObject, ByteStringObject)


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_MAPS = _words("/ExtGState /ColorSpace /Pattern /Shading /XObject /Font")
_IMAGE = _words(
    "/Type /Subtype /Width /Height /ColorSpace /BitsPerComponent /Intent /ImageMask "
    "/Mask /Decode /Interpolate /SMask /SMaskInData /Matte /Filter /DecodeParms"
)
_FORM = _words(
    "/Type /Subtype /FormType /BBox /Matrix /Resources /Group /Filter /DecodeParms"
)
_DROPPED = _words(
    "/A /AA /AF /Action /Alternates /Annots /EF /EmbeddedFiles /F /FDecodeParms "
    "/FFilter /JS /JavaScript /Launch /Metadata /Names /OC /OCGs /OPI /OpenAction "
    "/Parent /PieceInfo /PS /Ref /StructParent /StructParents /URI /XFA"
)
_FLATE = _words("/FlateDecode /Fl")
_KNOWN_FILTERS = _FLATE | _words(
    "/LZWDecode /LZW /ASCII85Decode /A85 /ASCIIHexDecode /AHx /RunLengthDecode /RL "
    "/CCITTFaxDecode /CCF /DCTDecode /DCT /JPXDecode"
)


def page_alone(page: dict[str, Any]) -> dict[str, Any]:
    """Return ``pdf``, and ``width`` and ``height`` as shown, in points."""
    copy = _Copy()
    left, low, right, high = shown_box(page)
    turn = int(number_of(page.get("/Rotate"), 0)) % 360 // 90 * 90
    unit = min(max(number_of(page.get("/UserUnit"), 1.0), 1.0), 75.0)
    resources = copy.resources(page.get("/Resources"))
    drawn = _content(page.get("/Contents"), copy)
    drawn = (
        b"q\n" + drawn + b"\nQ\n" + _appearances(page.get("/Annots"), resources, copy)
    )
    writer = copy.writer
    made = writer.add_blank_page(right - left, high - low)
    made[NameObject("/MediaBox")] = ArrayObject(
        FloatObject(f"{side:.3f}") for side in (left, low, right, high)
    )
    if turn:
        made[NameObject("/Rotate")] = NumberObject(turn)
    made[NameObject("/Resources")] = resources
    made[NameObject("/Contents")] = writer._add_object(_packed(drawn))  # noqa: SLF001
    out = io.BytesIO()
    writer.write(out)
    size = (right - left) * unit, (high - low) * unit
    width, height = reversed(size) if turn in {90, 270} else size
    return {
        "pdf": out.getvalue(),
        "width": math.ceil(width),
        "height": math.ceil(height),
    }


def _packed(data: bytes) -> StreamObject:
    stream = EncodedStreamObject()
    stream[NameObject("/Filter")] = NameObject("/FlateDecode")
    stream._data = zlib.compress(data, 6)  # noqa: SLF001 - as pypdf keeps it
    return stream


def _content(thing: Any, copy: "_Copy") -> bytes:
    found = open_up(thing)
    parts = found if isinstance(found, list) else [found]
    if len(parts) > MOST_OBJECTS:
        raise UnfitError("TooManyObjects")
    return b"\n".join(
        copy.unpacked(stream)
        for stream in map(open_up, parts)
        if isinstance(stream, StreamObject)
    )


def _appearances(annotations: Any, resources: DictionaryObject, copy: "_Copy") -> bytes:
    """Draw what annotations and form fields look like, as a reader shows them."""
    found = open_up(annotations)
    if not isinstance(found, list) or not found:
        return b""
    forms = resources.setdefault(NameObject("/XObject"), DictionaryObject())
    lines = []
    for number, reference in enumerate(found[:MOST_ANNOTATIONS]):
        note = open_up(reference)
        if not isinstance(note, dict):
            continue
        if (
            int(number_of(note.get("/F"), 0)) & HIDDEN
            or open_up(note.get("/Subtype")) == "/Popup"
        ):
            continue
        look = _look(note)
        place = rectangle_of(note.get("/Rect"))
        matrix = None if look is None or place is None else fitting(look, place)
        if look is None or matrix is None:
            continue
        name = f"/Shown{number}"
        forms[NameObject(name)] = copy.thing(look, 0)
        numbers = " ".join(f"{value:.5f}" for value in matrix)
        lines.append(f"q {numbers} cm {name} Do Q\n")
    return "".join(lines).encode("ascii")


def _look(note: dict[str, Any]) -> StreamObject | None:
    looks = open_up(note.get("/AP"))
    normal = open_up(looks.get("/N")) if isinstance(looks, dict) else None
    if isinstance(normal, dict) and not isinstance(normal, StreamObject):
        normal = open_up(normal.get(str(open_up(note.get("/AS")))))
    return normal if isinstance(normal, StreamObject) else None


class _Copy:
    """A new PDF, and what of the foreign one is in it already."""

    def __init__(self) -> None:
        self.writer = PdfWriter()
        self._made: dict[tuple[int, int], Any] = {}
        self._open: set[tuple[int, int]] = set()
        self._objects = 0
        self._unpacked = 0

    def resources(self, thing: Any, deep: int = 0) -> DictionaryObject:
        """Copy a resource dictionary: the maps of what draws, each by its names."""
        found = open_up(thing)
        made = DictionaryObject()
        if not isinstance(found, dict):
            return made
        for kind in sorted(_MAPS & set(found)):
            named = open_up(found[kind])
            if not isinstance(named, dict):
                continue
            made[NameObject(kind)] = self._map(named, deep)
        return made

    def _map(self, named: dict[str, Any], deep: int) -> DictionaryObject:
        """Copy things by their names, which may be any word at all."""
        made = DictionaryObject()
        for name in sorted(named):
            value = self.thing(_raw(named, name), deep + 1)
            if not isinstance(value, NullObject):
                made[NameObject(name)] = value
        return made

    def thing(self, thing: Any, deep: int) -> Any:
        """Copy one object with what it points to; nothing for what does not draw."""
        self._objects += 1
        if self._objects > MOST_OBJECTS:
            raise UnfitError("TooManyObjects")
        if deep > MOST_DEEP:
            raise UnfitError("TooDeep")
        if isinstance(thing, IndirectObject):
            return self._pointed_to(thing, deep)
        if isinstance(thing, StreamObject):
            return self.writer._add_object(self._stream(thing, deep))  # noqa: SLF001
        if isinstance(thing, dict):
            return self._dictionary(thing, deep)
        if isinstance(thing, list):
            return ArrayObject(self.thing(one, deep + 1) for one in thing)
        return thing if isinstance(thing, _PLAIN + _TEXTS) else NullObject()

    def _pointed_to(self, thing: IndirectObject, deep: int) -> Any:
        key = (thing.idnum, thing.generation)
        if key in self._made:
            return self._made[key]
        if key in self._open:  # it draws itself: a loop draws nothing more
            return NullObject()
        self._open.add(key)
        made = self.thing(open_up(thing), deep + 1)
        if isinstance(made, DictionaryObject | ArrayObject):
            made = self.writer._add_object(made)  # noqa: SLF001
        self._made[key] = made
        self._open.discard(key)
        return made

    def _dictionary(self, found: dict[str, Any], deep: int) -> DictionaryObject:
        made = DictionaryObject()
        for name in sorted(found):
            if name in _DROPPED:
                continue
            raw = _raw(found, name)
            value: Any
            if name == "/Resources":
                value = self.resources(raw, deep + 1)
            elif name in {"/CharProcs", "/Colorants"}:
                inner = open_up(raw)
                value = self._map(inner, deep) if isinstance(inner, dict) else None
            else:
                value = self.thing(raw, deep + 1)
            if value is not None:
                made[NameObject(name)] = value
        return made

    def _stream(self, found: StreamObject, deep: int) -> StreamObject:
        kind = open_up(found.get("/Subtype"))
        if kind == "/PS" or "/F" in found:  # a program, or bytes of another file
            raise UnfitError("OtherFile")
        self.unpacked(found)
        keys = {"/Image": _IMAGE, "/Form": _FORM}.get(str(kind))
        kept = DictionaryObject()
        for name in found:
            if name != "/Length" and (keys is None or name in keys):
                kept[NameObject(name)] = _raw(found, name)
        made = EncodedStreamObject()
        made.update(self._dictionary(kept, deep))
        made._data = found._data  # noqa: SLF001 - packed as it came
        return made

    def unpacked(self, stream: StreamObject) -> bytes:
        """Return a stream's bytes; raise UnfitError where all are far too many.

        Pictures are measured by what they say of themselves, and not unpacked.
        """
        names = filters_of(stream)
        if not set(names) <= _KNOWN_FILTERS:
            raise UnfitError("OtherFilter")
        if open_up(stream.get("/Subtype")) == "/Image":
            self._check_picture(stream)
            return b"" if not set(names) & _FLATE else self._unpack(stream, names)
        return self._unpack(stream, names)

    def _unpack(self, stream: StreamObject, names: list[str]) -> bytes:
        room = MOST_UNPACKED - self._unpacked
        if names and names[0] in _FLATE:
            packed = stream._data  # noqa: SLF001
            if len(zlib.decompressobj().decompress(packed, room + 1)) > room:
                raise UnfitError("TooLarge")
        if len(names) > 1 and names[-1] not in _FLATE and stream.get("/Subtype"):
            return b""
        if len(names) > 2:
            raise UnfitError("OtherFilter")
        data = stream.get_data() if names else stream._data  # noqa: SLF001
        self._unpacked += len(data)
        if self._unpacked > MOST_UNPACKED:
            raise UnfitError("TooLarge")
        return data

    def _check_picture(self, stream: StreamObject) -> None:
        wide, high = (
            number_of(stream.get("/Width"), 0),
            number_of(stream.get("/Height"), 0),
        )
        if wide < 1 or high < 1 or wide * high > MOST_PIXELS:
            raise UnfitError("TooManyPixels")


def _raw(found: dict[str, Any], name: str) -> Any:
    """Return a value as it is written: a reference stays one."""
    return dict.__getitem__(found, name)
