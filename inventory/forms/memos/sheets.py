"""Reading an uploaded sheet, CSV or XLSX, into rows of text; nothing is run in it."""

import zipfile
import zlib
from collections.abc import Sequence
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import UploadedFile

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
_MOST_UNPACKED = 50 * 1024 * 1024
_MOST_PARTS = 1_000
_MOST_CELL = 500

_BROKEN = (
    "The workbook cannot be read. Nothing was saved. Save it again as XLSX or as "
    '"CSV UTF-8" and choose it anew.'
)


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
            "This is a workbook of the old XLS kind. Nothing was saved. Save it as "
            "XLSX and choose it again."
        )
    if data.startswith(_ZIP):
        return read_lines(_workbook_rows(data), currency=currency)
    rows, separator = split_rows(decode_text(data))
    return read_lines(rows, separator=separator, currency=currency)


def _workbook_rows(data: bytes) -> list[list[str]]:
    """Return the first sheet's rows, as stored: formulas give their last result."""
    from openpyxl import load_workbook  # noqa: PLC0415 - slow to import
    from openpyxl.utils.exceptions import InvalidFileException  # noqa: PLC0415 - slow to import

    _check_size(data)
    try:
        book = load_workbook(BytesIO(data), read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            return _rows(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True))
        finally:
            book.close()
    except (InvalidFileException, *_TROUBLE) as error:
        raise SheetError(_BROKEN) from error


_TROUBLE = (
    zipfile.BadZipFile,
    AttributeError,
    EOFError,
    IndexError,
    KeyError,
    NotImplementedError,
    OSError,
    OverflowError,
    SyntaxError,
    TypeError,
    ValueError,
    zipfile.LargeZipFile,
    zlib.error,
)
"""What the reader raises on a crooked workbook, besides its own error.

XML that is broken is a SyntaxError; what defusedxml refuses in it, a ValueError.
"""


def _check_size(data: bytes) -> None:
    try:
        parts = zipfile.ZipFile(BytesIO(data)).infolist()
    except (zipfile.BadZipFile, ValueError, OSError) as error:
        raise SheetError(_BROKEN) from error
    whole = sum(part.file_size for part in parts)
    if len(parts) > _MOST_PARTS or whole > _MOST_UNPACKED:
        raise SheetError(
            "The workbook is far larger inside than it looks. Nothing was saved. Save "
            'only the memo\'s own sheet, or as "CSV UTF-8".'
        )


def _rows(found: Any) -> list[list[str]]:
    rows: list[list[str]] = []
    for row in found:
        rows.append(_cells(row))
        if len(rows) > MOST_LINES + 1:
            break
    return rows


def _cells(row: Sequence[object]) -> list[str]:
    return [_text(cell) for cell in row[:MOST_COLUMNS]]


def _text(cell: object) -> str:
    """Return a cell as text: a number as it is shown, never in powers of ten."""
    if cell is None or isinstance(cell, bool):
        return ""
    if isinstance(cell, float):
        # Workbooks keep every number as a float; its shortest form is what was typed.
        exact = Decimal(repr(cell))
        return f"{exact:f}"[:_MOST_CELL] if exact.is_finite() else "no number"
    return str(cell)[:_MOST_CELL]
