"""What a supplier announces: freight bills with their crates, gathered from rows.

A row that cannot be read takes the other rows of its bill with it: a bill announced
in part would give a wrong count.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.rules.codes.normal_keys import normal_key

MOST_PIECES = 200
"""As many crates as a bill may list at once."""


def bill_key(pro: str, bol: str) -> str:
    """Return how a bill is named: by its PRO, else by its bill of lading."""
    return f"PRO {pro}" if pro else f"BOL {bol}" if bol else ""


@dataclass(frozen=True)
class AnnouncedCrate:
    """One line: a marked crate, or ``pieces`` of them without marks."""

    row: int
    mark: str = ""
    model: str = ""
    pieces: int = 1
    kind: str = ""


@dataclass(frozen=True)
class Announced:
    """One freight bill that is announced."""

    pro: str
    bol: str
    carrier: str
    expected_on: date
    crates: tuple[AnnouncedCrate, ...]

    @property
    def pieces(self) -> int:
        """Return how many crates are announced."""
        return sum(crate.pieces for crate in self.crates)

    def __str__(self) -> str:
        return bill_key(self.pro, self.bol)


@dataclass(frozen=True)
class Refused:
    """One row that is left out, and why. Row 1 is the header."""

    row: int
    about: str
    reason: str


@dataclass(frozen=True)
class Notice:
    """What a file announces, and the rows that are left out."""

    bills: tuple[Announced, ...] = ()
    refused: tuple[Refused, ...] = ()


@dataclass(frozen=True)
class Row:
    """One row of a ship notice, read."""

    pro: str
    bol: str
    carrier: str
    expected_on: date
    crate: AnnouncedCrate


def gathered(read: list[Row], refused: list[Refused]) -> Notice:
    """Gather the rows by bill; a bill with one refused row is left out whole."""
    by_bill: dict[str, list[Row]] = {}
    for row in read:
        by_bill.setdefault(bill_key(row.pro, row.bol), []).append(row)
    bad = {one.about: one.row for one in reversed(refused) if one.about}
    bills: list[Announced] = []
    left_out = list(refused)
    for key, rows in by_bill.items():
        reason = _against(rows)
        if not reason and key in bad:
            reason = f"Row {bad[key]} of the same bill cannot be read."
        if reason:
            left_out += [Refused(row.crate.row, key, reason) for row in rows]
        else:
            bills.append(_bill(rows))
    return Notice(tuple(bills), tuple(sorted(left_out, key=lambda one: one.row)))


def _against(rows: Sequence[Row]) -> str:
    """Return what is wrong with a bill as a whole, or ""."""
    for name, values in (
        ("bill of lading", {row.bol for row in rows} - {""}),
        ("carrier", {row.carrier.casefold() for row in rows} - {""}),
        ("expected date", {row.expected_on for row in rows}),
    ):
        if len(values) > 1:
            return f"The rows of this bill differ in the {name}."
    seen: dict[str, int] = {}
    for row in rows:
        key = normal_key(row.crate.mark)
        first = seen.setdefault(key, row.crate.row) if key else row.crate.row
        if first != row.crate.row:
            return f"Rows {first} and {row.crate.row} have the same mark."
    if sum(row.crate.pieces for row in rows) > MOST_PIECES:
        return f"A bill announces at most {MOST_PIECES} crates."
    return ""


def _bill(rows: Sequence[Row]) -> Announced:
    first = rows[0]
    return Announced(
        pro=first.pro,
        bol=next((row.bol for row in rows if row.bol), ""),
        carrier=next((row.carrier for row in rows if row.carrier), ""),
        expected_on=first.expected_on,
        crates=tuple(row.crate for row in rows),
    )
