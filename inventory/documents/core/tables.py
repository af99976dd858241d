"""Ruled tables of plain text: no markup, heights known, rows never cut in two.

Cells are strings, not Paragraphs: eleven times faster, and nothing in them can be
read as markup. A cell too tall for a page goes on in a further row.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, Table

from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG
from inventory.documents.core.text import lacking_note, printable, wrapped

SIZE = 8.8
TOTAL_SIZE = 9.2
LEADING = 11.4
PAD = 5.0
MOST_ROW_LINES = 30
_MOST_CELL = 6_000


@dataclass(frozen=True)
class Column:
    """A head, a share of the width, and how its cells stand."""

    head: str
    share: float
    right: bool = False
    strong: bool = False
    size: float = SIZE

    @property
    def font(self) -> str:
        """Return the face of this column."""
        return STRONG if self.strong else PLAIN


_FACTS = (
    Column("", 15),
    Column("", 35, strong=True),
    Column("", 15),
    Column("", 35, strong=True),
)


@dataclass(frozen=True)
class _Laid:
    """Rows in ReportLab's form: cells with line breaks, and their heights."""

    cells: list[list[str]]
    heights: list[float]
    opens: list[int]
    lacking: list[str]


def ruled_table(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    width: float,
    *,
    totals: frozenset[int] = frozenset(),
) -> list[Flowable]:
    """Return a table ``width`` points wide, its head repeated on each page.

    Without any head text there is no head row. ``totals`` are the indexes of rows
    ruled above and printed strong. A note follows for characters not printable.
    """
    widths = _widths(columns, width)
    laid = _lay(columns, rows, widths, totals)
    head = [column.head for column in columns]
    heads = 1 if any(head) else 0
    table = Table(
        [head, *laid.cells] if heads else laid.cells,
        colWidths=widths,
        rowHeights=[LEADING + PAD, *laid.heights] if heads else laid.heights,
        repeatRows=heads,
        hAlign="LEFT",
        spaceAfter=8,
        style=_commands(columns, laid, heads, totals),
    )
    return [table, *lacking_note(laid.lacking)]


def facts_table(rows: Sequence[Sequence[str]], width: float) -> list[Flowable]:
    """Return labels and values, two pairs a row, read down the left side first."""
    if not rows:
        return []
    half = (len(rows) + 1) // 2
    right = [*rows[half:], *[("", "")] * (half * 2 - len(rows))]
    pairs = [[*one, *other] for one, other in zip(rows[:half], right, strict=True)]
    return ruled_table(_FACTS, pairs, width)


def _widths(columns: Sequence[Column], width: float) -> list[float]:
    whole = sum(column.share for column in columns)
    return [width * column.share / whole for column in columns]


def _lay(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    widths: list[float],
    totals: frozenset[int],
) -> _Laid:
    laid = _Laid([], [], [], [])
    for index, row in enumerate(rows):
        lined = []
        for column, text, width in zip(columns, row, widths, strict=True):
            font, size = column.font, column.size
            if index in totals:
                font, size = STRONG, TOTAL_SIZE
            shown = printable(text, font, _MOST_CELL)
            laid.lacking.extend(shown.lacking)
            lined.append(wrapped(shown.text, font, size, width - 2 * PAD))
        laid.opens.append(len(laid.cells))
        _add_rows(laid, lined)
    return laid


def _add_rows(laid: _Laid, lined: list[list[str]]) -> None:
    tallest = max(len(lines) for lines in lined)
    for start in range(0, tallest, MOST_ROW_LINES):
        parts = [lines[start : start + MOST_ROW_LINES] for lines in lined]
        laid.cells.append(["\n".join(part) for part in parts])
        laid.heights.append(max(len(part) for part in parts) * LEADING + PAD)


def _commands(
    columns: Sequence[Column], laid: _Laid, heads: int, totals: frozenset[int]
) -> list[tuple[object, ...]]:
    made: list[tuple[object, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEADING", (0, 0), (-1, -1), LEADING),
        ("TEXTCOLOR", (0, 0), (-1, -1), styles.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), PAD),
        ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
        ("TOPPADDING", (0, 0), (-1, -1), PAD / 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), PAD / 2),
        ("LINEBELOW", (0, -1), (-1, -1), 0.8, styles.INK),
    ]
    for index, column in enumerate(columns):
        spot = (index, 0), (index, -1)
        made.append(("FONT", *spot, column.font, column.size, LEADING))
        made.append(("ALIGN", *spot, "RIGHT" if column.right else "LEFT"))
    for index in laid.opens[1:]:
        line = index + heads
        made.append(("LINEABOVE", (0, line), (-1, line), 0.4, styles.HAIR))
    return made + _head_commands(heads) + _total_commands(laid, heads, totals)


def _head_commands(heads: int) -> list[tuple[object, ...]]:
    if not heads:
        return [("LINEABOVE", (0, 0), (-1, 0), 0.8, styles.INK)]
    return [
        ("FONT", (0, 0), (-1, 0), STRONG, 8, LEADING),
        ("BACKGROUND", (0, 0), (-1, 0), styles.WASH),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, styles.INK),
    ]


def _total_commands(
    laid: _Laid, heads: int, totals: frozenset[int]
) -> list[tuple[object, ...]]:
    made: list[tuple[object, ...]] = []
    for index in sorted(totals):
        line = laid.opens[index] + heads
        made.append(("FONT", (0, line), (-1, line), STRONG, TOTAL_SIZE, LEADING))
        made.append(("LINEABOVE", (0, line), (-1, line), 0.8, styles.INK))
        made.append(("BACKGROUND", (0, line), (-1, line), styles.WASH))
    return made
