"""The entries that lead from what the books hold of a claim to what they should hold.

The same fact twice plans nothing twice: an entry is a difference. A fact that is gone
is reversed, entry by entry; nothing is ever edited.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from claims.rules.books import kinds
from claims.rules.books.positions import (
    Amounts,
    BookFacts,
    Slots,
    is_beside,
    position_of,
    without_nothing,
)

PAYMENT = "payment-"
"""What the slot of a payment begins with; its number follows."""

_OF_SLOT = {
    "loss": kinds.LOSS_BOOKED,
    "filed": kinds.FILED,
    "agreed": kinds.REDUCTION,
    "declined": kinds.DECLINED,
    "booked": kinds.BOOKED,
    "salvage": kinds.KEPT,
}


@dataclass(frozen=True, slots=True)
class Posted:
    """One entry of a claim that stands, not reversed; ``key`` is its id."""

    key: str
    amounts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Held:
    """What the books hold of a claim.

    ``slots`` in the order they were first posted, without the value accounts;
    ``totals`` by account, everything; ``standing`` the entries of each slot that can be
    reversed.
    """

    slots: Slots = field(default_factory=dict)
    totals: Amounts = field(default_factory=dict)
    standing: Mapping[str, Sequence[Posted]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Planned:
    """One entry to post: its slot and kind, its lines, and what it reverses."""

    slot: str
    kind: str
    amounts: Amounts
    reverses: str = ""


def movements(amounts: Mapping[str, int]) -> Amounts:
    """Return the amounts without those on the value accounts."""
    return {kind: cents for kind, cents in amounts.items() if kind not in kinds.VALUE}


def plan_entries(facts: BookFacts, held: Held) -> list[Planned]:
    """Return the entries that are missing, in order. Each sums to zero."""
    want = position_of(facts, held.slots)
    gone = [slot for slot in held.slots if slot not in want.slots]
    planned: list[Planned] = []
    for slot in reversed(gone):
        planned += _undo(slot, held)
    planned += [
        made
        for slot, found in want.slots.items()
        if (made := _missing(slot, found, facts, held))
    ]
    rest = _value_lines(want.values, held, planned)
    if not rest:
        return planned
    if planned and not planned[-1].reverses:
        last = planned.pop()
        rest = _sum(last.amounts, rest)
        return [*planned, Planned(last.slot, last.kind, rest)]
    return [*planned, Planned("value", kinds.VALUED, rest)]


def _undo(slot: str, held: Held) -> list[Planned]:
    standing = held.standing.get(slot, ())
    sums = _sum(*(movements(one.amounts) for one in standing))
    if sums == held.slots[slot]:
        return [
            Planned(
                slot,
                kinds.REVERSAL,
                {kind: -cents for kind, cents in one.amounts.items()},
                one.key,
            )
            for one in reversed(standing)
        ]
    back = {kind: -cents for kind, cents in held.slots[slot].items()}
    return [Planned(slot, _kind_of(slot, "", held, back), _balanced(back))]


def _missing(slot: str, want: Amounts, facts: BookFacts, held: Held) -> Planned | None:
    has = held.slots.get(slot, {})
    change = _sum(want, {kind: -cents for kind, cents in has.items()})
    if not change:
        return None
    return Planned(slot, _kind_of(slot, facts.end, held, change), _balanced(change))


def _kind_of(slot: str, end: str, held: Held, change: Amounts) -> str:
    if slot == "end":
        return end or kinds.SETTLED
    if slot.startswith(PAYMENT):
        # What moves later from owed to the claim, or back, is the same money.
        is_cash = kinds.CASH in change or kinds.CASH in held.slots.get(slot, ())
        return kinds.PAID if is_cash else kinds.CREDIT
    if slot == "filed" or slot.startswith("supplement-"):
        if held.slots.get(slot):
            return kinds.STRUCK
        is_first = slot == "filed" or "filed" not in held.slots
        return kinds.FILED if is_first else kinds.SUPPLEMENT
    return _OF_SLOT[slot]


def _balanced(change: Amounts) -> Amounts:
    """Return the lines with what is missing on the allowance or the counter-account."""
    rest = -sum(change.values())
    counter = kinds.CONTRA if is_beside(change) else kinds.ALLOWANCE
    return _sum(change, {counter: rest})


def _value_lines(want: Amounts, held: Held, planned: Sequence[Planned]) -> Amounts:
    totals = _sum(held.totals, *(one.amounts for one in planned))
    return without_nothing(
        {kind: cents - totals.get(kind, 0) for kind, cents in want.items()}
    )


def _sum(*many: Mapping[str, int]) -> Amounts:
    sums: Counter[str] = Counter()
    for one in many:
        sums.update(one)
    return without_nothing(sums)
