"""A list as a sheet of typed cells: what a CSV, a workbook and a page all print.

Money is integer cents with a currency; a total is summed here, once, so that every
form of the list shows the same.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, Literal, TypeVar

Kind = Literal["text", "cents", "day", "count"]
Cell = str | int | date | None
Row = TypeVar("Row")


@dataclass(frozen=True)
class Column(Generic[Row]):
    """One column: its heading, its kind, and how a row fills it.

    A "cents" column may be summed. ``read`` returns text, whole cents, a day, a
    count, or None for an empty cell.
    """

    heading: str
    kind: Kind
    read: Callable[[Row], Cell]
    is_summed: bool = False


@dataclass(frozen=True)
class Sheet:
    """A whole list: headings, kinds, rows of cells, and a total row a currency."""

    title: str
    headings: tuple[str, ...]
    kinds: tuple[Kind, ...]
    rows: tuple[tuple[Cell, ...], ...]
    totals: tuple[tuple[Cell, ...], ...]
    currencies: tuple[str, ...]


class SheetError(ValueError):
    """A cell that does not match its column's kind: a mistake in the code."""


_TYPES: dict[Kind, type | tuple[type, ...]] = {
    "text": str,
    "cents": int,
    "day": date,
    "count": int,
}


class Totals(Generic[Row]):
    """The sums of a list, separately for each currency, as its rows go by."""

    def __init__(self, columns: Sequence[Column[Row]]) -> None:
        self._columns = columns
        self._sums: dict[str, list[int]] = {}

    def add(self, cells: Sequence[Cell], currency: str) -> None:
        """Add one row; what has no currency is in no total."""
        if not currency:
            return
        sums = self._sums.setdefault(currency, [0] * len(self._columns))
        for place, (column, cell) in enumerate(zip(self._columns, cells, strict=True)):
            if column.is_summed and isinstance(cell, int):
                sums[place] += cell

    def rows(self) -> tuple[tuple[Cell, ...], ...]:
        """Return a total row a currency; none where no column is summed."""
        if not any(column.is_summed for column in self._columns):
            return ()
        return tuple(self._row(currency) for currency in sorted(self._sums))

    def _row(self, currency: str) -> tuple[Cell, ...]:
        cells: list[Cell] = []
        for place, column in enumerate(self._columns):
            if column.is_summed:
                cells.append(self._sums[currency][place])
            else:
                cells.append(f"Total {currency}" if place == 0 else None)
        return tuple(cells)


def make_sheet(
    title: str,
    columns: Sequence[Column[Row]],
    rows: Iterable[Row],
    *,
    currency_of: Callable[[Row], str],
) -> Sheet:
    """Fill the columns from the rows and sum them, separately for each currency.

    Raise SheetError for a cell of another kind than its column's.
    """
    filled: list[tuple[Cell, ...]] = []
    currencies: list[str] = []
    totals = Totals(columns)
    for row in rows:
        cells = cells_of(columns, row)
        filled.append(cells)
        currencies.append(currency_of(row))
        totals.add(cells, currencies[-1])
    return Sheet(
        title=title,
        headings=tuple(column.heading for column in columns),
        kinds=tuple(column.kind for column in columns),
        rows=tuple(filled),
        totals=totals.rows(),
        currencies=tuple(currencies),
    )


def cells_of(columns: Sequence[Column[Row]], row: Row) -> tuple[Cell, ...]:
    """Return the cells of one row. Raise SheetError for one of another kind."""
    return tuple(_checked(column, column.read(row)) for column in columns)


def _checked(column: Column[Row], cell: Cell) -> Cell:
    if cell is None or isinstance(cell, _TYPES[column.kind]):
        return cell
    raise SheetError(f"{column.heading} is {column.kind}, not {type(cell).__name__}.")
