"""Files attached to a PDF: named, typed, and the same bytes every time."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfbase.pdfdoc import PDFDocument

from inventory.documents.core.written import Raw, number_of, stream


@dataclass(frozen=True)
class Attachment:
    """One file: ``relation`` says what it is to the document (ISO 32000-2, 7.11.3).

    One of "/Data", "/Supplement", "/Source", "/Alternative", "/Unspecified".
    """

    name: str
    media_type: str
    relation: str
    description: str
    data: bytes


def attach(document: PDFDocument, attachments: Sequence[Attachment]) -> None:
    """Attach these files, uncompressed so that they are found.

    Nothing is dated, so the same input returns the same bytes.
    """
    if not attachments:
        return
    document._pdfVersion = max(document._pdfVersion, (1, 7))  # noqa: SLF001 - as ReportLab does
    files = [(_text(one.name), _file(document, one)) for one in attachments]
    names = b" ".join(b" ".join(pair) for pair in sorted(files))
    catalog = document.Catalog
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "AF"]
    catalog.AF = Raw(b"[ " + b" ".join(number for _, number in files) + b" ]")
    catalog.Names = Raw(b"<< /EmbeddedFiles << /Names [ " + names + b" ] >> >>")


def _file(document: PDFDocument, one: Attachment) -> bytes:
    """Put the file and what is said of it into the document (ISO 32000-1, 7.11.4)."""
    size = len(one.data)
    kind = one.media_type.replace("/", "#2F").encode("ascii")
    entries = b"/Type /EmbeddedFile /Subtype /%b /Params << /Size %d >>" % (kind, size)
    data = number_of(document, Raw(stream(entries, one.data)))
    told = (
        b"<< /Type /Filespec /F %b /UF %b /Desc %b /AFRelationship %b "
        b"/EF << /F %b /UF %b >> >>"
    ) % (
        _text(one.name),
        _text(one.name),
        _text(one.description),
        one.relation.encode("ascii"),
        data,
        data,
    )
    return number_of(document, Raw(told))


def _text(words: str) -> bytes:
    """Return a text of a PDF; in UTF-16 where it is not ASCII (ISO 32000-1, 7.9.2.2)."""
    if words.isascii():
        for mark in "\\()":
            words = words.replace(mark, f"\\{mark}")
        return b"(" + words.encode("ascii") + b")"
    return b"<" + (b"\xfe\xff" + words.encode("utf-16-be")).hex().encode() + b">"
