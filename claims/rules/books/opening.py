"""How a claim that was filed before is brought into the books: once, as it stands.

What happened before is set off in a baseline and never posted: the loss, the money and
the write-offs were in the older books, or in none.
"""

from dataclasses import dataclass

from claims.rules.books import kinds
from claims.rules.books.positions import Amounts, BookFacts, Slots, position_of

CARRIED = (*kinds.GROSS, kinds.ALLOWANCE, kinds.CONTRA, kinds.OWED)
"""The accounts that are still open; the others are settled in the older books."""


@dataclass(frozen=True, slots=True)
class Opened:
    """The lines of an opening, and the baseline that later entries start from."""

    lines: Amounts
    slots: Slots
    values: Amounts


def opening_of(facts: BookFacts) -> Opened:
    """Return what brings the claim in: what is open, against opening balances."""
    position = position_of(facts, {})
    lines: Amounts = {}
    for found in (*position.slots.values(), position.values):
        for kind, cents in found.items():
            if kind in CARRIED:
                lines[kind] = lines.get(kind, 0) + cents
    lines[kinds.OPENING] = -sum(lines.values())
    return Opened(
        lines={kind: cents for kind, cents in lines.items() if cents},
        slots=position.slots,
        values={kind: cents for kind, cents in position.values.items() if cents},
    )
