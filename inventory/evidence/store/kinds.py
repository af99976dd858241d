"""What a file is, by its content. Its name and what the browser says are ignored."""

import struct
import zlib
from collections.abc import Callable
from typing import Protocol

ALLOWED = "JPEG, PNG, WebP or HEIC photos, and PDF documents"

HEAD = 64
"""So many of a file's first bytes tell what it is."""

PNG_PIXELS = 100_000_000
"""A PNG with more pixels than this is refused by its header."""

_HEIC_BRANDS = {b"heic", b"heix", b"hevc", b"heim", b"heis"}
_SHARED_BRANDS = {b"mif1", b"msf1"}
"""Brands of HEIC and of AVIF alike: the list of compatible brands tells which."""

_SCAN = 0xDA
"""The JPEG marker behind which the picture itself begins."""

PIECE, TAIL = 1 << 20, 1 << 12

_BOXES = {b"ftyp", b"meta", b"mdat", b"moov", b"free", b"idat"}


class Readable(Protocol):
    """A file that can be read from anywhere."""

    def seek(self, place: int, /) -> object:
        """Go to this byte."""

    def read(self, size: int, /) -> bytes:
        """Read at most so many bytes."""


class NotAllowedError(Exception):
    """A file we do not take; the message can be shown."""


class DamagedError(NotAllowedError):
    """A file of a kind we take, but empty, cut off, broken or too large to open."""


def media_type_of(head: bytes) -> str:
    """Return the media type of a file that begins with these bytes.

    ``head`` is the first 64 bytes or more. Raises DamagedError for an empty file or
    a picture that can never be opened, and NotAllowedError for another kind.
    """
    if len(head) < 4:
        raise DamagedError(
            "The file is empty; it was not saved. Take the photo again."
            if not head
            else "This is not a photo. It was not saved. Take it again."
        )
    if head.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        _check_png(head)
        return "image/png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    if head[4:8] == b"ftyp" and _is_heic(head):
        return "image/heic"
    if head.startswith(b"%PDF-"):
        return "application/pdf"
    raise NotAllowedError(
        f"This is not a photo we can take. It was not saved. Send {ALLOWED}."
    )


def check_whole(file: Readable, size: int, media_type: str) -> None:
    """Raise DamagedError for a photo whose end is missing.

    Only what each kind says of its own length or end is read, never the picture. What
    a phone appends behind the end, such as a second picture or a film, is left alone.
    """
    check = _ENDS.get(media_type)
    if check is not None and not check(file, size):
        raise DamagedError(
            "The photo is incomplete: its end is missing. It was not saved. Send it "
            "again, or take it again."
        )


def _jpeg_ends(file: Readable, size: int) -> bool:
    """Look for the end marker behind the headers (ITU-T T.81, B.1.1.3 and B.2.1).

    A header may hold a picture of its own, so each is passed over by its length.
    """
    place = 2
    while place < size:
        file.seek(place)
        head = file.read(4)
        if len(head) < 4 or head[0] != 0xFF:
            return False
        if head[1] == 0xFF:  # any number of these may stand before a marker
            place += 1
        elif head[1] == _SCAN:
            return _is_in(file, b"\xff\xd9", place, size)
        else:
            place += 2 + int.from_bytes(head[2:])
    return False


def _is_in(file: Readable, wanted: bytes, begin: int, size: int) -> bool:
    """Return whether the bytes come up from ``begin`` on; mostly they end the file."""
    file.seek(max(begin, size - TAIL))
    if wanted in file.read(TAIL):
        return True
    file.seek(begin)
    before = b""
    while piece := file.read(PIECE):
        if wanted in before + piece:
            return True
        before = piece[1 - len(wanted) :]
    return False


def _png_ends(file: Readable, size: int) -> bool:
    """Go from chunk to chunk to the last one (PNG, third edition, 5.3 and 11.2.5)."""
    place = len(b"\x89PNG\r\n\x1a\n")
    while place + 12 <= size:
        file.seek(place)
        head = file.read(8)
        place += 12 + int.from_bytes(head[:4])
        if head[4:] == b"IEND":
            return place <= size
    return False


def _webp_ends(file: Readable, size: int) -> bool:
    """Compare the length that the first chunk states (RFC 9649, 2.4)."""
    file.seek(4)
    return 8 + int.from_bytes(file.read(4), "little") <= size


def _heic_ends(file: Readable, size: int) -> bool:
    """Add up the lengths of the outermost boxes (ISO/IEC 14496-12, 4.2)."""
    place = 0
    while place < size:
        file.seek(place)
        length, name = _box(file.read(16))
        if name not in _BOXES or length == 0:
            return True
        place += length
    return place == size


_ENDS: dict[str, Callable[[Readable, int], bool]] = {
    "image/jpeg": _jpeg_ends,
    "image/png": _png_ends,
    "image/webp": _webp_ends,
    "image/heic": _heic_ends,
}


def _box(head: bytes) -> tuple[int, bytes]:
    """Return the length and the name of the box that begins here; 0 for to the end."""
    length = int.from_bytes(head[:4])
    if length == 1:
        length = int.from_bytes(head[8:16])
    return (length if length >= 8 else 0), head[4:8]


def _is_heic(head: bytes) -> bool:
    if head[8:12] in _HEIC_BRANDS:
        return True
    end = min(int.from_bytes(head[:4]), HEAD)
    compatible = {head[place : place + 4] for place in range(16, end - 3, 4)}
    return head[8:12] in _SHARED_BRANDS and b"avif" not in compatible


def _check_png(head: bytes) -> None:
    if len(head) < 33 or head[12:16] != b"IHDR":
        raise DamagedError(
            "The photo is damaged: its header is cut off. It was not saved. "
            "Take the photo again."
        )
    width, height = struct.unpack(">II", head[16:24])
    if width == 0 or height == 0:
        raise DamagedError(
            "The photo has no size. It was not saved. Take the photo again."
        )
    if width * height > PNG_PIXELS:
        raise DamagedError(
            "The photo has too many pixels to open. It was not saved. Send it as "
            "a JPEG photo, or smaller."
        )
    if zlib.crc32(head[12:29]) != int.from_bytes(head[29:33]):
        raise DamagedError(
            "The photo is damaged: its header does not add up. It was not saved. "
            "Send it again, or take it again."
        )
