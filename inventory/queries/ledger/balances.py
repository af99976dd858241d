"""Account balances: of a deposit, of a supplier, on any day.

An entry counts from the day it takes effect, whenever it was entered.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from django.db.models import (
    BigIntegerField,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    Window,
)
from django.db.models.functions import Coalesce

from inventory.models import Account, Deposit, Leg, Location, OpenSum
from inventory.queries.core.joined import joined_number
from inventory.queries.ledger.months import moved_until
from inventory.rules.crates.words import DEPOSIT_ACCOUNTS
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


def standing(path: str) -> Q:
    """Return the condition that an entry stands: it is neither reversed nor a reversal."""
    return Q(**{f"{path}__reverses": None, f"{path}__reversed_by": None})


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
    """Return the balance of every deposit account of these locations, on a day.

    By location, supplier, currency and kind; accounts that nothing moved are left
    out. The balances of one currency sum to zero.
    """
    accounts = Account.objects.filter(
        location__in=locations, kind__in=DEPOSIT_ACCOUNTS
    ).select_related("location", "supplier")
    found = moved_until(accounts, as_of or dt.date.max)
    return [
        AccountBalance(
            location=account.location.name,
            location_id=account.location_id,
            supplier=account.supplier.name,
            supplier_id=account.supplier.pk,
            kind=account.kind,
            currency=account.currency,
            cents=found[account.pk],
        )
        for account in accounts.order_by(
            "location__name", "supplier__name", "currency", "kind"
        )
        if account.pk in found and account.supplier is not None
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
    names = {"receivable": RECEIVABLE, "expected": EXPECTED, "disputed": DISPUTED}
    standing = _standing if as_of is None else partial(_stood, as_of)
    return deposits.annotate(
        **{
            name: Coalesce(standing(kind), Value(0), output_field=BigIntegerField())
            for name, kind in names.items()
        }
    )


def _standing(kind: str) -> Subquery:
    """Return what stands on a deposit in its one account of this kind."""
    own = OpenSum.objects.filter(deposit=OuterRef("pk"), account__kind=kind)
    return Subquery(own.order_by().values("cents")[:1])


def _stood(day: dt.date, kind: str) -> Sum:
    """Return what stood on a deposit at the end of a day."""
    until = Q(legs__account__kind=kind, legs__entry__effective_on__lte=day)
    return Sum("legs__cents", filter=until)


def open_deposits(
    locations: Iterable[Location], as_of: dt.date | None = None
) -> QuerySet[Deposit]:
    """Return the deposits on which anything is still open, the oldest first.

    Joined to what a list shows; ``sums_on`` reads the sums of a row.
    """
    rows = Deposit.objects.filter(location__in=locations).select_related(
        "location", "supplier", "crate_type", "crate__shipment"
    )
    if as_of is None:
        found = with_balances(rows.filter(standing_in(*NEVER_NEGATIVE)))
    else:
        still = Q(receivable__gt=0) | Q(expected__gt=0) | Q(disputed__gt=0)
        found = with_balances(maybe_open(rows, as_of), as_of).filter(still)
    return found.order_by("invoiced_on", "pk")


def standing_in(*kinds: str) -> Q:
    """Return the condition that something stands on a deposit now in these accounts.

    By key: asked of the joined sums, PostgreSQL reckons them for every deposit first.
    """
    sums = OpenSum.objects.filter(account__kind__in=kinds, cents__gt=0)
    return Q(pk__among=sums.order_by().values("deposit"))


def maybe_open(
    deposits: QuerySet[Deposit], as_of: dt.date | None = None
) -> QuerySet[Deposit]:
    """Leave out the deposits on which nothing stood at the end of that day, or now.

    What stands on a deposit now, or was moved after the day, may have been open then.
    """
    keys = Q(pk__in=OpenSum.objects.values("deposit"))
    if as_of is not None:
        later = Leg.objects.filter(deposit__isnull=False, entry__effective_on__gt=as_of)
        keys |= Q(pk__in=later.order_by().values("deposit"))
    return deposits.filter(keys)


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
