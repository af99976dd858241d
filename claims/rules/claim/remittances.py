"""One remittance and the claims it is put against: what fits, and what is left over.

A check marked as full payment settles what it names once it is cashed (UCC 3-311, from
memory): the whole of it waits for a decision, so no part of it may be left over.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True, slots=True)
class Part:
    """What is put against one claim, and what is open on it, in cents."""

    claim: str
    cents: int
    open_cents: int


@dataclass(frozen=True, slots=True)
class Said:
    """What the person says of a remittance: who paid, and why there is a rest."""

    payer: str
    currency: str
    cents: int
    method: str = "check"
    bills: str = ""
    in_full: bool = False
    reason: str = ""


def rest_cents(cents: int, parts: Sequence[int]) -> int:
    """Return what no claim takes: it is owed to the payer."""
    return cents - sum(parts)


def against_parts(currency: str, parts: Sequence[Part]) -> list[str]:
    """Return why these parts cannot be put against their claims."""
    reasons = [] if parts else ["Put an amount against at least one claim."]
    for one in parts:
        if one.cents > one.open_cents:
            most = format_cents(one.open_cents, currency, code=True)
            reasons.append(
                f"{most} is open on claim {one.claim}. Put at most that against it."
            )
    return reasons


def against_remittance(said: Said, parts: Sequence[Part]) -> list[str]:
    """Return why a remittance cannot be recorded as it was typed; empty where it can."""
    reasons = [] if said.cents > 0 else ["A remittance is more than 0."]
    reasons += against_parts(said.currency, parts)
    rest = rest_cents(said.cents, [one.cents for one in parts])
    amount = format_cents(abs(rest), said.currency, code=True)
    if rest < 0:
        reasons.append(
            f"The parts come to {amount} more than the remittance. Check the amounts."
        )
    elif rest and said.in_full:
        reasons.append(
            f"{amount} is put against no claim. A remittance marked as full payment "
            "waits for a decision as a whole: put all of it against the claims it names."
        )
    elif rest and not said.reason.strip():
        reasons.append(
            f"{amount} is put against no claim. Check the amounts. If {said.payer} did "
            "pay more, explain why: it is then kept as owed to it."
        )
    if said.method == "credit" and not said.bills.strip():
        reasons.append("Name the freight bills that the carrier credited.")
    return reasons


def against_match(rest: int, currency: str, parts: Sequence[Part]) -> list[str]:
    """Return why these parts cannot be taken from the rest of a remittance."""
    reasons = against_parts(currency, parts)
    if sum(one.cents for one in parts) > rest:
        left = format_cents(rest, currency, code=True)
        reasons.append(f"Only {left} of the remittance is left. Check the amounts.")
    return reasons
