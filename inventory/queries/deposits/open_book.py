"""All that is open on deposits, read once for the sums, the aging and the first rows."""

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from inventory.models import Account, Deposit, Location, OpenSum, Supplier
from inventory.queries.deposits.bare import (
    OF_CRATE,
    OF_DEPOSIT,
    BareDeposit,
    BareFacts,
)
from inventory.queries.ledger.balances import open_deposits
from inventory.rules.deposits.postings import (
    DISPUTED,
    EXPECTED,
    NEVER_NEGATIVE,
    RECEIVABLE,
)

_MORE = ("location_id", "shipped_back_on", "is_withdrawn", "crate__look")
_COLUMNS = (*OF_DEPOSIT, *(f"crate__{name}" for name in OF_CRATE), *_MORE)


@dataclass(frozen=True, slots=True)
class OpenDeposit:
    """One deposit with something open on it, in whole cents, by its bare columns."""

    bare: BareDeposit
    location: int
    shipped_back_on: dt.date | None
    is_withdrawn: bool
    look: str | None
    receivable: int
    expected: int
    disputed: int


class OpenBook:
    """The deposits of some locations that are open, or were on a day; oldest first."""

    def __init__(
        self,
        locations: Iterable[Location],
        as_of: dt.date | None = None,
        *,
        supplier: Supplier | None = None,
        states: Collection[str] = (),
    ) -> None:
        """Read them, and the facts of their crates.

        Of one ``supplier``, or with a crate in one of ``states``, where these are given.
        """
        places = list(locations)
        found = _open(places, supplier) if as_of is None else _once_open(places, as_of)
        if states:
            found = [row for row in found if row.bare.state in states]
        self.rows = sorted(found, key=lambda row: (row.bare.invoiced_on, row.bare.key))
        counted = (row.bare for row in self.rows if row.receivable)
        self.facts = BareFacts(counted, [row.bare for row in self.rows])

    def receivable(self) -> list[OpenDeposit]:
        """Return those on whose crates the supplier's deposit still stands."""
        return [row for row in self.rows if row.receivable]

    def charged(self) -> set[int | None]:
        """Return the keys of the crates whose deposits stand, none of them withdrawn."""
        return {row.bare.crate for row in self.rows if not row.is_withdrawn}

    def loose(self) -> list[int]:
        """Return the keys of those that stand and are on no crate."""
        return [row.bare.key for row in self.receivable() if row.bare.crate is None]


def _open(locations: list[Location], supplier: Supplier | None) -> list[OpenDeposit]:
    accounts = Account.objects.filter(
        location__in=locations, kind__in=NEVER_NEGATIVE
    ).order_by()
    if supplier is not None:
        accounts = accounts.filter(supplier=supplier)
    kinds = dict(accounts.values_list("pk", "kind"))
    sums = OpenSum.objects.filter(account__in=list(kinds)).order_by()
    found: dict[int, dict[str, int]] = {}
    for account, key, cents in sums.values_list("account_id", "deposit_id", "cents"):
        found.setdefault(key, {})[kinds[account]] = cents
    # By their keys: joined to the sums, PostgreSQL may read every deposit there was.
    keys = [key for key, own in found.items() if any(own[kind] > 0 for kind in own)]
    rows = Deposit.objects.filter(pk__in=keys).order_by().values_list(*_COLUMNS)
    return [
        _row(row, tuple(found[row[0]].get(kind, 0) for kind in _KINDS)) for row in rows
    ]


def _once_open(locations: list[Location], as_of: dt.date) -> list[OpenDeposit]:
    rows = open_deposits(locations, as_of).values_list(*_COLUMNS, *_NAMES)
    return [
        _row(row[:-3], tuple(int(cents or 0) for cents in row[-3:])) for row in rows
    ]


_KINDS = (RECEIVABLE, EXPECTED, DISPUTED)
_NAMES = ("receivable", "expected", "disputed")


def _row(columns: tuple, cents: tuple[int, ...]) -> OpenDeposit:  # type: ignore[type-arg]
    bare, more = columns[: -len(_MORE)], columns[-len(_MORE) :]
    return OpenDeposit(BareDeposit(*bare), *more, *cents)
