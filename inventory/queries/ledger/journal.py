"""The journal of a span of days: every entry with its legs, as an accountant reads it.

The account numbers are the company's own where they were entered.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Min, Prefetch

from inventory.models import AccountNumber, Entry, Leg, Location
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS


@dataclass(frozen=True, slots=True)
class JournalLine:
    """One leg of an entry, in cents on one side: the other one is None."""

    entry: Entry
    number: str
    account: str
    account_class: str
    what: str
    debit: int | None
    credit: int | None


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One entry with its lines in the order they were sealed."""

    entry: Entry
    lines: tuple[JournalLine, ...]


def journal(
    locations: Sequence[Location], first: dt.date, last: dt.date
) -> list[JournalEntry]:
    """Return the entries that take effect from ``first`` to ``last``, in that order."""
    numbers = _numbers(locations)
    legs = Leg.objects.select_related("account", "deposit").order_by("position")
    entries = (
        Entry.objects.filter(
            location__in=locations, effective_on__gte=first, effective_on__lte=last
        )
        .select_related("location", "supplier", "entered_by", "reverses")
        .prefetch_related(Prefetch("legs", legs))
        # Within one day, in the order written: by the first leg, as the key is random.
        .annotate(first_leg=Min("legs__pk"))
        .order_by("effective_on", "first_leg")
    )
    return [
        JournalEntry(
            entry, tuple(_line(entry, leg, numbers) for leg in entry.legs.all())
        )
        for entry in entries
    ]


def journal_sheet(entries: Iterable[JournalEntry]) -> Sheet:
    """Return the journal as a sheet, a row a leg; debits and credits sum to the same."""
    lines = [line for entry in entries for line in entry.lines]
    return make_sheet(
        "Journal", _COLUMNS, lines, currency_of=lambda line: line.entry.currency
    )


def sides(entries: Iterable[JournalEntry]) -> list[tuple[str, int, int]]:
    """Return currency, debits and credits in cents, a row a currency."""
    sums: dict[str, list[int]] = {}
    for one in entries:
        for line in one.lines:
            both = sums.setdefault(one.entry.currency, [0, 0])
            both[0] += line.debit or 0
            both[1] += line.credit or 0
    return [
        (currency, debit, credit) for currency, (debit, credit) in sorted(sums.items())
    ]


def _numbers(locations: Sequence[Location]) -> dict[tuple[int, str], AccountNumber]:
    rows = AccountNumber.objects.filter(location__in=locations)
    return {(row.location_id, row.kind): row for row in rows}


def _line(
    entry: Entry, leg: Leg, numbers: dict[tuple[int, str], AccountNumber]
) -> JournalLine:
    kind = leg.account.kind
    own = numbers.get((entry.location_id, kind))
    return JournalLine(
        entry=entry,
        number=own.number if own else "",
        account=own.name if own and own.name else ACCOUNTS[kind],
        account_class=ACCOUNT_CLASSES[kind],
        what=_what(leg),
        debit=leg.cents if leg.cents > 0 else None,
        credit=-leg.cents if leg.cents < 0 else None,
    )


def _what(leg: Leg) -> str:
    if leg.deposit is None:
        return ""
    mark = f"{leg.deposit.mark}, " if leg.deposit.mark else ""
    return f"{mark}invoice {leg.deposit.invoice_number}"


def _note(line: JournalLine) -> str:
    entry = line.entry
    if entry.reverses is None:
        return entry.note
    return f"Reverses {entry.reverses_id}. {entry.note}".strip()


_COLUMNS: list[Column[JournalLine]] = [
    Column("Entry", "text", lambda line: str(line.entry.pk)),
    Column("Day", "day", lambda line: line.entry.effective_on),
    Column("What", "text", lambda line: line.entry.get_kind_display()),
    Column("Location", "text", lambda line: line.entry.location.name),
    Column("Supplier", "text", lambda line: line.entry.supplier.name),
    Column("Number", "text", lambda line: line.number),
    Column("Account", "text", lambda line: line.account),
    Column("Class", "text", lambda line: line.account_class),
    Column("Debit", "cents", lambda line: line.debit, is_summed=True),
    Column("Credit", "cents", lambda line: line.credit, is_summed=True),
    Column("Currency", "text", lambda line: line.entry.currency),
    Column("Deposit", "text", lambda line: line.what),
    Column("Note", "text", _note),
    Column("Entered by", "text", lambda line: str(line.entry.entered_by)),
]
