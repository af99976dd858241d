"""Locking a period, and the account numbers of the company's own books."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction

from inventory.above import open_before_lock
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.ledger.checks import locked_through
from inventory.actions.ledger.locks import lock_periods
from inventory.models import AccountNumber, Location, PeriodLock, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.crates.words import ACCOUNTS
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day


def lock_period(
    *, location: Location, through: dt.date, person: User, at: dt.datetime
) -> PeriodLock:
    """Lock the books of a location through a past day, for good, whatever is open.

    A person locks them with ``lock_checked_period``.

    A day that is already locked returns the existing lock. Raise RefusedError for
    today and later, and for a day before the last lock.
    """
    with transaction.atomic():
        lock_periods(location)
        if through >= dock_day(at, location.zone):
            raise RefusedError(
                "Only past days can be locked. Nothing was locked. Choose yesterday "
                "or an earlier day."
            )
        last = locked_through(location)
        if last is not None and through < last:
            raise RefusedError(
                f"The books of {location} are already locked through "
                f"{in_words(last)}. Nothing was changed. A lock cannot be undone."
            )
        if last == through:
            return PeriodLock.objects.filter(location=location, through=last)[0]
        lock = PeriodLock.objects.create(
            location=location, through=through, locked_at=at, locked_by=person
        )
        record_event(
            kind="period.locked",
            at=at,
            actor=person,
            location=location,
            subjects=[location, lock],
            data={"through": through.isoformat()},
        )
        return lock


def lock_checked_period(
    *, location: Location, through: dt.date, person: User, at: dt.datetime
) -> PeriodLock:
    """Lock the books through a day, once every check of the month end is done or carried.

    Raise RefusedError naming each check that is open, and what ``lock_period`` raises.
    """
    with transaction.atomic():
        lock_periods(location)
        last = locked_through(location) or dt.date.min
        if last < through < dock_day(at, location.zone):
            names = [mid_sentence(one) for one in open_before_lock(location, through)]
            if names:
                raise RefusedError(
                    f"Still open through {in_words(through)}: {'; '.join(names)}. "
                    "Nothing was locked. Finish each of them, or carry it with a reason "
                    "at the month end."
                )
        return lock_period(location=location, through=through, person=person, at=at)


@dataclass(frozen=True)
class Numbered:
    """One kind of account with its number in the company's books, and the version seen."""

    kind: str
    number: str
    name: str
    version: int | None


def number_accounts(
    *, location: Location, given: Iterable[Numbered], person: User, at: dt.datetime
) -> int:
    """Save several numbers at once; return how many changed. Raise StaleRowError."""
    with transaction.atomic():
        return sum(
            number_account(
                location=location,
                kind=one.kind,
                number=one.number,
                name=one.name,
                version=one.version,
                person=person,
                at=at,
            ).version
            != one.version
            for one in given
        )


def number_account(
    *,
    location: Location,
    kind: str,
    number: str,
    name: str,
    version: int | None,
    person: User,
    at: dt.datetime,
) -> AccountNumber:
    """Set the number that one kind of account has in the company's books.

    ``version`` is None where the kind had no number when the form was opened. Raise
    StaleRowError.
    """
    with transaction.atomic():
        lock_periods(location)
        row = AccountNumber.objects.filter(location=location, kind=kind).first()
        if (row is None) != (version is None):
            raise StaleRowError
        if row is None:
            row = AccountNumber.objects.create(
                location=location, kind=kind, number=number, name=name
            )
        elif (row.version, row.number, row.name) == (version, number, name):
            return row  # a write without an event would leave the row unsealed
        else:
            change_row(row, version=version or 0, number=number, name=name)
        record_event(
            kind="account.numbered",
            at=at,
            actor=person,
            location=location,
            subjects=[location, row],
            data={
                "kind": ACCOUNTS[kind],
                "number": number,
            },
        )
        return row
