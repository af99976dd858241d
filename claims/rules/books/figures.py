"""The figures of a claim that accounting may state for the books, and their facts."""

from collections.abc import Iterable
from dataclasses import dataclass

LOSS = "loss"
PROBABLE = "probable"
CREDITED = "credited"

FIGURES = {
    LOSS: "Loss as booked, at cost",
    PROBABLE: "Recovery that is probable",
    CREDITED: "Credited by the supplier so far",
}

ACCEPT = "accept"
DISALLOW = "disallow"


@dataclass(frozen=True, slots=True)
class Answers:
    """What the carrier's answers come to, in cents.

    ``agreed_cents`` is None unless an agreement stands; ``was_agreed`` once there was.
    """

    agreed_cents: int | None = None
    was_agreed: bool = False
    declined_cents: int = 0


def answers_of(steps: Iterable[tuple[str, int | None]], claimed_cents: int) -> Answers:
    """Return what stands after these acts and amounts, in their order.

    A denial without an amount declines all; an agreement answers it, and a later
    denial breaks the agreement. Of two partial denials the larger counts.
    """
    agreed: int | None = None
    was_agreed, declined = False, 0
    for act, cents in steps:
        if act == ACCEPT:
            agreed, was_agreed, declined = cents or 0, True, 0
        elif act == DISALLOW:
            whole = claimed_cents if cents is None else cents
            agreed, declined = None, max(declined, whole)
    return Answers(agreed, was_agreed, declined)


def kept_salvage(sold_cents: int, deducted_cents: int) -> int:
    """Return what sales of salvage brought beyond what the lines deduct already."""
    return max(sold_cents - deducted_cents, 0)


def parts_of(
    parts: Iterable[tuple[int, int, int]],
) -> tuple[tuple[int, int], ...]:
    """Return number and cents of each part of the claim, from lines and recovered.

    What was recovered elsewhere is never claimed, and the whole is never below zero.
    """
    found: list[tuple[int, int]] = []
    lines = recovered = before = 0
    for number, cents, back in sorted(parts):
        lines, recovered = lines + cents, recovered + back
        now = max(lines - recovered, 0)
        found.append((number, now - before))
        before = now
    return tuple(found)
