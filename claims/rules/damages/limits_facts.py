"""The input of a limit of liability, and its result."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from claims.rules.damages.facts import Step
from claims.rules.damages.limits_records import LimitRecord
from inventory.rules.reckoning.measures import Mass

PROBLEMS = {
    "weight": "The limit goes by weight. Enter the weight of every article.",
    "shipment-weight": "The limit goes by the weight of the whole shipment. Enter it.",
    "carriage-day": "The limit depends on the day of carriage. Enter it.",
    "too-early": "The Montreal Convention was not in force before 4 November 2003.",
    "currency": "The regime's figure is in another currency than the claim.",
    "two-rates": "Enter a value by the pound or by the kilogram, not both.",
    "wrong-rate": "This regime's own figure is not a value by the pound or kilogram.",
    "sdr-rate": "The limit is in SDR. Enter the rate and its day to see it in money.",
}
"""Why a limit could not be calculated, as sentences to show."""


@dataclass(frozen=True)
class LimitTerms:
    """The regime of the carriage and what was agreed about its limit.

    ``per_lb`` and ``per_kg`` are released values in major units of the claim's
    currency (in SDR where the regime counts in SDR); ``per_lb_used`` is the value
    by the pound for used goods. ``declared_cents`` is the value declared for the
    whole claim's goods, ``maximum_cents`` the most for one shipment. ``sdr_rate``
    is currency per SDR on ``sdr_rate_on``.
    """

    regime: str = ""
    per_lb: Decimal | None = None
    per_kg: Decimal | None = None
    per_lb_used: Decimal | None = None
    goods: str = "new"
    packages: int | None = None
    declared_cents: int | None = None
    maximum_cents: int | None = None
    sdr_rate: Decimal | None = None
    sdr_rate_on: dt.date | None = None
    shipment_mass: Mass | None = None
    carriage_on: dt.date | None = None


@dataclass(frozen=True)
class Limit:
    """A ceiling in cents and, where the regime counts so, in SDR.

    ``ceiling_cents`` is None where there is none or ``problem`` (a key of
    PROBLEMS) says why it could not be calculated. ``by_article`` holds each
    article's own ceiling where the limit goes by the article.
    """

    ceiling_cents: int | None = None
    sdr: Fraction | None = None
    by_article: tuple[int, ...] = ()
    steps: tuple[Step, ...] = ()
    record: LimitRecord | None = None
    problem: str = ""
