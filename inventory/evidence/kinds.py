"""What a file is, by its content. Its name and what the browser says are ignored."""

import struct

ALLOWED = "JPEG, PNG, WebP or HEIC photos, and PDF documents"

PNG_PIXELS = 100_000_000
"""A PNG with more pixels than this is refused by its header."""

_HEIC_BRANDS = {b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1"}


class NotAllowedError(Exception):
    """A file we do not take; the message can be shown."""


def media_type_of(head: bytes) -> str:
    """Return the media type of a file that begins with these bytes.

    ``head`` is the first 64 bytes or more. Raises NotAllowedError with a sentence
    for an empty file, another kind of file, or a picture too large to open.
    """
    if not head:
        raise NotAllowedError(
            "The file is empty; nothing was saved. Take the photo again."
        )
    if head.startswith(b"\xff\xd8\xff") and len(head) > 3:
        return "image/jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        _check_png(head)
        return "image/png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return "image/heic"
    if head.startswith(b"%PDF-"):
        return "application/pdf"
    raise NotAllowedError(
        f"This is not a photo we can take. Nothing was saved. Send {ALLOWED}."
    )


def _check_png(head: bytes) -> None:
    if len(head) < 24 or head[12:16] != b"IHDR":
        raise NotAllowedError(
            "The picture is damaged: its header is cut off. Nothing was saved. "
            "Take the photo again."
        )
    width, height = struct.unpack(">II", head[16:24])
    if width == 0 or height == 0:
        raise NotAllowedError(
            "The picture has no size. Nothing was saved. Take the photo again."
        )
    if width * height > PNG_PIXELS:
        raise NotAllowedError(
            "The picture has too many pixels to open. Nothing was saved. Send it as "
            "a JPEG photo, or smaller."
        )
