"""Reading a supplier's advance ship notice: a row a crate, gathered by freight bill.

The first row names the columns, in our own words with the usual others beside them.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.rules.core.table_files import MOST_LINES, SheetError
from inventory.rules.core.text import clean_text, normal_identifier, normal_pro
from inventory.rules.receiving.announced import (
    MOST_PIECES,
    AnnouncedCrate,
    Notice,
    Refused,
    Row,
    bill_key,
    gathered,
)

LONGEST_AHEAD = timedelta(days=730)
LONGEST_PAST = timedelta(days=365)

# From memory: what dealers' suppliers head the columns of a ship notice with.
_NAMES = {
    "pro": "pro",
    "pro number": "pro",
    "pro no": "pro",
    "freight bill": "pro",
    "tracking number": "pro",
    "bol": "bol",
    "bol number": "bol",
    "bol no": "bol",
    "bill of lading": "bol",
    "carrier": "carrier",
    "carrier name": "carrier",
    "expected": "day",
    "expected on": "day",
    "expected date": "day",
    "delivery date": "day",
    "eta": "day",
    "date": "day",
    "mark": "mark",
    "crate": "mark",
    "crate mark": "mark",
    "crate number": "mark",
    "model": "model",
    "machine": "model",
    "description": "model",
    "pieces": "pieces",
    "quantity": "pieces",
    "qty": "pieces",
    "count": "pieces",
    "crates": "pieces",
    "reusable": "kind",
    "kind": "kind",
    "crate kind": "kind",
}
_SHOWN = {"day": "expected", "kind": "reusable"}
_MOST = {"pro": 30, "bol": 40, "mark": 60, "model": 80, "carrier": 100}
_KINDS = {
    "": "",
    "yes": "reusable",
    "y": "reusable",
    "reusable": "reusable",
    "returnable": "reusable",
    "no": "one-way",
    "n": "one-way",
    "one-way": "one-way",
    "one way": "one-way",
}
HEADER_HELP = (
    "The first row must name the columns: PRO or BOL, and mark, model or pieces; "
    "carrier, expected and reusable are optional. Nothing was saved."
)

DAY_ORDERS = {
    "mdy": "Month/day/year (11/30/2026)",
    "dmy": "Day/month/year (30/11/2026)",
}
"""How a date with slashes is read; 2026-11-30 is always read."""

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]00:00(?::00)?)?", re.ASCII)
_SLASHES = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})", re.ASCII)


@dataclass(frozen=True)
class Reading:
    """How to read a file: its separator, its dates, and the days it is about."""

    order: str
    today: date
    fallback: date | None = None

    def day(self, text: str) -> date:
        """Return the day of a cell. Raise ValueError with a sentence."""
        if not text:
            if self.fallback is None:
                raise ValueError("It has no expected date.")
            return self.fallback
        found = _day_in(text, self.order)
        if found is None:
            raise ValueError(f"Its date, {text[:20]}, is no day. Use 2026-11-30.")
        first, last = self.today - LONGEST_PAST, self.today + LONGEST_AHEAD
        if not first <= found <= last:
            raise ValueError(f"Its date, {found}, is more than two years off.")
        return found


def _day_in(text: str, order: str) -> date | None:
    numbers: tuple[str, ...] = ()
    if found := _ISO.fullmatch(text):
        numbers = found.groups()
    elif found := _SLASHES.fullmatch(text):
        first, second, year = found.groups()
        numbers = (year, first, second) if order == "mdy" else (year, second, first)
    try:
        return date(*map(int, numbers)) if numbers else None
    except ValueError:
        return None


def read_announced(rows: Iterable[Sequence[str]], reading: Reading) -> Notice:
    """Return the bills of a ship notice and its refused rows.

    Raise SheetError where the file is no ship notice at all.
    """
    table = [[clean_text(cell).strip() for cell in row] for row in rows]
    if not table or not any(any(row) for row in table):
        raise SheetError(f"The file is empty. {HEADER_HELP}")
    places = _header(table[0])
    if len(table) - 1 > MOST_LINES:
        raise SheetError(
            f"The file has more than {MOST_LINES:,} rows. Nothing was saved. Split it "
            "in two."
        )
    read: list[Row] = []
    refused: list[Refused] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cells):
            continue
        named = {
            name: cells[place] if place < len(cells) else ""
            for name, place in places.items()
        }
        try:
            read.append(_row(number, named, reading))
        except ValueError as error:
            refused.append(Refused(number, _bill_in(named), str(error)))
    if not read and not refused:
        raise SheetError(f"There are no rows below the header. {HEADER_HELP}")
    return gathered(read, refused)


def _header(cells: Sequence[str]) -> dict[str, int]:
    places: dict[str, int] = {}
    for place, cell in enumerate(cells):
        plain = " ".join(
            cell.casefold().replace("#", " number").replace(".", "").split()
        )
        name = _NAMES.get(plain)
        if name in places:
            shown = _SHOWN.get(name or "", name)
            raise SheetError(f"Two columns are named {shown}. {HEADER_HELP}")
        if name:
            places[name] = place
    if not {"pro", "bol"} & places.keys() or not (
        {"mark", "model", "pieces"} & places.keys()
    ):
        raise SheetError(f"The columns do not match a ship notice. {HEADER_HELP}")
    return places


def _bill_in(cells: dict[str, str]) -> str:
    """Return how a refused row names its bill, so that the rest goes with it."""
    return bill_key(
        normal_pro(cells.get("pro", "")), normal_identifier(cells.get("bol", ""))
    )


def _row(number: int, cells: dict[str, str], reading: Reading) -> Row:
    pro = normal_pro(cells.get("pro", ""))
    bol = normal_identifier(cells.get("bol", ""))
    if not pro and not bol:
        raise ValueError("It has neither a PRO nor a bill of lading.")
    mark = normal_identifier(cells.get("mark", ""))
    words = {
        "pro": pro,
        "bol": bol,
        "mark": mark,
        "model": " ".join(cells.get("model", "").split()),
        "carrier": " ".join(cells.get("carrier", "").split()),
    }
    for name, most in _MOST.items():
        if len(words[name]) > most:
            raise ValueError(f"Its {name} is longer than {most} characters.")
    crate = AnnouncedCrate(
        row=number,
        mark=mark,
        model=words["model"],
        pieces=_pieces(cells.get("pieces", ""), mark),
        kind=_kind(cells.get("kind", "")),
    )
    day = reading.day(cells.get("day", ""))
    return Row(pro, bol, words["carrier"], day, crate)


def _pieces(text: str, mark: str) -> int:
    if not text:
        return 1
    plain = text.removesuffix(".0")
    if not (plain.isascii() and plain.isdigit() and len(plain) <= 4):
        raise ValueError(f"Its pieces, {text[:20]}, are not a whole number.")
    count = int(plain)
    if not 1 <= count <= MOST_PIECES:
        raise ValueError(f"Its pieces must be from 1 to {MOST_PIECES}.")
    if mark and count != 1:
        raise ValueError("A row with a mark is one crate; its pieces must be 1.")
    return count


def _kind(text: str) -> str:
    kind = _KINDS.get(" ".join(text.casefold().split()))
    if kind is None:
        raise ValueError(f"Reusable is yes or no, not {text[:20]}.")
    return kind
