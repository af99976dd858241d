"""The balances with each supplier at the end of a day: one row a supplier."""

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from inventory.models import Location
from inventory.queries.ledger.balances import AccountBalance, account_balances
from inventory.queries.ledger.rates import Rates, about_of
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.crates.words import ACCOUNTS, DEPOSIT_ACCOUNTS
from inventory.rules.deposits.postings import (
    CHARGES,
    DISPUTED,
    EXPECTED,
    FORFEITED,
    NEVER_NEGATIVE,
    RECEIVABLE,
    WRITTEN_OFF,
)
from inventory.rules.reckoning.money import home_first
from inventory.rules.reckoning.rates import About


@dataclass
class SupplierBalance:
    """The balances with one supplier at one location, in cents by kind of account."""

    location: str
    location_id: int
    supplier: str
    supplier_id: int
    currency: str
    cents: dict[str, int] = field(default_factory=dict)

    def of(self, kind: str) -> int:
        """Return the balance of this kind of account."""
        return self.cents.get(kind, 0)

    @property
    def with_us(self) -> int:
        """Return the deposits on crates that are with us."""
        return self.of(RECEIVABLE)

    @property
    def expected(self) -> int:
        """Return the credits expected."""
        return self.of(EXPECTED)

    @property
    def disputed(self) -> int:
        """Return the credits in dispute."""
        return self.of(DISPUTED)

    @property
    def is_open(self) -> int:
        """Return what we still expect from the supplier, in all."""
        return sum(self.of(kind) for kind in NEVER_NEGATIVE)

    @property
    def lost(self) -> int:
        """Return what charges, forfeits and write-offs cost."""
        return sum(self.of(kind) for kind in (CHARGES, FORFEITED, WRITTEN_OFF))


def supplier_balances(
    locations: Iterable[Location], as_of: dt.date | None = None
) -> list[SupplierBalance]:
    """Return the balances by location, supplier and currency. One query."""
    found: dict[tuple[int, int, str], SupplierBalance] = {}
    for row in account_balances(locations, as_of):
        key = (row.location_id, row.supplier_id, row.currency)
        found.setdefault(key, _begun(row)).cents[row.kind] = row.cents
    return list(found.values())


def _begun(row: AccountBalance) -> SupplierBalance:
    return SupplierBalance(
        location=row.location,
        location_id=row.location_id,
        supplier=row.supplier,
        supplier_id=row.supplier_id,
        currency=row.currency,
    )


@dataclass(frozen=True)
class CurrencyTotal:
    """The balances in one currency over all suppliers, in cents."""

    currency: str
    with_us: int
    expected: int
    disputed: int
    lost: int
    about: About | None = None

    @property
    def is_open(self) -> int:
        """Return what is still expected from all suppliers."""
        return self.with_us + self.expected + self.disputed


def totals_of(
    rows: Sequence[SupplierBalance],
    rates: Rates | None = None,
    homes: Collection[str] = (),
) -> list[CurrencyTotal]:
    """Return the sums, a row a currency, those of ``homes`` first.

    With ``rates`` what is open is told at home.
    """
    opened = ((row.location_id, row.currency, row.is_open) for row in rows)
    about = about_of(opened, rates or {})
    sums: dict[str, list[int]] = {}
    for row in rows:
        held = sums.setdefault(row.currency, [0, 0, 0, 0])
        own = (row.with_us, row.expected, row.disputed, row.lost)
        for place, cents in enumerate(own):
            held[place] += cents
    return [
        CurrencyTotal(currency, own[0], own[1], own[2], own[3], about.get(currency))
        for currency, own in ((one, sums[one]) for one in home_first(sums, homes))
    ]


def balance_sheet(rows: Iterable[SupplierBalance]) -> Sheet:
    """Return the balances as a sheet, every kind of account a column."""
    return make_sheet("Balances", _COLUMNS, rows, currency_of=lambda row: row.currency)


def _reader(kind: str) -> Column[SupplierBalance]:
    return Column(ACCOUNTS[kind], "cents", lambda row: row.of(kind), is_summed=True)


_COLUMNS: list[Column[SupplierBalance]] = [
    Column("Supplier", "text", lambda row: row.supplier),
    Column("Location", "text", lambda row: row.location),
    Column("Currency", "text", lambda row: row.currency),
    *(_reader(kind) for kind in (RECEIVABLE, EXPECTED, DISPUTED)),
    Column("Open in all", "cents", lambda row: row.is_open, is_summed=True),
    Column(
        "Charges, forfeits, write-offs", "cents", lambda row: row.lost, is_summed=True
    ),
    *(_reader(kind) for kind in DEPOSIT_ACCOUNTS if kind not in NEVER_NEGATIVE),
]
