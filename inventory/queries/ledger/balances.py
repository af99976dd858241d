"""Account balances: of a deposit, of a supplier, on any day.

An entry counts from the day it takes effect, whenever it was entered.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import BigIntegerField, F, Q, QuerySet, Sum, Value, Window
from django.db.models.functions import Coalesce

from inventory.models import Deposit, Leg, Location
from inventory.queries.core.joined import joined_number
from inventory.rules.deposits.postings import (
    DISPUTED,
    EXPECTED,
    NEVER_NEGATIVE,
    RECEIVABLE,
)


@dataclass(frozen=True, slots=True)
class AccountBalance:
    """The balance of one account, in cents: debit above zero, credit below."""

    location: str
    location_id: int
    supplier: str
    supplier_id: int
    kind: str
    currency: str
    cents: int


def deposit_balance(
    deposit: Deposit, kind: str | None = None, as_of: dt.date | None = None
) -> int:
    """Return a deposit's balance in one kind of account, in cents.

    Without a kind it is all that is still owed on it: receivable, expected and
    disputed. Read it under ``lock_deposit`` before acting on it.
    """
    kinds = NEVER_NEGATIVE if kind is None else (kind,)
    legs = _until(Leg.objects.filter(deposit=deposit, account__kind__in=kinds), as_of)
    return int(legs.aggregate(total=Sum("cents"))["total"] or 0)


def account_balances(
    locations: Iterable[Location], as_of: dt.date | None = None
) -> list[AccountBalance]:
    """Return the balance of every account of these locations, at the end of a day.

    By location, supplier, currency and kind; accounts that nothing moved are left
    out. The balances of one currency sum to zero.
    """
    legs = _until(Leg.objects.filter(account__location__in=locations), as_of)
    rows = (
        legs.order_by()
        .values(
            "account__location__name",
            "account__location_id",
            "account__supplier__name",
            "account__supplier_id",
            "account__kind",
            "account__currency",
        )
        .annotate(cents=Sum("cents"))
        .order_by(
            "account__location__name",
            "account__supplier__name",
            "account__currency",
            "account__kind",
        )
    )
    return [
        AccountBalance(
            location=row["account__location__name"],
            location_id=row["account__location_id"],
            supplier=row["account__supplier__name"],
            supplier_id=row["account__supplier_id"],
            kind=row["account__kind"],
            currency=row["account__currency"],
            cents=row["cents"],
        )
        for row in rows
    ]


@dataclass(frozen=True, slots=True)
class Sums:
    """What stands on one deposit, in whole cents of its currency."""

    receivable: int
    expected: int
    disputed: int
    currency: str

    @property
    def credit(self) -> int:
        """Return what the supplier still has to credit: expected and disputed."""
        return self.expected + self.disputed

    def of(self, kind: str) -> int:
        """Return what stands in one kind of account."""
        return {
            RECEIVABLE: self.receivable,
            EXPECTED: self.expected,
            DISPUTED: self.disputed,
        }[kind]


def sums_on(row: Deposit) -> Sums:
    """Return what ``with_balances`` joined to a deposit. Raise NotJoinedError."""
    return Sums(
        receivable=joined_number(row, "receivable"),
        expected=joined_number(row, "expected"),
        disputed=joined_number(row, "disputed"),
        currency=row.currency,
    )


def with_balances(
    deposits: QuerySet[Deposit], as_of: dt.date | None = None
) -> QuerySet[Deposit]:
    """Join to each deposit what stands on it; ``sums_on`` reads it."""
    day = Q() if as_of is None else Q(legs__entry__effective_on__lte=as_of)
    sums = {
        name: Coalesce(
            Sum("legs__cents", filter=Q(legs__account__kind=kind) & day),
            Value(0),
            output_field=BigIntegerField(),
        )
        for name, kind in (
            ("receivable", RECEIVABLE),
            ("expected", EXPECTED),
            ("disputed", DISPUTED),
        )
    }
    return deposits.annotate(**sums)


def open_deposits(
    locations: Iterable[Location], as_of: dt.date | None = None
) -> QuerySet[Deposit]:
    """Return the deposits on which anything is still open, the oldest first.

    One query, joined to what a list shows; ``sums_on`` reads the sums of a row.
    """
    rows = Deposit.objects.filter(location__in=locations).select_related(
        "location", "supplier", "crate_type", "crate__shipment"
    )
    still = Q(receivable__gt=0) | Q(expected__gt=0) | Q(disputed__gt=0)
    return with_balances(rows, as_of).filter(still).order_by("invoiced_on", "pk")


def running_rows(legs: QuerySet[Leg]) -> QuerySet[Leg]:
    """Return the legs in the order they take effect, each with ``running`` cents.

    The running balance is of the legs given: of one account, or of one deposit in
    each kind of account apart.
    """
    # Within one day, in the order written: two of the same moment differ too.
    order = ("entry__effective_on", "pk")
    running = Window(
        Sum("cents"),
        partition_by=[F("account_id")],
        order_by=[F(name).asc() for name in order],
    )
    joined = legs.select_related(
        "entry__entered_by", "entry__reverses", "account__supplier", "deposit"
    )
    return joined.annotate(running=running).order_by(*order)


def _until(legs: QuerySet[Leg], as_of: dt.date | None) -> QuerySet[Leg]:
    return legs if as_of is None else legs.filter(entry__effective_on__lte=as_of)
