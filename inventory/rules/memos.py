"""Matching a supplier's credit memo to the crates that wait for a credit.

Crate by crate by its mark or GRAI; by type where racks carry no mark, the oldest
charge first unless the terms say otherwise. Each line has one fate, and every
difference a cause: the supplier's own words first, then what the figures show.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.rules.identifiers import parse
from inventory.rules.money import format_cents
from inventory.rules.own_marks import loose_key

AS_EXPECTED = "as-expected"
LATE = "late"
MISSING_PART = "missing-part"
PRICE = "price"
MORE = "more"
NOT_OURS = "not-ours"
TWICE = "twice"
UNMATCHED = ""

PAYS = frozenset({AS_EXPECTED, LATE, MISSING_PART, PRICE, MORE})
"""Fates of lines that pay for a crate."""

SHORTER = frozenset({LATE, MISSING_PART, PRICE})
"""Fates of lines that pay less than expected; each is the cause too."""

_LATE_WORDS = ("late", "overdue", "past due", "days out", "expired")
_PART_WORDS = (
    "missing",
    "damage",
    "broken",
    "part",
    "panel",
    "bracket",
    "hardware",
    "lid",
    "repair",
)
_MOST_PIECES = 9

SPENT = "spent"
"""Every crate that the line could be for has its credit already."""


@dataclass(frozen=True)
class Line:
    """One line of a memo as the supplier wrote it. The amount is in cents."""

    position: int
    amount: int
    mark: str = ""
    type_name: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Awaited:
    """One deposit of ours that a line may be for.

    ``open_cents`` is what is still expected or disputed; ``is_shipped`` whether its
    crate has gone back. ``part_prices`` are what single parts may cost,
    ``later_credits`` the credit on later days: they tell a short line's cause.
    """

    key: int
    open_cents: int
    marks: tuple[str, ...] = ()
    types: tuple[str, ...] = ()
    by_count: bool = False
    charged_on: dt.date = dt.date.min
    oldest_first: bool = True
    is_shipped: bool = True
    return_key: int | None = None
    part_prices: tuple[int, ...] = ()
    later_credits: tuple[int, ...] = ()


@dataclass(frozen=True)
class Fate:
    """What becomes of one line: its deposit, what was expected, and why it differs."""

    position: int
    amount: int
    fate: str
    key: int | None = None
    expected: int | None = None
    sentence: str = ""

    @property
    def met(self) -> int:
        """Return how much of the line pays what was expected, in cents."""
        return min(self.amount, self.expected or 0) if self.fate in PAYS else 0

    @property
    def surplus(self) -> int:
        """Return how much of the line is more than expected, in cents."""
        return self.amount - self.met if self.fate in PAYS else 0

    @property
    def apart(self) -> int:
        """Return how much of the line is not taken into the books, in cents."""
        return 0 if self.fate in PAYS else self.amount

    @property
    def short(self) -> int:
        """Return what the line leaves unpaid of what was expected, in cents."""
        return (self.expected or 0) - self.met if self.fate in PAYS else 0


def mark_key(text: str) -> str:
    """Return a mark as it is compared: a GRAI in any form, else without its dashes.

    The empty text where nothing is written.
    """
    if not text.strip():
        return ""
    found = parse(text)
    if found.valid and found.kind != "own":
        return f"{found.kind}:{found.value}"
    return loose_key(text)


def match_lines(
    lines: Sequence[Line], awaited: Iterable[Awaited], currency: str = "USD"
) -> tuple[Fate, ...]:
    """Return the fate of every line, in their order; no deposit is used twice.

    Lines with a mark choose first, so that a line by type cannot take their crate.
    """
    pool = _Pool(awaited)
    fates: dict[int, Fate] = {}
    for place, line in enumerate(lines):
        if line.mark.strip():
            fates[place] = _fate(line, *pool.by_mark(line), currency)
    for place, line in enumerate(lines):
        if place not in fates:
            fates[place] = _fate(line, *pool.by_type(line), currency)
    return tuple(fates[place] for place in range(len(lines)))


def match_one(line: Line, awaited: Awaited, currency: str = "USD") -> Fate:
    """Return the fate of a line that a person says is for this deposit."""
    if not awaited.is_shipped:
        return _unshipped(line)
    if not awaited.open_cents:
        return _closed(line, awaited.key)
    return _paying(line, awaited, currency)


def not_ours(line: Line) -> Fate:
    """Return the fate of a line that a person says is for no crate of ours."""
    return Fate(
        line.position,
        line.amount,
        NOT_OURS,
        sentence="It is for no crate of ours. It is not taken into the books.",
    )


def left_out(fates: Iterable[Fate], awaited: Iterable[Awaited]) -> tuple[Awaited, ...]:
    """Return the crates that the memo leaves out: of its returns, and still open."""
    rows = list(awaited)
    matched = {fate.key for fate in fates if fate.fate in PAYS}
    covered = {row.return_key for row in rows if row.key in matched} - {None}
    return tuple(
        row
        for row in rows
        if row.return_key in covered and row.open_cents and row.key not in matched
    )


class _Pool:
    """The deposits not taken by a line yet."""

    def __init__(self, awaited: Iterable[Awaited]) -> None:
        self.rows = list(awaited)
        self.taken: set[int] = set()
        self._by_mark: dict[str, list[Awaited]] = {}
        self._by_type: dict[str, list[Awaited]] = {}
        for row in self.rows:
            for mark in {mark_key(text) for text in row.marks} - {""}:
                self._by_mark.setdefault(mark, []).append(row)
            for name in {loose_key(text) for text in row.types} - {""}:
                self._by_type.setdefault(name, []).append(row)

    def by_mark(self, line: Line) -> "tuple[Awaited | None, str]":
        return self._choose(self._by_mark.get(mark_key(line.mark), []), "")

    def by_type(self, line: Line) -> "tuple[Awaited | None, str]":
        if not line.type_name.strip():
            return None, "The line names neither a mark nor a type."
        named = self._by_type.get(loose_key(line.type_name), [])
        counted = [row for row in named if row.by_count]
        if named and not counted:
            return None, (
                "Crates of this type are kept by their marks, and the line names "
                "none. Choose the crate."
            )
        chosen, word = self._choose(counted, "")
        return (None if word == SPENT else chosen), word

    def _choose(
        self, rows: list[Awaited], problem: str
    ) -> "tuple[Awaited | None, str]":
        free = [row for row in rows if row.key not in self.taken]
        best = [row for row in free if row.is_shipped and row.open_cents]
        if best:
            chosen = min(best, key=_turn)
            self.taken.add(chosen.key)
            return chosen, problem
        for row in rows:
            if row.is_shipped:
                return row, SPENT
        return (rows[0], problem) if rows else (None, problem)


def _turn(row: Awaited) -> tuple[int, int]:
    day = row.charged_on.toordinal()
    return (day, row.key) if row.oldest_first else (-day, -row.key)


def _fate(line: Line, row: Awaited | None, word: str, currency: str) -> Fate:
    if word == SPENT:
        return _closed(line, row.key if row else None)
    if row is None and word:
        return Fate(line.position, line.amount, UNMATCHED, sentence=word)
    if row is None:
        return not_ours(line)
    return match_one(line, row, currency)


def _unshipped(line: Line) -> Fate:
    return Fate(
        line.position,
        line.amount,
        UNMATCHED,
        sentence="This crate was not shipped back by our books. Ship it first, or say "
        "that the line is not ours.",
    )


def _closed(line: Line, key: int | None) -> Fate:
    return Fate(
        line.position,
        line.amount,
        TWICE,
        key=key,
        expected=0,
        sentence="This crate's credit is settled. The line is not taken into the "
        "books; tell the supplier.",
    )


def _paying(line: Line, row: Awaited, currency: str) -> Fate:
    expected = row.open_cents
    gap = expected - line.amount
    fate, why = AS_EXPECTED, "Paid as expected."
    if gap < 0:
        fate = MORE
        why = f"{_m(-gap, currency)} more than the {_m(expected, currency)} expected."
    elif gap:
        fate, cause = cause_of(line, row, currency)
        why = (
            f"{_m(gap, currency)} less than the {_m(expected, currency)} expected: "
            f"{cause}."
        )
    return Fate(line.position, line.amount, fate, row.key, expected, why)


def cause_of(line: Line, row: Awaited, currency: str = "USD") -> tuple[str, str]:
    """Return why a line pays less: late, missing-part or price, and how it shows."""
    said = line.remark.casefold()
    if any(word in said for word in _LATE_WORDS):
        return LATE, "the supplier says that it came late"
    if any(word in said for word in _PART_WORDS):
        return MISSING_PART, "the supplier speaks of its parts"
    if line.amount in row.later_credits:
        return LATE, "it is the credit of a later day"
    gap = row.open_cents - line.amount
    for price in sorted(set(row.part_prices) - {0}, reverse=True):
        pieces, rest = divmod(gap, price)
        if not rest and pieces <= _MOST_PIECES:
            return MISSING_PART, (
                f"it is the price of {pieces} part{'' if pieces == 1 else 's'} at "
                f"{_m(price, currency)}"
            )
    return PRICE, "the supplier reckons with another price"


def _m(cents: int, currency: str) -> str:
    return format_cents(cents, currency)


def sums_by_fate(fates: Iterable[Fate]) -> dict[str, tuple[int, int]]:
    """Return for each fate how many lines have it and their amount in cents."""
    found: dict[str, tuple[int, int]] = {}
    for fate in fates:
        count, cents = found.get(fate.fate, (0, 0))
        found[fate.fate] = (count + 1, cents + fate.amount)
    return found
