"""Matching a supplier's credit memo to the crates that have credits open.

Crate by crate by its mark or GRAI; by type where racks carry no mark, the oldest
charge first unless the terms say otherwise. Each line has one result, and every
short line a cause: the supplier's own remark first, then what the figures show.
"""

from collections.abc import Iterable, Sequence

from inventory.rules.codes.identifiers import parse
from inventory.rules.codes.own_marks import loose_key
from inventory.rules.memos.causes import cause_of
from inventory.rules.memos.types import (
    AS_EXPECTED,
    LATE,
    MISSING_PART,
    MORE,
    NOT_OURS,
    PAYS,
    PRICE,
    SHORTER,
    TWICE,
    UNMATCHED,
    Awaited,
    Fate,
    Line,
)
from inventory.rules.reckoning.money import amount_words

__all__ = [
    "AS_EXPECTED",
    "LATE",
    "MISSING_PART",
    "MORE",
    "NOT_OURS",
    "PAYS",
    "PRICE",
    "SHORTER",
    "TWICE",
    "UNMATCHED",
    "Awaited",
    "Fate",
    "Line",
    "left_out",
    "mark_key",
    "match_lines",
    "match_one",
    "not_ours",
    "sums_by_fate",
]

SPENT = "spent"
"""Every crate that this line could pay for is already credited."""


def mark_key(text: str) -> str:
    """Return a mark in its form for comparing: a GRAI in any form, else without dashes.

    Return the empty text for no mark.
    """
    if not text.strip():
        return ""
    found = parse(text)
    if found.valid and found.kind != "own":
        return f"{found.kind}:{found.value}"
    return loose_key(text)


def match_lines(
    lines: Sequence[Line], awaited: Iterable[Awaited], currency: str
) -> tuple[Fate, ...]:
    """Return the result of every line, in their order; no deposit is used twice.

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


def match_one(line: Line, awaited: Awaited, currency: str) -> Fate:
    """Return the result of a line that a person matched to this deposit."""
    if not awaited.is_shipped:
        return _unshipped(line)
    if not awaited.open_cents:
        return _closed(line, awaited.key)
    if awaited.paid_cents and line.amount > awaited.open_cents:
        return _again(line, awaited, currency)
    return _paying(line, awaited, currency)


def not_ours(line: Line) -> Fate:
    """Return the result of a line that a person marked as not ours."""
    return Fate(
        line.position,
        line.amount,
        NOT_OURS,
        sentence="Not ours. Its amount is held in suspense until you decide it.",
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
            return None, "The line has neither a mark nor a type."
        named = self._by_type.get(loose_key(line.type_name), [])
        counted = [row for row in named if row.by_count]
        if named and not counted:
            return None, (
                "Crates of this type are tracked by mark, and the line has no mark. "
                "Choose the crate."
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
        sentence="Our books do not show this crate as shipped back. Ship it first, or "
        "mark the line as not ours.",
    )


def _closed(line: Line, key: int | None) -> Fate:
    return Fate(
        line.position,
        line.amount,
        TWICE,
        key=key,
        expected=0,
        sentence="This crate's credit is settled. The amount is held in suspense; tell "
        "the supplier.",
    )


def _again(line: Line, row: Awaited, currency: str) -> Fate:
    return Fate(
        line.position,
        line.amount,
        TWICE,
        key=row.key,
        expected=row.open_cents,
        sentence=f"{amount_words(row.paid_cents, currency)} was already credited for this "
        f"crate, and only {amount_words(row.open_cents, currency)} is still "
        "open. The amount is held in suspense; ask the supplier what it is for.",
    )


def _paying(line: Line, row: Awaited, currency: str) -> Fate:
    expected = row.open_cents
    gap = expected - line.amount
    fate, why = AS_EXPECTED, "Paid as expected."
    if gap < 0:
        fate = MORE
        why = f"{amount_words(-gap, currency)} more than the {amount_words(expected, currency)} expected."
    elif gap:
        fate, cause = cause_of(line, row, currency)
        why = (
            f"{amount_words(gap, currency)} short of the "
            f"{amount_words(expected, currency)} expected: {cause}."
        )
    return Fate(line.position, line.amount, fate, row.key, expected, why)


def sums_by_fate(fates: Iterable[Fate]) -> dict[str, tuple[int, int]]:
    """Return for each result how many lines have it and their amount in cents."""
    found: dict[str, tuple[int, int]] = {}
    for fate in fates:
        count, cents = found.get(fate.fate, (0, 0))
        found[fate.fate] = (count + 1, cents + fate.amount)
    return found
