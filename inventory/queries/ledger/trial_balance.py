"""The trial balance of a span of days, and the lines behind each of its figures."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import F, QuerySet

from inventory.models import Account, AccountNumber, Leg, Location
from inventory.queries.ledger.months import Moved, moved_in, moved_until
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS
from inventory.rules.reckoning.money import home_first


@dataclass(frozen=True, slots=True)
class TrialRow:
    """One kind of account of a location in a currency: cents, credits below zero."""

    location: Location
    kind: str
    currency: str
    number: str
    name: str
    opening: int
    debit: int
    credit: int

    @property
    def account_class(self) -> str:
        """Return the class of the account."""
        return ACCOUNT_CLASSES[self.kind]

    @property
    def closing(self) -> int:
        """Return the balance at the end of the span."""
        return self.opening + self.debit - self.credit


@dataclass(frozen=True, slots=True)
class TrialTotal:
    """The sums of one currency: opening and closing are 0 where the books are even."""

    currency: str
    opening: int
    debit: int
    credit: int
    closing: int

    @property
    def is_even(self) -> bool:
        """Return whether nothing is missing on either side."""
        return not self.opening and not self.closing and self.debit == self.credit


def trial_balance(
    locations: Sequence[Location], first: dt.date, last: dt.date
) -> list[TrialRow]:
    """Return every account that anything moved up to ``last``, by currency and kind."""
    accounts = Account.objects.filter(location__in=locations)
    moved = moved_in(accounts, first, last)
    sums: dict[tuple[int, str, str], list[Moved]] = defaultdict(list)
    for account in accounts:
        if account.pk in moved:
            key = account.location_id, account.currency, account.kind
            sums[key].append(moved[account.pk])
    numbers = {
        (row.location_id, row.kind): row
        for row in AccountNumber.objects.filter(location__in=locations)
    }
    places = {place.pk: place for place in locations}
    order = {kind: place for place, kind in enumerate(ACCOUNTS)}
    found = []
    for (place_id, currency, kind), rows in sums.items():
        place = places[place_id]
        own = numbers.get((place.pk, kind))
        found.append(
            TrialRow(
                location=place,
                kind=kind,
                currency=currency,
                number=own.number if own else "",
                name=own.name if own and own.name else ACCOUNTS[kind],
                opening=sum(row.opening for row in rows),
                debit=sum(row.debits for row in rows),
                credit=sum(row.credits for row in rows),
            )
        )
    homes = {place.currency for place in locations}
    return sorted(
        found,
        key=lambda one: (
            one.currency not in homes,
            one.currency,
            order[one.kind],
            one.location.name,
        ),
    )


def totals_of(rows: Iterable[TrialRow]) -> list[TrialTotal]:
    """Return the sums, a row a currency, in the rows' order; two are never added."""
    sums: dict[str, list[int]] = {}
    for row in rows:
        held = sums.setdefault(row.currency, [0, 0, 0, 0])
        for place, cents in enumerate(
            (row.opening, row.debit, row.credit, row.closing)
        ):
            held[place] += cents
    return [TrialTotal(currency, *own) for currency, own in sums.items()]


def trial_sheet(rows: Iterable[TrialRow]) -> Sheet:
    """Return the trial balance as a sheet; its sums are those of the page."""
    return make_sheet(
        "Trial balance", _TRIAL, rows, currency_of=lambda one: one.currency
    )


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One line of an account, with the balance after it in cents."""

    leg: Leg
    running: int


@dataclass(frozen=True)
class AccountSpan:
    """The lines of one kind of account in a span of days."""

    opening: int
    lines: tuple[AccountLine, ...]

    @property
    def closing(self) -> int:
        """Return the balance at the end."""
        return self.lines[-1].running if self.lines else self.opening


def account_span(
    locations: Sequence[Location],
    kind: str,
    currency: str,
    days: tuple[dt.date, dt.date],
) -> AccountSpan:
    """Return the lines of an account from one day to another, in order."""
    accounts = Account.objects.filter(
        location__in=locations, kind=kind, currency=currency
    )
    # Told nothing of the account's index, the database reads by day.
    own = Leg.objects.alias(of=F("account_id") + 0).filter(of__in=accounts.values("pk"))
    before = moved_until(accounts, days[0] - dt.timedelta(days=1))
    running = start = sum(before.values())
    lines = []
    for leg in _in_order(own.filter(entry__effective_on__range=days)):
        running += leg.cents
        lines.append(AccountLine(leg, running))
    return AccountSpan(start, tuple(lines))


def currencies_at(locations: Sequence[Location]) -> list[str]:
    """Return the currencies of the accounts and of the locations themselves."""
    rows = Account.objects.filter(location__in=locations).order_by()
    found = set(rows.values_list("currency", flat=True).distinct())
    homes = {place.currency for place in locations}
    return home_first(found | homes, homes)


def _in_order(legs: QuerySet[Leg]) -> QuerySet[Leg]:
    joined = legs.select_related(
        "entry__location", "entry__supplier", "entry__carrier", "deposit"
    )
    return joined.order_by("entry__effective_on", "pk")


def account_sheet(span: AccountSpan, currency: str) -> Sheet:
    """Return the lines of an account as a sheet."""
    return make_sheet("Account", _LINES, span.lines, currency_of=lambda _: currency)


_TRIAL: list[Column[TrialRow]] = [
    Column("Number", "text", lambda one: one.number),
    Column("Account", "text", lambda one: one.name),
    Column("Class", "text", lambda one: one.account_class),
    Column("Location", "text", lambda one: one.location.name),
    Column("Opening", "cents", lambda one: one.opening, is_summed=True),
    Column("Debit", "cents", lambda one: one.debit, is_summed=True),
    Column("Credit", "cents", lambda one: one.credit, is_summed=True),
    Column("Closing", "cents", lambda one: one.closing, is_summed=True),
    Column("Currency", "text", lambda one: one.currency),
]

_LINES: list[Column[AccountLine]] = [
    Column("Entry", "text", lambda one: str(one.leg.entry_id)),
    Column("Day", "day", lambda one: one.leg.entry.effective_on),
    Column("What", "text", lambda one: one.leg.entry.get_kind_display()),
    Column("Location", "text", lambda one: one.leg.entry.location.name),
    Column("Supplier or carrier", "text", lambda one: one.leg.entry.partner.name),
    Column("Debit", "cents", lambda one: one.leg.debit or None, is_summed=True),
    Column("Credit", "cents", lambda one: one.leg.credit or None, is_summed=True),
    Column("Balance", "cents", lambda one: one.running),
    Column("Currency", "text", lambda one: one.leg.entry.currency),
    Column("Note", "text", lambda one: one.leg.entry.note),
]
