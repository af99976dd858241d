"""One supplier's open deposits with one location, for a statement.

Open is what we still expect from the supplier: receivable, expected and disputed.
"""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Min, Q, QuerySet, Sum

from inventory.models import Account, Deposit, Entry, Location, Supplier
from inventory.queries.ledger.balances import open_deposits, sums_on
from inventory.queries.ledger.months import moved_until
from inventory.rules.crates.words import ACCOUNTS, ENTRY_KINDS
from inventory.rules.deposits.postings import (
    DISPUTED,
    EXPECTED,
    NEVER_NEGATIVE,
    RECEIVABLE,
)
from inventory.rules.memos.statement_content import (
    Movement,
    OpenDeposit,
    StatementContent,
)
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents

_STANDS = {
    RECEIVABLE: "Crate with us",
    EXPECTED: "Credit expected",
    DISPUTED: "In dispute",
}


@dataclass(frozen=True)
class Span:
    """The days a statement covers, both included, in one currency."""

    first: dt.date
    last: dt.date
    currency: str


def open_cents(
    location: Location, supplier: Supplier, currency: str, as_of: dt.date
) -> int:
    """Return what is open with a supplier at the end of a day, in cents."""
    accounts = _accounts(location, supplier, currency)
    return sum(moved_until(accounts, as_of).values())


def statement_of(
    location: Location, supplier: Supplier, span: Span
) -> StatementContent:
    """Return the statement of one supplier's deposits over the span."""
    closing = open_cents(location, supplier, span.currency, span.last)
    before = span.first - dt.timedelta(days=1)
    opening = open_cents(location, supplier, span.currency, before)
    return StatementContent(
        location=location.name,
        location_lines=tuple(location.address.splitlines()),
        supplier=supplier.name,
        supplier_lines=tuple(supplier.address.splitlines()),
        first=in_words(span.first),
        last=in_words(span.last),
        opening=format_cents(opening, span.currency),
        closing=format_cents(closing, span.currency),
        balances=_balances(location, supplier, span, closing),
        deposits=_deposits(location, supplier, span),
        movements=_movements(location, supplier, span, opening),
        currency=span.currency,
        paper="a4" if location.paper == "a4" else "letter",
    )


def _accounts(
    location: Location, supplier: Supplier, currency: str
) -> QuerySet[Account]:
    return Account.objects.filter(
        location=location,
        supplier=supplier,
        currency=currency,
        kind__in=NEVER_NEGATIVE,
    )


def _balances(
    location: Location, supplier: Supplier, span: Span, closing: int
) -> tuple[tuple[str, str], ...]:
    accounts = _accounts(location, supplier, span.currency)
    moved = moved_until(accounts, span.last)
    sums = {row.kind: moved.get(row.pk, 0) for row in accounts}
    kinds = [
        (ACCOUNTS[kind], format_cents(sums.get(kind, 0), span.currency))
        for kind in NEVER_NEGATIVE
    ]
    return (*kinds, ("Open in all", format_cents(closing, span.currency)))


def _deposits(
    location: Location, supplier: Supplier, span: Span
) -> tuple[OpenDeposit, ...]:
    rows = open_deposits([location], span.last).filter(
        supplier=supplier, currency=span.currency
    )
    return tuple(
        _open(row, kind, cents)
        for row in rows
        for kind in NEVER_NEGATIVE
        if (cents := sums_on(row).of(kind))
    )


def _open(row: Deposit, kind: str, cents: int) -> OpenDeposit:
    crate = row.crate
    named = (crate.mark if crate else "") or row.mark
    kind_of = row.crate_type.name if row.crate_type else "Crate"
    return OpenDeposit(
        crate=f"{kind_of} {named}".strip(),
        invoice=f"{row.invoice_number}, line {row.line_number}",
        charged_on=in_words(row.invoiced_on),
        stands=_STANDS[kind],
        amount=format_cents(cents, row.currency),
    )


def _movements(
    location: Location, supplier: Supplier, span: Span, opening: int
) -> tuple[Movement, ...]:
    mine = Q(
        legs__account__kind__in=NEVER_NEGATIVE,
        legs__account__currency=span.currency,
    )
    entries = (
        Entry.objects.filter(
            location=location,
            supplier=supplier,
            currency=span.currency,
            effective_on__gte=span.first,
            effective_on__lte=span.last,
        )
        .annotate(change=Sum("legs__cents", filter=mine), first_leg=Min("legs__pk"))
        .exclude(change=None)
        .exclude(change=0)
        .order_by("effective_on", "first_leg")
    )
    found, balance = [], opening
    for entry in entries:
        balance += entry.change
        found.append(_movement(entry, entry.change, balance))
    return tuple(found)


def _movement(entry: Entry, change: int, balance: int) -> Movement:
    note = f". {entry.note}" if entry.note else ""
    return Movement(
        day=in_words(entry.effective_on),
        what=f"{ENTRY_KINDS[entry.kind]}{note}",
        more=format_cents(change, entry.currency) if change > 0 else "",
        less=format_cents(-change, entry.currency) if change < 0 else "",
        balance=format_cents(balance, entry.currency),
    )
