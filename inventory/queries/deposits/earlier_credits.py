"""Credits for crates that were shipped back before these books began."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from inventory.access import scoped
from inventory.models import Deposit, User
from inventory.queries.deposits.aging import memo_due_on
from inventory.queries.deposits.facts import with_facts
from inventory.queries.ledger.balances import Sums, sums_on, with_balances
from inventory.rules.core.sheets import Column, Sheet, make_sheet


@dataclass(frozen=True)
class EarlierCredit:
    """One such credit: its row, what is open on it, and the day its memo is due."""

    row: Deposit
    sums: Sums
    due_on: dt.date | None


def earlier_rows(person: User) -> QuerySet[Deposit]:
    """Return the credits that this person can see, the longest expected first."""
    rows = scoped(Deposit.objects.all(), person, "see-deposits").filter(
        shipped_back_on__isnull=False, is_withdrawn=False
    )
    return with_balances(with_facts(rows)).order_by("shipped_back_on", "pk")


def earlier_credits(rows: Iterable[Deposit]) -> list[EarlierCredit]:
    """Return what a list shows of each of the ``earlier_rows``."""
    return [EarlierCredit(row, sums_on(row), memo_due_on(row)) for row in rows]


_COLUMNS: list[Column[EarlierCredit]] = [
    Column("Crate mark", "text", lambda one: one.row.mark),
    Column("Crate type", "text", lambda one: str(one.row.crate_type or "")),
    Column("Supplier", "text", lambda one: one.row.supplier.name),
    Column("Location", "text", lambda one: one.row.location.name),
    Column("Our bill", "text", lambda one: one.row.shipped_back_bill),
    Column("Reference", "text", lambda one: one.row.invoice_number),
    Column("Shipped back on", "day", lambda one: one.row.shipped_back_on),
    Column("Memo due on", "day", lambda one: one.due_on),
    Column("Still expected", "cents", lambda one: one.sums.expected, is_summed=True),
    Column("Disputed", "cents", lambda one: one.sums.disputed, is_summed=True),
    Column("Currency", "text", lambda one: one.row.currency),
]


def earlier_sheet(rows: Iterable[Deposit]) -> Sheet:
    """Return the credits as a sheet."""
    return make_sheet(
        "Credits from earlier books",
        _COLUMNS,
        earlier_credits(rows),
        currency_of=lambda one: one.row.currency,
    )
