"""Files attached to a finished PDF: named, typed, and the same bytes every time."""

from collections.abc import Sequence
from dataclasses import dataclass

from pypdf import PdfWriter
from pypdf.generic import ArrayObject, NameObject, NumberObject, TextStringObject


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


def attach(writer: PdfWriter, attachments: Sequence[Attachment]) -> None:
    """Attach these files, uncompressed so that they are found.

    Nothing is dated and the file's identifier stays, so the same input returns the
    same bytes.
    """
    if not attachments:
        return
    writer.pdf_header = "%PDF-1.7"
    related = ArrayObject()
    for one in attachments:
        embedded = writer.add_attachment(one.name, one.data)
        embedded.alternative_name = TextStringObject(one.name)
        embedded.description = TextStringObject(one.description)
        embedded.associated_file_relationship = NameObject(one.relation)
        embedded.subtype = NameObject("/" + one.media_type)
        embedded.size = NumberObject(len(one.data))
        related.append(embedded.pdf_object.indirect_reference)
    writer.root_object[NameObject("/AF")] = related
