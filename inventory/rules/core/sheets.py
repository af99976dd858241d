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
    for row in rows:
        filled.append(tuple(_checked(column, column.read(row)) for column in columns))
        currencies.append(currency_of(row))
    return Sheet(
        title=title,
        headings=tuple(column.heading for column in columns),
        kinds=tuple(column.kind for column in columns),
        rows=tuple(filled),
        totals=_totals(columns, filled, currencies),
        currencies=tuple(currencies),
    )


def _checked(column: Column[Row], cell: Cell) -> Cell:
    if cell is None or isinstance(cell, _TYPES[column.kind]):
        return cell
    raise SheetError(f"{column.heading} is {column.kind}, not {type(cell).__name__}.")


def _totals(
    columns: Sequence[Column[Row]],
    rows: Sequence[tuple[Cell, ...]],
    currencies: Sequence[str],
) -> tuple[tuple[Cell, ...], ...]:
    if not any(column.is_summed for column in columns):
        return ()
    return tuple(
        _total(columns, rows, currencies, currency)
        for currency in sorted(set(currencies) - {""})
    )


def _total(
    columns: Sequence[Column[Row]],
    rows: Sequence[tuple[Cell, ...]],
    currencies: Sequence[str],
    currency: str,
) -> tuple[Cell, ...]:
    own = [row for row, said in zip(rows, currencies, strict=True) if said == currency]
    cells: list[Cell] = []
    for place, column in enumerate(columns):
        if column.is_summed:
            found = (row[place] for row in own)
            cells.append(sum(cell for cell in found if isinstance(cell, int)))
        else:
            cells.append(f"Total {currency}" if place == 0 else None)
    return tuple(cells)
