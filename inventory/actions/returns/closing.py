"""Closing a return once every crate of it is credited, decided or lost."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Sum

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.actions.returns.staging import about, lock_return
from inventory.models import CrateReturn, Leg, User
from inventory.rules.deposits.postings import NEVER_NEGATIVE
from inventory.rules.returns import life as rules


def close_settled(deposits: Iterable[int], *, person: User, at: datetime) -> None:
    """Close the returns of these deposits on which nothing waits any more.

    Call it under the book's lock, last in the act.
    """
    rows = CrateReturn.objects.filter(
        lines__deposit__in=list(deposits),
        lines__is_taken_off=False,
        state__in=rules.UNDER_WAY,
    )
    for row in rows.order_by("pk").distinct():
        close_return(row, person=person, at=at)


def close_return(crate_return: CrateReturn, *, person: User, at: datetime) -> bool:
    """Close the return if nothing on it waits; say whether it is closed now."""
    row = lock_return(crate_return)
    facts = rules.ReturnFacts(unsettled=unsettled(row))
    decision = rules.decide(row.state, "close", facts)
    if decision.new_state is None:
        return False
    change_row(row, version=row.version, state=decision.new_state)
    record_event(
        kind="return.closed",
        at=at,
        actor=person,
        location=row.location,
        subjects=about(row),
        data={"number": row.number},
    )
    return True


def unsettled(row: CrateReturn) -> int:
    """Return how many crates of the return still wait for money or for a word."""
    lines = row.lines.filter(is_taken_off=False)
    open_sums = (
        Leg.objects.filter(
            deposit__in=lines.values("deposit"), account__kind__in=NEVER_NEGATIVE
        )
        .order_by()
        .values("deposit")
        .annotate(total=Sum("cents"))
    )
    owed = sum(1 for one in open_sums if one["total"])
    bare = lines.filter(deposit=None, crate__state="shipped").count()
    return owed + bare
