"""A sheet as CSV and as a workbook: typed cells, and text that stays text.

A cell of text that a spreadsheet would take for a formula gets an apostrophe in CSV
(OWASP, CSV injection) and is written as a string in the workbook. Numbers are never
touched: a credit of -12.50 stays a number.
"""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, TypeVar

from inventory.rules.core.sheets import Cell, Column, Kind, Sheet, Totals, cells_of
from inventory.rules.core.text import clean_text
from inventory.rules.reckoning.money import minor_digits, plain_cents, to_decimal

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

Row = TypeVar("Row")

FORMULA_MARKS = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "\n",
    "\uff1d",
    "\uff0b",
    "\uff0d",
    "\uff20",
)
"""Characters that a spreadsheet may read as the start of a formula; wide forms too."""

WIDTHS: dict[Kind, int] = {"text": 28, "cents": 14, "day": 12, "count": 9}


def csv_bytes(sheet: Sheet) -> bytes:
    """Return the sheet as CSV (RFC 4180), UTF-8 with a byte order mark."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([safe_text(heading) for heading in sheet.headings])
    for cells, currency in zip(sheet.rows, sheet.currencies, strict=True):
        writer.writerow(_texts(cells, sheet.kinds, currency))
    for cells in sheet.totals:
        writer.writerow(_texts(cells, sheet.kinds, _currency_of(cells)))
    return out.getvalue().encode("utf-8-sig")


def csv_pieces(
    columns: Sequence[Column[Row]],
    rows: Iterable[Row],
    *,
    currency_of: Callable[[Row], str],
) -> Iterator[bytes]:
    """Yield a long list as the same CSV, a row at a time, with its totals at the end."""
    kinds = tuple(column.kind for column in columns)
    totals = Totals(columns)
    yield _row([safe_text(column.heading) for column in columns], "utf-8-sig")
    for row in rows:
        cells, currency = cells_of(columns, row), currency_of(row)
        totals.add(cells, currency)
        yield _row(_texts(cells, kinds, currency))
    for cells in totals.rows():
        yield _row(_texts(cells, kinds, _currency_of(cells)))


def _row(texts: Sequence[str], encoding: str = "utf-8") -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerow(texts)
    return out.getvalue().encode(encoding)


def safe_text(text: str) -> str:
    """Return text that no spreadsheet runs: an apostrophe before a formula character."""
    plain = clean_text(text)
    return f"'{plain}" if plain.lstrip(" \u00a0").startswith(FORMULA_MARKS) else plain


def xlsx_bytes(sheet: Sheet, *, made_on: date) -> bytes:
    """Return the sheet as a workbook of one page; the same sheet, the same bytes."""
    from xlsxwriter import Workbook  # noqa: PLC0415 - slow to import

    out = io.BytesIO()
    book = Workbook(out, _NOTHING_GUESSED)
    moment = datetime(made_on.year, made_on.month, made_on.day)  # noqa: DTZ001 - a day
    book.set_properties({"title": sheet.title, "created": moment})
    page = _Page(book, sheet)
    for cells, currency in zip(sheet.rows, sheet.currencies, strict=True):
        page.write_row(cells, currency)
    for cells in sheet.totals:
        page.write_row(cells, _currency_of(cells))
    book.close()
    return out.getvalue()


_NOTHING_GUESSED = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_numbers": False,
    "strings_to_urls": False,
}


class _Page:
    """One page of a workbook, filled from the top, a row at a time."""

    def __init__(self, book: "Workbook", sheet: Sheet) -> None:
        self._book = book
        self._kinds = sheet.kinds
        self._line = 1
        self._money: dict[int, Format] = {}
        self._day = book.add_format({"num_format": "yyyy-mm-dd"})
        self._count = book.add_format({"num_format": "#,##0"})
        self._page: Worksheet = book.add_worksheet(_page_name(sheet.title))
        bold = book.add_format({"bold": True})
        for place, heading in enumerate(sheet.headings):
            self._page.write_string(0, place, heading, bold)
            self._page.set_column(place, place, WIDTHS[sheet.kinds[place]])
        self._page.freeze_panes(1, 0)
        if sheet.rows:
            self._page.autofilter(0, 0, len(sheet.rows), len(sheet.headings) - 1)

    def write_row(self, cells: tuple[Cell, ...], currency: str) -> None:
        """Write the next row; money with the digits of its currency."""
        for place, cell in enumerate(cells):
            if cell is not None:
                self._write(place, cell, currency)
        self._line += 1

    def _write(self, place: int, cell: str | int | date, currency: str) -> None:
        at = (self._line, place)
        if isinstance(cell, str):
            self._page.write_string(*at, clean_text(cell)[:32_000])
        elif isinstance(cell, date):
            moment = datetime(cell.year, cell.month, cell.day)  # noqa: DTZ001 - a day
            self._page.write_datetime(*at, moment, self._day)
        elif self._kinds[place] == "cents":
            amount = to_decimal(cell, currency)
            self._page.write_number(*at, amount, self._money_format(currency))
        else:
            self._page.write_number(*at, cell, self._count)

    def _money_format(self, currency: str) -> "Format":
        digits = max(2, minor_digits(currency))
        if digits not in self._money:
            shape = "#,##0." + "0" * digits
            self._money[digits] = self._book.add_format({"num_format": shape})
        return self._money[digits]


def _texts(
    cells: tuple[Cell, ...], kinds: tuple[Kind, ...], currency: str
) -> list[str]:
    return [
        _text(cell, kind, currency) for cell, kind in zip(cells, kinds, strict=True)
    ]


def _text(cell: Cell, kind: Kind, currency: str) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return safe_text(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    return plain_cents(cell, currency) if kind == "cents" else str(cell)


def _currency_of(total: tuple[Cell, ...]) -> str:
    """Return the currency a total row names in its first cell."""
    return str(total[0]).removeprefix("Total ")


def _page_name(title: str) -> str:
    """Return a name a workbook allows: short, without the characters it refuses."""
    return "".join(mark for mark in title if mark not in "[]:*?/\\'")[:31] or "List"
