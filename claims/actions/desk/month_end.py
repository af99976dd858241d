"""The month end: carrying an unfinished check, taking that back, and the lock."""

import datetime as dt

from django.db import transaction

from claims.queries.desk.month_end import Check, checks_of
from claims.rules.books.month_end import CHECKS, rows_from
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.ledger.checks import locked_through
from inventory.actions.ledger.locks import lock_periods
from inventory.actions.ledger.periods import lock_checked_period
from inventory.models import CarriedCheck, Location, PeriodLock, User
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.months import CalendarMonth

AGAIN = "Carried again."


def carry_check(
    *,
    location: Location,
    month: CalendarMonth,
    check_key: str,
    reason: str,
    person: User,
    at: dt.datetime,
) -> CarriedCheck:
    """Carry an unfinished check of a month, so that it no longer holds up the lock.

    The same rows with the same reason are carried once; other ones replace what was
    carried before. Raise RefusedError.
    """
    with transaction.atomic():
        lock_periods(location)
        _require_open(location, month, at)
        check = _one(location, month, check_key)
        if check.carried is not None:
            if (
                rows_from(check.carried.open_rows) == check.rows
                and check.carried.reason == reason
            ):
                return check.carried
            _withdraw(check.carried, AGAIN, person, at)
        row = CarriedCheck.objects.create(
            location=location,
            month=month.first,
            check_key=check.key,
            label=check.words,
            open_rows=[list(one) for one in check.rows],
            reason=reason,
            carried_at=at,
            carried_by=person,
        )
        record_event(
            kind="month.carried",
            at=at,
            actor=person,
            location=location,
            subjects=[location, row],
            data={
                "check": check.words,
                "month": str(month),
                "what": check.amount_words,
                "reason": reason,
            },
        )
        return row


def withdraw_carried(
    *, carried: CarriedCheck, person: User, at: dt.datetime
) -> CarriedCheck:
    """Take back what was carried, before the lock; once is enough. Raise RefusedError."""
    with transaction.atomic():
        lock_periods(carried.location)
        row = CarriedCheck.everything.select_for_update(of=("self",)).get(pk=carried.pk)
        if row.is_withdrawn:
            return row
        month = CalendarMonth(row.month)
        _require_open(row.location, month, at)
        _withdraw(row, "", person, at)
        record_event(
            kind="month.opened-again",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row.location, row],
            data={"check": row.label, "month": str(month)},
        )
        return row


def lock_month(
    *, location: Location, month: CalendarMonth, person: User, at: dt.datetime
) -> PeriodLock:
    """Lock the books through the month's last day, once nothing is open.

    Raise RefusedError where a check is neither done nor carried, naming each.
    """
    with transaction.atomic():
        lock_periods(location)
        if locked_through(location) != month.last:
            _require_open(location, month, at)
        return lock_checked_period(
            location=location, through=month.last, person=person, at=at
        )


def _require_open(location: Location, month: CalendarMonth, at: dt.datetime) -> None:
    if month.last >= dock_day(at, location.zone):
        raise RefusedError(
            f"{month} is not over yet. Nothing was saved. Come back after its last day."
        )
    through = locked_through(location)
    if through is not None and through >= month.last:
        raise RefusedError(
            f"The books of {location} are locked through {month}. Nothing was changed. "
            "A lock cannot be undone."
        )


def _one(location: Location, month: CalendarMonth, check_key: str) -> Check:
    """Return the check, if it may be carried. Raise RefusedError."""
    if check_key not in CHECKS:
        raise RefusedError("Choose one of the checks. Nothing was saved.")
    check = next(one for one in checks_of(location, month) if one.key == check_key)
    if not check.rows:
        raise RefusedError(
            f"{check.words}: nothing is open in {month}. Nothing was saved, and nothing "
            "need be carried."
        )
    if not CHECKS[check_key].may_carry:
        raise RefusedError(
            f"{check.words}: the books disagree with themselves. Nothing was saved; this "
            "cannot be carried. Find the entry that is wrong and reverse it."
        )
    return check


def _withdraw(row: CarriedCheck, reason: str, person: User, at: dt.datetime) -> None:
    change_row(
        row,
        version=row.version,
        withdrawn_at=at,
        withdrawn_by=person,
        withdrawn_reason=reason,
    )
