"""Interest on a claim, where the regime gives it.

Simple interest on the days from the day the claim was sent (CMR Art 27(1), CIM Art
37(2), both from memory). It is outside the limit.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from claims.rules.damages.facts import Step
from inventory.rules.reckoning.money import format_rate, round_fraction


@dataclass(frozen=True)
class InterestRecord:
    """A regime's yearly rate in percent, with its paragraph."""

    regime: str
    percent: Decimal
    authority: str
    confidence: str


INTEREST = {
    "cmr": InterestRecord("cmr", Decimal(5), "CMR Art 27(1)", "from memory"),
    "cim": InterestRecord(
        "cim", Decimal(5), "CIM (COTIF 1999 App. B) Art 37(2)", "from memory"
    ),
}


@dataclass(frozen=True)
class Interest:
    """Interest in cents, the days it runs, and the step that explains it."""

    cents: int
    days: int
    steps: tuple[Step, ...]
    record: InterestRecord | None = None


def interest_on(
    principal_cents: int, *, regime: str, sent_on: dt.date, until: dt.date
) -> Interest:
    """Return simple interest by a year of 365 days; nothing where none is given.

    ``principal_cents`` is what is owed. Raise ValueError when ``until`` is before
    ``sent_on`` or the principal is below zero.
    """
    if until < sent_on or principal_cents < 0:
        raise ValueError("Interest runs forward, on an amount owed.")
    record = INTEREST.get(regime)
    days = (until - sent_on).days
    if record is None:
        words = "This regime gives no interest of its own"
        return Interest(0, days, (Step(words),))
    exact = Fraction(principal_cents) * Fraction(record.percent) * days / 36500
    cents = round_fraction(exact)
    words = (
        f"Interest {format_rate(record.percent)} % a year for {days} days from the day "
        f"the claim was sent ({record.authority})"
    )
    return Interest(cents, days, (Step(words, cents),), record)
