"""The money at risk this week: claim money and the value of unopened crates apart."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from claims.queries.deadlines.lapses import Lapse


@dataclass(frozen=True)
class AtRisk:
    """The money of what is due: claims and findings, each bill once; closed crates."""

    currency: str
    claim_cents: int
    unopened_cents: int


def at_stake(lapses: Iterable[Lapse]) -> list[AtRisk]:
    """Return the money at risk by currency, claim money and unopened value apart."""
    unopened: dict[str, int] = defaultdict(int)
    by_bill: dict[tuple[str, int], int] = defaultdict(int)
    for one in lapses:
        amount, bill = one.amount_cents or 0, (one.currency, one.shipment_id)
        if one.hand == "open":
            unopened[one.currency] += amount
        else:
            by_bill[bill] = max(by_bill[bill], amount)
    claimed: dict[str, int] = defaultdict(int)
    for (currency, _), amount in by_bill.items():
        claimed[currency] += amount
    return [
        AtRisk(currency, claimed[currency], unopened[currency])
        for currency in sorted({*unopened, *claimed})
        if claimed[currency] or unopened[currency]
    ]
