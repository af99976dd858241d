"""Sums of accounts on any day: from the month's sums, less what came after the day."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.models import Account, AccountMonth, Leg


@dataclass(frozen=True, slots=True)
class Moved:
    """What moved in an account in a span of days, in cents; credits above zero."""

    opening: int
    debits: int
    credits: int


def moved_until(accounts: QuerySet[Account], day: dt.date) -> dict[int, int]:
    """Return the balance at the end of a day of each account that moved by then.

    Two queries, whatever the number of entries: the last month's closing balance, and
    the entries of that month after the day.
    """
    months = _last_months(accounts, day)
    later = _sides(day + _ONE if day < dt.date.max else None, end_of_month(day))
    return {
        key: row.closing - debits + credits_
        for key, row in months.items()
        for debits, credits_ in [later.get(key, (0, 0))]
        if (row.debits, row.credits) != (debits, credits_) or _moved_before(row, day)
    }


def moved_in(
    accounts: QuerySet[Account], first: dt.date, last: dt.date
) -> dict[int, Moved]:
    """Return what moved from a day to another, of each account that moved by then."""
    closing = moved_until(accounts, last)
    opening = moved_until(accounts, first - _ONE)
    whole = AccountMonth.objects.filter(
        account__in=accounts, month__range=(_month(first), last)
    )
    sums = {
        key: (debits, credits_)
        for key, debits, credits_ in whole.order_by()
        .values_list("account")
        .annotate(Sum("debits"), Sum("credits"))
    }
    before = _sides(_month(first), first - _ONE)
    after = _sides(last + _ONE, end_of_month(last))
    found = {}
    for key in closing:
        sides = [rows.get(key, (0, 0)) for rows in (sums, before, after)]
        debits, credits_ = (
            all_ - one - two for all_, one, two in zip(*sides, strict=True)
        )
        found[key] = Moved(opening.get(key, 0), debits, credits_)
    return found


_ONE = dt.timedelta(days=1)


def end_of_month(day: dt.date) -> dt.date:
    """Return the last day of the month of a day."""
    if (day.year, day.month) == (dt.date.max.year, dt.date.max.month):
        return dt.date.max
    return (_month(day) + dt.timedelta(days=32)).replace(day=1) - _ONE


def _month(day: dt.date) -> dt.date:
    return day.replace(day=1)


def _last_months(accounts: QuerySet[Account], day: dt.date) -> dict[int, AccountMonth]:
    of_account = AccountMonth.objects.filter(account=OuterRef("pk"), month__lte=day)
    last = of_account.order_by("-month").values("pk")[:1]
    keys = accounts.order_by().values_list(Subquery(last), flat=True)
    rows = AccountMonth.objects.filter(pk__in=[key for key in keys if key])
    return {row.account_id: row for row in rows}


def _moved_before(row: AccountMonth, day: dt.date) -> bool:
    """Return whether anything moved before the month of the day."""
    return (
        row.month < _month(day)
        or AccountMonth.objects.filter(
            account=row.account_id, month__lt=row.month
        ).exists()
    )


def _sides(first: dt.date | None, last: dt.date) -> Mapping[int, tuple[int, int]]:
    """Return the debits and credits of each account from a day to another."""
    if first is None or first > last:
        return {}
    # By day, of every account: by account they would all be read.
    legs = Leg.objects.filter(entry__effective_on__range=(first, last))
    rows = (
        legs.order_by()
        .values("account")
        .annotate(
            debits=Sum("cents", filter=Q(cents__gt=0), default=0),
            credits=Sum(-F("cents"), filter=Q(cents__lt=0), default=0),
        )
    )
    return {row["account"]: (int(row["debits"]), int(row["credits"])) for row in rows}
