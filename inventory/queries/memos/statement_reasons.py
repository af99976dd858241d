"""Our figure against a supplier's statement, and the rows that may explain it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import add, or_

from django.db.models import BigIntegerField, Exists, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.access import scoped
from inventory.models import (
    AccountMonth,
    BalanceAssertion,
    CreditMemo,
    Deposit,
    Entry,
    Leg,
    Location,
    MemoLine,
    OpenWork,
    ReturnLine,
    ShortCredit,
    Supplier,
    SuspenseLine,
    User,
)
from inventory.queries.deposits.facts import facts_of, terms_of, with_facts
from inventory.queries.ledger.balances import maybe_open, sums_on, with_balances
from inventory.queries.ledger.months import end_of_month
from inventory.queries.memos.supplier_statement import open_cents
from inventory.rules.deposits.credit import DepositError, last_day
from inventory.rules.deposits.postings import NEVER_NEGATIVE
from inventory.rules.memos.statements import Comparison, Reason, compare
from inventory.rules.reckoning.calendars import in_words

MOST_EACH = 40


@dataclass(frozen=True)
class Stated:
    """One supplier statement with our own figure."""

    assertion: BalanceAssertion
    comparison: Comparison


def compare_stated(assertion: BalanceAssertion) -> Stated:
    """Compare one statement with our books at the end of its day."""
    ours = open_cents(
        assertion.location, assertion.supplier, assertion.currency, assertion.as_of
    )
    reasons = reasons_for(assertion) if ours != assertion.stated_cents else []
    return Stated(assertion, compare(ours, assertion.stated_cents, reasons))


def compare_all(rows: Sequence[BalanceAssertion]) -> list[Stated]:
    """Compare statements with our books, without the explanation, in two queries."""
    later = _later_in_month(rows)
    closings = dict(
        BalanceAssertion.objects.filter(pk__in=[row.pk for row in rows])
        .annotate(closing=reduce(add, map(_closing, NEVER_NEGATIVE)))
        .values_list("pk", "closing")
    )
    return [
        Stated(
            row,
            compare(closings[row.pk] - _after(later, row), row.stated_cents, []),
        )
        for row in rows
    ]


def _closing(kind: str) -> Coalesce:
    """Return what stood in an account at the end of a statement's month."""
    months = AccountMonth.objects.filter(
        account__location=OuterRef("location"),
        account__supplier=OuterRef("supplier"),
        account__currency=OuterRef("currency"),
        account__kind=kind,
        month__lte=OuterRef("as_of"),
    )
    last = Subquery(months.order_by("-month").values("closing")[:1])
    return Coalesce(last, Value(0), output_field=BigIntegerField())


_Days = dict[tuple[int, int | None, str], list[tuple[date, int]]]


def _later_in_month(rows: Sequence[BalanceAssertion]) -> _Days:
    """Return what moved in the months of these statements after their days, by book."""
    if not rows:
        return {}
    spans = reduce(
        or_,
        (
            Q(effective_on__gt=day, effective_on__lte=end_of_month(day))
            for day in {row.as_of for row in rows}
        ),
    )
    # By day alone: by account every entry would be read.
    entries = Entry.objects.filter(spans).order_by().values("pk")
    legs = Leg.objects.filter(entry__in=entries).order_by()
    moved = legs.values_list(
        "account__location",
        "account__supplier",
        "account__currency",
        "account__kind",
        "entry__effective_on",
    ).annotate(Sum("cents"))
    days: _Days = defaultdict(list)
    for place, supplier, currency, kind, day, cents in moved:
        if kind in NEVER_NEGATIVE:
            days[place, supplier, currency].append((day, cents))
    return days


def _after(days: _Days, row: BalanceAssertion) -> int:
    book = (row.location_id, row.supplier_id, row.currency)
    last = end_of_month(row.as_of)
    return sum(cents for day, cents in days.get(book, []) if row.as_of < day <= last)


def latest_of(rows: Sequence[BalanceAssertion]) -> list[BalanceAssertion]:
    """Return the latest statement of each location, supplier and currency.

    The latest day counts, and of one day what was entered last.
    """
    last: dict[tuple[int, int, str], BalanceAssertion] = {}
    for row in sorted(rows, key=lambda one: (one.as_of, one.pk)):
        last[row.location_id, row.supplier_id, row.currency] = row
    return sorted(last.values(), key=lambda one: one.pk)


def latest_stated(person: User) -> list[BalanceAssertion]:
    """Return the latest statement of each book that this person can see."""
    rows = BalanceAssertion.objects.filter(pk__in=OpenWork.keys("statement"))
    seen = scoped(rows, person, "see-deposits")
    return list(seen.select_related("location", "supplier").order_by("pk"))


def latest_at(location: Location, day: date) -> list[BalanceAssertion]:
    """Return the latest statement of each book of a location by a day."""
    by_day = BalanceAssertion.objects.filter(
        location=OuterRef("location"),
        supplier=OuterRef("supplier"),
        currency=OuterRef("currency"),
        as_of__lte=day,
    )
    last = Subquery(by_day.order_by("-as_of", "-pk").values("pk")[:1])
    # Of every location, one a book: by location, SQLite would read all of its own.
    books = BalanceAssertion.objects.filter(pk__in=OpenWork.keys("statement"))
    keys = [key for key in books.order_by().values_list(last, flat=True) if key]
    found = BalanceAssertion.objects.filter(pk__in=keys)
    rows = found.select_related("location", "supplier").order_by("pk")
    return [row for row in rows if row.location_id == location.pk]


def assertions_of(
    person: User | None = None, supplier: Supplier | None = None
) -> list[BalanceAssertion]:
    """Return the statements this person can see (None: all), the latest day first."""
    every = BalanceAssertion.objects.all()
    rows = scoped(every, person, "see-deposits") if person is not None else every
    if supplier is not None:
        rows = rows.filter(supplier=supplier)
    joined = rows.select_related("location", "supplier", "entered_by")
    return list(joined.order_by("-as_of", "-pk"))


def suppliers_on_deposit(person: User) -> list[Supplier]:
    """Return the suppliers that charged a deposit at this person's locations."""
    deposits = scoped(Deposit.objects.all(), person, "see-deposits")
    charged = Exists(deposits.order_by().filter(supplier=OuterRef("pk")))
    return list(Supplier.objects.filter(charged).order_by("name", "pk"))


def reasons_for(assertion: BalanceAssertion) -> list[Reason]:
    """Return the rows that may make the two figures differ, the likeliest first."""
    return [
        *_shorts(assertion),
        *_late_crates(assertion),
        *_unposted(assertion),
        *_apart(assertion),
        *_reckoned_off(assertion),
    ]


def _shorts(row: BalanceAssertion) -> list[Reason]:
    """Return short-paid credits not settled by that day: we carry them, they do not."""
    live = Q(settled_on=None) | Q(settled_on__gt=row.as_of)
    rows = ShortCredit.objects.filter(
        live,
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        opened_on__lte=row.as_of,
    ).select_related("deposit__crate")
    return [
        Reason(
            f"{short.deposit.crate or short.deposit}: "
            f"{short.get_cause_display().lower()}, "
            f"{short.get_state_display().lower()}",
            short.amount_cents,
            "Short-paid credit",
            page="short_credit",
            key=short.pk,
            has_letter=True,
        )
        for short in rows.order_by("pk")[:MOST_EACH]
    ]


def _late_crates(row: BalanceAssertion) -> list[Reason]:
    """Return crates still here after their last day: to the supplier their deposit is gone."""
    deposits = Deposit.objects.filter(
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        is_withdrawn=False,
    )
    still = Q(receivable__gt=0)
    rows = with_balances(with_facts(maybe_open(deposits, row.as_of)), row.as_of).filter(
        still
    )
    return [
        Reason(
            f"{deposit.crate or deposit}: still here, and nothing is credited after "
            f"{in_words(day)}",
            sums_on(deposit).receivable,
            "Late crate",
            page="deposit",
            key=deposit.pk,
        )
        for deposit in rows.order_by("invoiced_on", "pk")
        if (day := _last_day(deposit)) is not None and day < row.as_of
    ][:MOST_EACH]


def _last_day(deposit: Deposit) -> date | None:
    terms = terms_of(deposit)
    if terms is None:
        return None
    try:
        return last_day(terms, facts_of(deposit, None))
    except DepositError:
        return None


def _unposted(row: BalanceAssertion) -> list[Reason]:
    """Return memos dated by that day that we have not posted, whoever their lines are for.

    The supplier took off all that a memo states: once posted, what is not ours is held.
    """
    memo_rows = CreditMemo.objects.filter(
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        dated_on__lte=row.as_of,
        is_posted=False,
    ).prefetch_related("lines")
    return [
        Reason(
            f"{memo} of {in_words(memo.dated_on)} is not posted",
            sum(
                line.amount_cents for line in memo.lines.all() if line.entry_id is None
            ),
            "Memo to post",
            page="memo",
            key=memo.pk,
        )
        for memo in memo_rows.order_by("pk")[:MOST_EACH]
    ]


def _apart(row: BalanceAssertion) -> list[Reason]:
    """Return what the supplier credited to us and we hold: not ours, or credited twice."""
    undecided = Q(settled_on=None) | Q(settled_on__gt=row.as_of)
    held = SuspenseLine.objects.filter(
        undecided,
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        memo_line__memo__dated_on__lte=row.as_of,
    ).select_related("memo_line__memo")
    return [
        Reason(
            f"{one.memo_line} {one.memo_line.mark}: "
            f"{one.memo_line.get_fate_display().lower()}",
            one.amount_cents,
            "Held in suspense",
            page="suspense_line",
            key=one.pk,
        )
        for one in held.order_by("pk")[:MOST_EACH]
    ]


def _reckoned_off(row: BalanceAssertion) -> list[Reason]:
    """Return losses we booked at shipping; the supplier carries all until its memo."""
    named = MemoLine.objects.filter(
        memo__dated_on__lte=row.as_of, memo__reversed_on=None
    )
    lines = ReturnLine.objects.filter(
        crate_return__location=row.location,
        crate_return__supplier=row.supplier,
        crate_return__picked_up_on__lte=row.as_of,
        is_taken_off=False,
        expected_entry__isnull=False,
        deposit__currency=row.currency,
    ).exclude(deposit__memo_lines__in=named)
    return [
        Reason(
            f"{line.crate} on {line.crate_return}: no memo by that day",
            -((line.late_cents or 0) + (line.parts_cents or 0)),
            "Shipped",
            page="crate_return",
            key=line.crate_return_id,
        )
        for line in lines.select_related("crate", "crate_return").order_by("pk")[
            :MOST_EACH
        ]
        if line.late_cents or line.parts_cents
    ]
