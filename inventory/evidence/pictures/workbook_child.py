"""Runs alone, in a child process: reads the first sheet of one uploaded workbook.

Standard input is the workbook; the arguments are the most rows, columns and
characters of a cell, and "strict" where formulas and a second sheet are refused. Standard output is one line of JSON. The child gives itself
limits before it opens anything: memory, processor time, and no new file or socket at
all. It knows nothing of Django.
"""

import encodings.cp437
import encodings.idna
import encodings.utf_8_sig
import encodings.utf_16
import io
import json
import resource
import sys
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from openpyxl import Workbook, load_workbook

MOST_UNPACKED = 50 * 1024 * 1024
MOST_PARTS = 1_000
MEMORY = 700_000_000
SECONDS = 10
PIECE = 64 * 1024

TOO_LARGE = "TooLarge"
LOCKED = "Locked"
FORMULA = "Formula"
SHEETS = "Sheets"

_PLAIN_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_IS_ENCRYPTED = 0x1

_NEEDED_LATER = (
    encodings.cp437,
    encodings.idna,
    encodings.utf_8_sig,
    encodings.utf_16,
)
"""Loaded beforehand: once limited, the child can open no file of Python's own."""


@dataclass(frozen=True)
class Limits:
    """How much of a sheet is read, and whether it must be the only one, of values."""

    rows: int
    columns: int
    cell: int
    is_strict: bool = False


class UnfitError(Exception):
    """A workbook that is refused before it is opened; the message is a code."""


def main() -> None:
    """Read, limit, open, answer."""
    data = sys.stdin.buffer.read()
    rows, columns, cell = (int(number) for number in sys.argv[1:4])
    limits = Limits(rows, columns, cell, is_strict=sys.argv[4:] == ["strict"])
    warnings.simplefilter("ignore")  # openpyxl warns of what it leaves out
    _limit()
    sys.stdout.buffer.write(json.dumps(answer(data, limits)).encode() + b"\n")
    sys.stdout.buffer.flush()


def answer(data: bytes, limits: Limits) -> dict[str, object]:
    """Return the rows, or the name of what went wrong."""
    try:
        check(data)
        return {"rows": list(_rows(data, limits))}
    except UnfitError as error:
        return {"error": str(error)}
    except Exception as error:  # noqa: BLE001 - a hostile file may raise anything
        return {"error": type(error).__name__}


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_NOFILE, (0, 0))


def check(data: bytes) -> None:
    """Raise UnfitError for a workbook that is locked or far larger than it looks.

    Every part is unpacked once, piece by piece: what its header says of its size is
    not believed. A part that does not add up raises BadZipFile.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = archive.infolist()
        if any(part.flag_bits & _IS_ENCRYPTED for part in parts):
            raise UnfitError(LOCKED)
        said = sum(part.file_size for part in parts)
        if len(parts) > MOST_PARTS or said > MOST_UNPACKED:
            raise UnfitError(TOO_LARGE)
        for part in parts:
            if part.compress_type not in _PLAIN_METHODS:
                raise zipfile.BadZipFile
            with archive.open(part) as opened:
                while opened.read(PIECE):
                    pass


def _rows(data: bytes, limits: Limits) -> Iterator[list[str]]:
    values = not limits.is_strict
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=values)
    try:
        sheet = book.worksheets[0]
        if limits.is_strict:
            _check_sheets(book, limits)
        found: Iterable[Sequence[object]] = sheet.iter_rows(
            max_row=limits.rows, max_col=limits.columns, values_only=True
        )
        for row in found:
            yield [_text(cell, limits.cell) for cell in row[: limits.columns]]
    finally:
        book.close()


def _check_sheets(book: Workbook, limits: Limits) -> None:
    """Raise UnfitError for a formula, and for more than one sheet that holds anything."""
    for place, sheet in enumerate(book.worksheets):
        rows = sheet.iter_rows(max_row=limits.rows, max_col=limits.columns)
        for cell in (cell for row in rows for cell in row):
            if cell.value is None:
                continue
            if place:
                raise UnfitError(SHEETS)
            if cell.data_type == "f":
                raise UnfitError(FORMULA)


def _text(cell: object, most: int) -> str:
    """Return a cell as text: a number as it is shown, never in powers of ten."""
    if cell is None or isinstance(cell, bool):
        return ""
    if isinstance(cell, float):
        # Workbooks keep every number as a float; its shortest form is what was typed.
        exact = Decimal(repr(cell))
        return f"{exact:f}"[:most] if exact.is_finite() else "no number"
    return str(cell)[:most]


if __name__ == "__main__":
    main()
