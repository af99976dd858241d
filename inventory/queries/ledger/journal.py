"""The journal of a span of days: every entry with its legs, as an accountant reads it.

It is read by keys, a page at a time: by day, by the moment it was entered, by its own
key. So a page of a long journal reads no more rows than one of a short journal. The
account numbers are the company's own where they were entered.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import F, Prefetch, QuerySet
from django.db.models.fields.tuple_lookups import TupleGreaterThan, TupleLessThan

from inventory.models import AccountNumber, Entry, Leg, Location
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS

ON_ONE_PAGE = 50
AT_ONCE = 500
"""How many entries of a file are read at once."""

_ORDER = ("effective_on", "entered_at", "id")


@dataclass(frozen=True, slots=True)
class Period:
    """The entries that take effect from one day to another, at these locations."""

    places: Sequence[Location]
    first: dt.date
    last: dt.date


@dataclass(frozen=True, slots=True)
class JournalLine:
    """One leg of an entry, in cents on one side: the other one is None."""

    entry: Entry
    kind: str
    number: str
    account: str
    what: str
    cents: int

    @property
    def account_class(self) -> str:
        """Return the class of the account."""
        return ACCOUNT_CLASSES[self.kind]

    @property
    def debit(self) -> int | None:
        """Return the cents of a debit."""
        return self.cents if self.cents > 0 else None

    @property
    def credit(self) -> int | None:
        """Return the cents of a credit, without a sign."""
        return -self.cents if self.cents < 0 else None


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One entry with its lines in the order they were sealed."""

    entry: Entry
    lines: tuple[JournalLine, ...]


@dataclass(frozen=True, slots=True)
class JournalPage:
    """Some entries in a row, and the keys that the pages beside them begin from."""

    entries: Sequence[JournalEntry]
    before: UUID | None
    after: UUID | None


def journal_page(
    period: Period, *, after: UUID | None = None, before: UUID | None = None
) -> JournalPage | None:
    """Return the page behind an entry, or the one before it; else the first one.

    Return None where the period has no such entry.
    """
    mark = after or before
    if mark is None:
        return _page(period, _first_keys(_rows(period), ON_ONE_PAGE + 1), is_first=True)
    from_here = _rows(period).filter(pk=mark).values_list(*_ORDER).first()
    if from_here is None:
        return None
    if after is not None:
        beyond = _rows(period).filter(_behind(from_here))
        keys = _first_keys(beyond, ON_ONE_PAGE + 1)
        return _page(period, keys, is_first=False)
    earlier = _rows(period).filter(_ahead(from_here)).order_by(*_backward())
    keys = list(earlier.values_list("pk", flat=True)[: ON_ONE_PAGE + 1])
    has_more = len(keys) > ON_ONE_PAGE
    entries = _entries(period.places, keys[:ON_ONE_PAGE])
    return JournalPage(
        entries,
        before=keys[ON_ONE_PAGE - 1] if has_more else None,
        after=keys[0] if keys else None,
    )


def read_journal(period: Period) -> Iterator[JournalEntry]:
    """Yield every entry of the period, a few hundred at a time."""
    rows = _rows(period)
    keys = _first_keys(rows, AT_ONCE)
    while keys:
        yield from _entries(period.places, keys)
        mark = _rows(period).filter(pk=keys[-1]).values_list(*_ORDER).get()
        keys = _first_keys(rows.filter(_behind(mark)), AT_ONCE)


def count_lines(period: Period, most: int) -> int:
    """Return how many lines the period has, counted no further than ``most`` + 1."""
    legs = Leg.objects.filter(entry__in=_rows(period).order_by()).order_by()
    return legs[: most + 1].count()


def _rows(period: Period) -> QuerySet[Entry]:
    """Return the period's entries in order, so that an index gives them in order."""
    rows = Entry.objects.filter(effective_on__range=(period.first, period.last))
    keys = [place.pk for place in period.places]
    if len(keys) == 1:
        return rows.filter(location=keys[0]).order_by(*_ORDER)
    # As a sum no index serves it: one that did would put the entries of several
    # locations out of order, and all of them would be sorted for every page.
    among = rows.alias(place=F("location_id") + 0).filter(place__in=keys)
    return among.order_by(*_ORDER)


def _behind(mark: Sequence[object]) -> TupleGreaterThan:
    return TupleGreaterThan(tuple(F(name) for name in _ORDER), tuple(mark))


def _ahead(mark: Sequence[object]) -> TupleLessThan:
    return TupleLessThan(tuple(F(name) for name in _ORDER), tuple(mark))


def _backward() -> list[str]:
    return [f"-{name}" for name in _ORDER]


def _first_keys(rows: QuerySet[Entry], most: int) -> list[UUID]:
    return list(rows.values_list("pk", flat=True)[:most])


def _page(period: Period, keys: list[UUID], *, is_first: bool) -> JournalPage:
    shown = keys[:ON_ONE_PAGE]
    return JournalPage(
        _entries(period.places, shown),
        before=shown[0] if shown and not is_first else None,
        after=shown[-1] if len(keys) > ON_ONE_PAGE else None,
    )


def _entries(locations: Sequence[Location], keys: Sequence[UUID]) -> list[JournalEntry]:
    """Return these entries; of one moment, in the order their first lines were written.

    An act may post many entries at its one moment, and their keys are random.
    """
    legs = Leg.objects.select_related("account", "deposit").order_by("position")
    joined = Entry.objects.select_related(
        "location", "supplier", "carrier", "entered_by", "reverses"
    ).prefetch_related(Prefetch("legs", legs))
    numbers = {
        (row.location_id, row.kind): row
        for row in AccountNumber.objects.filter(location__in=locations)
    }
    return [
        JournalEntry(entry, tuple(_line(entry, leg, numbers) for leg in own))
        for entry, own in sorted(
            ((entry, list(entry.legs.all())) for entry in joined.filter(pk__in=keys)),
            key=lambda one: (one[0].effective_on, one[0].entered_at, one[1][0].pk),
        )
    ]


def _line(
    entry: Entry, leg: Leg, numbers: dict[tuple[int, str], AccountNumber]
) -> JournalLine:
    kind = leg.account.kind
    own = numbers.get((entry.location_id, kind))
    return JournalLine(
        entry=entry,
        kind=kind,
        number=own.number if own else "",
        account=own.name if own and own.name else ACCOUNTS[kind],
        what=_what(leg),
        cents=leg.cents,
    )


def _what(leg: Leg) -> str:
    if leg.deposit is None:
        return ""
    mark = f"{leg.deposit.mark}, " if leg.deposit.mark else ""
    return f"{mark}invoice {leg.deposit.invoice_number}"
