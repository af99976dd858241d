"""Entering a rate of exchange: a row of its own, which nothing changes."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import ExchangeRate, Location, User
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_rate


@dataclass(frozen=True)
class RateTold:
    """One unit of a currency in the location's own: the figure, its day, its source."""

    currency: str
    rate: Decimal
    on: date
    source: str


def enter_rate(
    *, location: Location, told: RateTold, person: User, at: datetime
) -> ExchangeRate:
    """Enter a rate. Raise RefusedError for the location's own currency or a later day."""
    if told.currency == location.currency:
        raise RefusedError(
            f"{told.currency} is {location}'s own currency. Nothing was saved. Enter the "
            "rate of another one."
        )
    if told.on > dock_day(at, location.zone):
        raise RefusedError(
            "That day is in the future. Nothing was saved. Enter the day of the rate."
        )
    with transaction.atomic():
        row = ExchangeRate.objects.create(
            location=location,
            currency=told.currency,
            home=location.currency,
            rate=told.rate,
            rated_on=told.on,
            source=told.source,
            entered_at=at,
            entered_by=person,
        )
        record_event(
            kind="rate.entered",
            at=at,
            actor=person,
            location=location,
            subjects=[location, row],
            data={
                "currency": told.currency,
                "rate": f"{format_rate(told.rate)} {location.currency}",
                "on": in_words(told.on),
                "source": told.source,
            },
        )
    return row
