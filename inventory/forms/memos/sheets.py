"""Reading an uploaded sheet, CSV or XLSX, into the lines of a memo."""

from django.core.files.uploadedfile import UploadedFile

from inventory.evidence.pictures import workbook_reader
from inventory.evidence.pictures.label_reader import BUSY
from inventory.rules.memos.files import (
    MOST_BYTES,
    MOST_COLUMNS,
    MOST_LINES,
    Reading,
    SheetError,
    decode_text,
    read_lines,
    split_rows,
)

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"

_BROKEN = (
    "The workbook cannot be read. Nothing was saved. Save it again as XLSX or as "
    '"CSV UTF-8" and choose it again.'
)
_TROUBLES = {
    workbook_reader.TOO_LARGE: (
        "The workbook is far larger inside than it looks. Nothing was saved. Save "
        'only the memo\'s own sheet, or as "CSV UTF-8".'
    ),
    workbook_reader.LOCKED: (
        "The workbook is locked with a password. Nothing was saved. Save it without "
        "one and choose it again."
    ),
    BUSY: (
        "Another workbook is being read right now. Nothing was saved. Wait a minute "
        "and choose the file again."
    ),
}


def read_memo_file(upload: "UploadedFile[bytes]", currency: str) -> Reading:
    """Return the lines of a memo's file, or its problems row by row.

    Raise SheetError where it is no sheet at all.
    """
    if upload.size is None or upload.size > MOST_BYTES:
        raise SheetError(
            "The file is larger than 2 MB. Nothing was saved. Split it in two."
        )
    upload.seek(0)
    data = upload.read()
    if data.startswith(_OLD_WORKBOOK):
        raise SheetError(
            "This is a workbook of the old XLS kind, or one locked with a password. "
            "Nothing was saved. Save it as XLSX without a password and choose it again."
        )
    if data.startswith(_ZIP):
        return read_lines(_workbook_rows(data), currency=currency)
    rows, separator = split_rows(decode_text(data))
    return read_lines(rows, separator=separator, currency=currency)


def _workbook_rows(data: bytes) -> tuple[tuple[str, ...], ...]:
    # The header and one line too many, so that too many lines are seen.
    found = workbook_reader.read_workbook(
        data, rows=MOST_LINES + 2, columns=MOST_COLUMNS
    )
    if found.trouble:
        raise SheetError(_TROUBLES.get(found.trouble, _BROKEN))
    return found.rows
