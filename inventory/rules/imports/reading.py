"""The rows of a list: read by the kind's columns, and what becomes of each.

A file with another column is refused as a whole: better than a list of which half was
silently left out.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass

from inventory.rules.core.table_files import SheetError
from inventory.rules.core.text import clean_text
from inventory.rules.imports.list_kind import MOST_ROWS, ListKind

FORMULA_STARTS = ("=", "@", "+", "-", "\t")
_ALWAYS = ("=", "@", "\t")
_MIDNIGHT = " 00:00:00"


@dataclass(frozen=True)
class ListRow:
    """One row of the file, its cells by field; row 1 is the header."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Fate:
    """What becomes of one row: new, there, or refused with the reason."""

    row: int
    name: str
    state: str
    reason: str = ""


def digest_of(fates: Iterable[Fate]) -> str:
    """Return the SHA-256 of the fates, to tell whether they are still as shown."""
    text = json.dumps([asdict(one) for one in fates])
    return hashlib.sha256(text.encode()).hexdigest()


def read_rows(
    table: Iterable[Sequence[str]], kind: ListKind
) -> tuple[list[ListRow], list[Fate]]:
    """Return the rows that can be tried, and those that cannot with the reason.

    Raise SheetError where the file is no such list at all.
    """
    cleaned = [[clean_text(cell).strip(" \n") for cell in row] for row in table]
    if not cleaned or not any(any(row) for row in cleaned):
        raise SheetError(f"The file is empty. {_help(kind)}")
    places = _header(cleaned[0], kind)
    filled = sum(any(row) for row in cleaned[1:])
    if filled > MOST_ROWS:
        raise SheetError(
            f"The file has more than {MOST_ROWS} rows. Nothing was saved. Split it "
            "in parts."
        )
    if not filled:
        raise SheetError(
            "The file has headings, but no row below them. Nothing was saved. Fill in "
            "one row for each and choose it again."
        )
    return _read(cleaned, places, kind)


def name_of(cells: Mapping[str, str], kind: ListKind) -> str:
    """Return what a row is called: the columns that make it the same as another."""
    return " · ".join(cells[one][:60] for one in kind.same_by if cells[one])


def _read(
    table: Sequence[Sequence[str]], places: Mapping[str, int], kind: ListKind
) -> tuple[list[ListRow], list[Fate]]:
    read: list[ListRow] = []
    problems: list[Fate] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cells):
            continue
        named = dict.fromkeys(kind.columns, "") | {
            name: _plain(cells[place], is_day=name in kind.days)
            for name, place in places.items()
            if place < len(cells)
        }
        reason = _beyond(cells, places) or _problem(named, kind)
        if reason:
            problems.append(Fate(number, name_of(named, kind), "refused", reason))
        else:
            read.append(ListRow(number, named))
    return read, problems


def _header(cells: Sequence[str], kind: ListKind) -> dict[str, int]:
    known = {heading.casefold(): name for name, heading in kind.columns.items()}
    places: dict[str, int] = {}
    for place, cell in enumerate(cells):
        if not cell:
            continue
        shown = cell[:30]
        name = known.get(" ".join(_plain(cell).split()).casefold())
        if name is None:
            raise SheetError(f"The column “{shown}” is not known. {_help(kind)}")
        if name in places:
            raise SheetError(f"The column “{shown}” is there twice. {_help(kind)}")
        places[name] = place
    missing = [kind.columns[one] for one in kind.needed if one not in places]
    if missing:
        raise SheetError(f"There is no column “{missing[0]}”. {_help(kind)}")
    return places


def _help(kind: ListKind) -> str:
    return (
        f"Nothing was saved. The first row names the columns, as in the template of "
        f"{kind.plural}: copy them from there and choose the file again."
    )


def _plain(cell: str, *, is_day: bool = False) -> str:
    """Leave out the apostrophe of our own CSV, and the midnight of a workbook's day."""
    if cell.startswith("'") and cell[1:].startswith(FORMULA_STARTS):
        return cell[1:]
    return cell.removesuffix(_MIDNIGHT) if is_day else cell


def _beyond(cells: Sequence[str], places: Mapping[str, int]) -> str:
    """Return why a row says more than its columns do, or ""."""
    loose = [
        cell
        for place, cell in enumerate(cells)
        if cell and place not in places.values()
    ]
    return f"“{loose[0][:30]}” stands under no heading." if loose else ""


def _problem(named: Mapping[str, str], kind: ListKind) -> str:
    """Return why this row cannot be tried, or ""."""
    for key in kind.needed:
        if not named[key]:
            return f"{kind.columns[key]} is missing."
    for key, text in named.items():
        starts = _ALWAYS if key in kind.signed else FORMULA_STARTS
        if text.startswith(starts):
            return f"{kind.columns[key]} begins like a formula: {text[:20]}"
        if key in kind.days and text.isdigit():
            return (
                f"{kind.columns[key]}: {text[:20]} is a number, not a date. Write it as "
                "2026-03-31, or format the column as a date."
            )
    return ""
