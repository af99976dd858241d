"""A small table inside a letter's text: one line a row.

A paragraph is a table where each of its lines starts with "| ", or "|= " for a sum. Its
first line is the head. The PDF sets it ruled; a mail spells it out row by row.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_ROW, _SUM = "| ", "|= "


@dataclass(frozen=True)
class LetterTable:
    """The cells of a table; ``sums`` are the indexes of the rows that are sums."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    sums: frozenset[int]


def table_text(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    sums: Iterable[Sequence[str]] = (),
) -> str:
    """Return a table as a paragraph: its head, its rows, and the sums at its end."""
    lines = [_ROW + _line(heads)]
    lines += [_ROW + _line(row) for row in rows]
    lines += [_SUM + _line(row) for row in sums]
    return "\n".join(lines)


def read_table(paragraph: str) -> LetterTable | None:
    """Return the table that a paragraph is; None where it is none.

    Rows of another length than the head are text that only looks like a table.
    """
    lines = paragraph.split("\n")
    if len(lines) < 2 or not lines[0].startswith(_ROW):
        return None
    if not all(line.startswith((_ROW, _SUM)) for line in lines):
        return None
    heads, *rows = [_cells(line) for line in lines]
    if any(len(row) != len(heads) for row in rows):
        return None
    sums = (place for place, line in enumerate(lines[1:]) if line.startswith(_SUM))
    return LetterTable(heads, tuple(rows), frozenset(sums))


def spelled_out(paragraph: str) -> str:
    """Return a table row by row, each amount with its head, as a mail can show it.

    Text that is no table stays as it is.
    """
    table = read_table(paragraph)
    if table is None:
        return paragraph
    return "\n".join(_spelled(table.heads, row) for row in table.rows)


def _spelled(heads: Sequence[str], row: Sequence[str]) -> str:
    """Return "Line 1" or a sum's own words, then what stands in the other columns."""
    pairs = [(head, cell) for head, cell in zip(heads, row, strict=True) if cell]
    (head, first), *rest = pairs or [("", "")]
    if first.isdigit():
        first = f"{head} {first}"
    elif len(rest) == 1:
        return f"{first}: {rest[0][1]}"
    return "\n".join([first, *(f"  {name}: {cell}" for name, cell in rest)])


def _line(cells: Sequence[str]) -> str:
    return " | ".join(" ".join(cell.replace("|", "/").split()) for cell in cells)


def _cells(line: str) -> tuple[str, ...]:
    start = _SUM if line.startswith(_SUM) else _ROW
    return tuple(cell.strip() for cell in line.removeprefix(start).split(" | "))
