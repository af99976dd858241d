"""The facts that an offer is judged by, and what they say of the carrier's habit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from claims.rules.letters.claim_letter import Period
from inventory.rules.reckoning.money import round_fraction
from inventory.rules.reckoning.periods import add_months

MONTHS_BACK = 24
"""How far back a carrier's ended claims count. Our own choice, no source."""

FEWEST = 5
"""Fewer ended claims than this say nothing of a carrier. Our own choice, no source."""


@dataclass(frozen=True)
class PastClaim:
    """A claim on the same carrier that is settled or not pursued, in minor units."""

    ended_on: date
    claimed_cents: int
    paid_cents: int

    @property
    def share(self) -> Fraction:
        """Return the share of the claim that was paid, never above the whole."""
        return min(Fraction(self.paid_cents, self.claimed_cents), Fraction(1))


@dataclass(frozen=True)
class Costs:
    """What going on costs, as a person entered it; None where nobody did."""

    limit_cents: int | None = None
    limit_source: str = ""
    filing_cents: int | None = None
    serving_cents: int | None = None
    lawyer_cents: int | None = None
    yearly_percent: Decimal | None = None
    months: int | None = None


@dataclass(frozen=True)
class OfferFacts:
    """An open offer and what it is judged by, in minor units of ``currency``.

    ``claimed_cents`` is the claim as filed, ``expected_cents`` the same under the limit
    of liability (equal to it without one); ``gone_cents`` is what others made good
    beyond the claim's lines. ``answer`` is the period the carrier has for its answer.
    ``regime`` is the key of the rules of carriage.
    """

    currency: str
    regime: str
    today: date
    offered_cents: int
    claimed_cents: int
    expected_cents: int
    paid_cents: int = 0
    gone_cents: int = 0
    offered_on: date | None = None
    received_on: date | None = None
    limit_cents: int | None = None
    limit_authority: str = ""
    answer: Period | None = None
    past: tuple[PastClaim, ...] = ()
    costs: Costs = Costs()

    @property
    def balance_cents(self) -> int:
        """Return what is claimed and neither paid nor made good by others."""
        return max(self.claimed_cents - self.paid_cents - self.gone_cents, 0)

    @property
    def most_cents(self) -> int:
        """Return the most that can still come: the balance, under the limit."""
        under = self.expected_cents - self.paid_cents
        return max(min(self.balance_cents, under), 0)

    @property
    def in_small_claims(self) -> bool:
        """Return whether the balance fits the small-claims limit that was entered."""
        limit = self.costs.limit_cents
        return limit is not None and self.balance_cents <= limit


def middle_percent(past: Sequence[PastClaim], today: date) -> tuple[int | None, int]:
    """Return the middle share in whole percent, and how many claims it is made of.

    None where they are too few. Only claims that ended within ``MONTHS_BACK`` count.
    """
    first = add_months(today, -MONTHS_BACK)
    shares = sorted(
        one.share
        for one in past
        if one.claimed_cents > 0 and first <= one.ended_on <= today
    )
    count = len(shares)
    if count < FEWEST:
        return None, count
    low, high = shares[(count - 1) // 2], shares[count // 2]
    return round_fraction((low + high) / 2 * 100), count
