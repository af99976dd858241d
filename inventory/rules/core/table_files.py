"""A table in an uploaded text file: its characters, its separator, its rows."""

import csv
from dataclasses import dataclass

MOST_LINES = 5_000
MOST_BYTES = 2 * 1024 * 1024
MOST_COLUMNS = 50


class SheetError(ValueError):
    """A file cannot be read as a sheet at all; the message is one sentence."""


@dataclass(frozen=True)
class Problem:
    """One problem in one row of the file; row 1 is the header."""

    row: int
    reason: str


def decode_text(data: bytes) -> str:
    """Return the text of a CSV file: UTF-8, with or without a mark, or UTF-16.

    Raise SheetError for another encoding.
    """
    encoding = "utf-8-sig"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        raise SheetError(
            "The file is neither UTF-8 nor UTF-16: no text that can be read here. "
            'Nothing was imported. Save the list as "CSV UTF-8" or as XLSX and choose it '
            "again."
        ) from None
    if "\0" in text:
        raise SheetError(
            "The file holds bytes that are not text. Nothing was imported. Save it "
            'as "CSV UTF-8" or as XLSX and choose it again.'
        )
    return text


def split_rows(text: str) -> tuple[list[list[str]], str]:
    """Return the rows of a CSV text and its separator: comma, semicolon or tab.

    Reading stops one row after the most lines. Raise SheetError for broken quotes.
    """
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = plain.rstrip("\n").split("\n")
    head = lines[0]
    separator = max(",;\t", key=head.count)
    rows: list[list[str]] = []
    try:
        ended = (f"{line}\n" for line in lines)
        reader = csv.reader(ended, delimiter=separator, strict=True)
        for row in reader:
            rows.append(row[:MOST_COLUMNS])
            if len(rows) > MOST_LINES + 1:
                break
    except csv.Error:
        raise SheetError(
            f"Row {len(rows) + 1} has a quotation mark that is never closed, or a "
            "cell that is too long. Nothing was imported. Mend that row and choose the "
            "file again."
        ) from None
    return rows, separator
