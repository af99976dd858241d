"""Which deposit a crate on a return has, and the days that its credit depends on."""

from datetime import date, datetime

from django.db.models import Exists, F, Max, OuterRef

from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.ending import match_deposit
from inventory.models import (
    Crate,
    CrateReturn,
    Deposit,
    Leg,
    OpenSum,
    ReturnLine,
    User,
)
from inventory.queries.deposits.facts import terms_for
from inventory.rules.deposits.postings import DISPUTED, EXPECTED, RECEIVABLE


def left_on(row: CrateReturn) -> date:
    """Return the day a return was shipped. Raise RefusedError where it was not."""
    if row.picked_up_on is None:
        raise RefusedError(f"{row}: the ship day is not known. Nothing was saved.")
    return row.picked_up_on


def deposit_of(
    row: CrateReturn, line: ReturnLine, *, person: User, at: datetime
) -> Deposit | None:
    """Return the deposit of the crate; for racks tracked by count, the next in turn.

    A deposit that was forfeited, or whose rack went home before these books began, has
    had its turn.
    """
    rows = Deposit.objects.filter(is_withdrawn=False).select_related(
        "location", "supplier", "crate__shipment"
    )
    own = rows.filter(crate_id=line.crate_id).first()
    if own is not None:
        return own
    kind = Crate.objects.select_related("crate_type").get(pk=line.crate_id).crate_type
    if kind is None or kind.kept_by != "count":
        return None
    stands = OpenSum.objects.filter(
        deposit=OuterRef("pk"), account__kind=RECEIVABLE, cents__gt=0
    )
    free = rows.filter(
        Exists(stands),
        location=row.location,
        supplier=row.supplier,
        crate_type=kind,
        crate=None,
    )
    terms = terms_for(row.supplier, left_on(row))
    newest = terms is not None and not terms.oldest_first
    turn = (
        [F("invoiced_on").desc(), F("pk").desc()]
        if newest
        else [F("invoiced_on").asc(), F("pk").asc()]
    )
    found = free.order_by(*turn).first()
    if found is None:
        return None
    match_deposit(
        deposit=found, crate=line.crate, version=found.version, person=person, at=at
    )
    return rows.get(pk=found.pk)


def joined_deposit(deposit: Deposit) -> Deposit:
    """Return the deposit with its place, supplier and crate joined."""
    rows = Deposit.objects.select_related("location", "supplier", "crate__shipment")
    return rows.get(pk=deposit.pk)


def expected_since(deposit: Deposit) -> date:
    """Return the day since which the credit stands in the books, expected or disputed.

    What ends it takes effect no earlier.
    """
    kinds = (EXPECTED, DISPUTED)
    legs = Leg.objects.filter(deposit=deposit, account__kind__in=kinds)
    last: date | None = legs.aggregate(last=Max("entry__effective_on"))["last"]
    return last or date.min
