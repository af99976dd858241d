"""Reading an uploaded sheet, CSV or XLSX, into rows of text."""

from collections.abc import Sequence

from django import forms
from django.core.files.uploadedfile import UploadedFile

from inventory.evidence.pictures import workbook_reader
from inventory.evidence.pictures.label_reader import BUSY
from inventory.rules.core.table_files import (
    MOST_BYTES,
    MOST_COLUMNS,
    MOST_LINES,
    SheetError,
    decode_text,
    split_rows,
)

Table = Sequence[Sequence[str]]

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"

_BROKEN = (
    "The workbook cannot be read. Nothing was saved. Save it again as XLSX or as "
    '"CSV UTF-8" and choose it again.'
)
SHEET_TYPES = (
    ".csv,.xlsx,text/csv,"
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
)
"""The files that a browser offers to choose."""

_TROUBLES = {
    workbook_reader.TOO_LARGE: (
        "The workbook is far larger inside than it looks. Nothing was saved. Save "
        'only the one sheet, or as "CSV UTF-8".'
    ),
    workbook_reader.FORMULA: (
        "The sheet holds formulas. Nothing was saved. Paste it as values into a new "
        'workbook, or save it as "CSV UTF-8", and choose that file.'
    ),
    workbook_reader.SHEETS: (
        "The workbook has more than one sheet with something on it. Nothing was saved. "
        "Save the list's own sheet as a workbook of its own, and choose that file."
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


def read_table(upload: "UploadedFile[bytes]") -> tuple[Table, str]:
    """Return the rows of an uploaded table, and what separates its cells.

    Raise SheetError where it is no sheet at all.
    """
    return table_of(bytes_of(upload))


def bytes_of(upload: "UploadedFile[bytes]") -> bytes:
    """Return the bytes of an upload. Raise SheetError where they are too many."""
    if upload.size is None or upload.size > MOST_BYTES:
        raise SheetError(
            "The file is larger than 2 MB. Nothing was saved. Split it in two."
        )
    upload.seek(0)
    data: bytes = upload.read()
    return data


def table_of(data: bytes, *, is_strict: bool = False) -> tuple[Table, str]:
    """Return the rows of a table file's bytes, and what separates its cells.

    A strict reading refuses formulas, and a workbook of which two sheets count.
    """
    if data.startswith(_OLD_WORKBOOK):
        raise SheetError(
            "This is a workbook of the old XLS kind, or one locked with a password. "
            "Nothing was saved. Save it as XLSX without a password and choose it again."
        )
    if data.startswith(_ZIP):
        return _workbook_rows(data, is_strict=is_strict), ","
    return split_rows(decode_text(data))


def _workbook_rows(data: bytes, *, is_strict: bool) -> tuple[tuple[str, ...], ...]:
    # The header and one line too many, so that too many lines are seen.
    found = workbook_reader.read_workbook(
        data, rows=MOST_LINES + 2, columns=MOST_COLUMNS, is_strict=is_strict
    )
    if found.trouble:
        raise SheetError(_TROUBLES.get(found.trouble, _BROKEN))
    return found.rows


class SheetField(forms.FileField):
    """A CSV or XLSX file to choose. A browser never keeps it: it is asked for again."""

    def __init__(self, *, label: str, help_text: str) -> None:
        super().__init__(
            label=label,
            help_text=help_text,
            allow_empty_file=True,
            max_length=255,
            widget=forms.ClearableFileInput(attrs={"accept": SHEET_TYPES}),
            error_messages={
                "required": "Choose the file again: a browser does not keep it.",
                "invalid": "Choose the file again.",
                "max_length": "The file name is too long. Shorten it and choose the "
                "file again.",
            },
        )
