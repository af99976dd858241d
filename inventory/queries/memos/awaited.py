"""Which deposits a credit memo may pay, and the facts that show a short line's cause."""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from django.db.models import Prefetch, Q, QuerySet, Sum

from inventory.models import (
    Account,
    CrateType,
    CreditMemo,
    Deposit,
    Location,
    MemoLine,
    OpenSum,
    PartDeduction,
    ReturnLine,
    Supplier,
)
from inventory.queries.core.joined import joined, joined_number
from inventory.queries.core.search import keys_numbered, keys_with_part
from inventory.queries.deposits.facts import (
    facts_of,
    terms_of,
    with_facts,
)
from inventory.queries.ledger.balances import standing, sums_on, with_balances
from inventory.rules.codes.identifiers import parse
from inventory.rules.codes.own_marks import loose_key
from inventory.rules.crates.words import SENT_BACK
from inventory.rules.deposits.credit import DepositError, credit_by_day
from inventory.rules.deposits.postings import DISPUTED, EXPECTED, SUPPLIER
from inventory.rules.memos import matching as memos
from inventory.rules.memos.matching import Awaited, Fate, Line

LATER_DAYS = 90
"""How many later days' credits a short line is compared with."""

_AT_ONCE = 5_000
"""How many deposits one statement reads."""


def awaited_of(
    location: Location,
    supplier: Supplier,
    currency: str,
    lines: Iterable[Line],
    *,
    also: Iterable[int] = (),
) -> list[Awaited]:
    """Return the deposits of this book that these lines may touch, and ``also`` these.

    They are those that a line names by a mark; of each type that a line names those
    with a credit open where it is kept by count, and enough to say why none of it can be
    paid; and what has a credit open on the returns of all these.
    """
    rows = Deposit.objects.filter(
        location=location, supplier=supplier, currency=currency, is_withdrawn=False
    )
    lines = list(lines)
    accounts = Account.objects.filter(
        location=location,
        supplier=supplier,
        currency=currency,
        kind__in=(EXPECTED, DISPUTED),
    )
    open_ones = OpenSum.objects.filter(account__in=accounts).order_by()
    keys = _named({line.mark for line in lines if line.mark.strip()}) | set(also)
    types = {loose_key(one.type_name) for one in lines if not one.mark.strip()}
    keys |= _of_types(rows, open_ones, supplier, types - {""})
    keys |= _sent_along(keys, open_ones)
    found = [
        _awaited(row)
        for some in _portions(keys)
        for row in _joined(rows.filter(pk__in=some))
    ]
    return sorted(found, key=lambda row: (row.charged_on, row.key))


def _portions(keys: set[int]) -> Iterator[list[int]]:
    """Yield so many keys as one statement may name, in order."""
    ordered = sorted(keys)
    for first in range(0, len(ordered), _AT_ONCE):
        yield ordered[first : first + _AT_ONCE]


def _named(marks: set[str]) -> set[int]:
    """Return the deposits that may have one of these marks, in any form."""
    codes, own = set(), set()
    for mark in marks:
        found = parse(mark)
        if found.valid and found.kind != "own":  # it may be written as a link
            codes.add(found.value if found.value.isalnum() else found.key)
        else:
            own.add(mark)
    crates = keys_numbered("crate", own) | set(keys_with_part("crate", codes))
    keys = keys_numbered("deposit", own) | set(keys_with_part("deposit", codes))
    for some in _portions(crates):
        on = Deposit.objects.filter(crate__in=some)
        keys |= set(on.values_list("pk", flat=True))
    return keys


def _of_types(
    rows: QuerySet[Deposit],
    open_ones: QuerySet[OpenSum],
    supplier: Supplier,
    names: set[str],
) -> set[int]:
    """Return the first deposit of each type so named, and the first sent back.

    Of a type that is kept by count, what has a credit open too: a line may take any.
    """
    if not names:
        return set()
    found: set[int] = set()
    for kind in CrateType.everything.filter(supplier=supplier):
        if not names & {loose_key(kind.name), loose_key(kind.code)}:
            continue
        of_type = rows.filter(crate_type=kind).order_by("invoiced_on", "pk")
        for some in (of_type, of_type.filter(crate__state__in=SENT_BACK)):
            found |= set(some.values_list("pk", flat=True)[:1])
        if kind.kept_by == "count":
            of_it = open_ones.filter(deposit__crate_type=kind)
            found |= set(of_it.values_list("deposit_id", flat=True))
    return found


def _sent_along(keys: set[int], open_ones: QuerySet[OpenSum]) -> set[int]:
    """Return what has a credit open on the returns that took these deposits' crates."""
    live = ReturnLine.objects.filter(is_taken_off=False).order_by()
    found: set[int] = set()
    for some in _portions(keys):
        theirs = live.filter(deposit__in=some).values_list("crate_return_id", flat=True)
        beside = live.filter(crate_return__in=set(theirs), deposit__isnull=False)
        along = open_ones.filter(deposit__in=beside.values("deposit"))
        found |= set(along.values_list("deposit_id", flat=True))
    return found


def awaited_one(deposit: Deposit) -> Awaited:
    """Return one deposit as a memo's line needs it."""
    row = _joined(Deposit.objects.filter(pk=deposit.pk)).get()
    return _with_later(_awaited(row), row)


def fates_of(
    lines: Sequence[Line], pool: Sequence[Awaited], currency: str
) -> tuple[Fate, ...]:
    """Return the result of each line; short ones are compared with later days too."""
    fates = memos.match_lines(lines, pool, currency)
    short = {fate.key for fate in fates if fate.key and fate.fate in memos.SHORTER}
    if not short:
        return fates
    rows = with_facts(Deposit.objects.filter(pk__in=short))
    by_key = {row.pk: row for row in rows}
    known = {row.key: row for row in pool}
    return tuple(
        memos.match_one(line, _with_later(known[fate.key], by_key[fate.key]), currency)
        if fate.key in by_key
        else fate
        for line, fate in zip(lines, fates, strict=True)
    )


def line_of(row: MemoLine) -> Line:
    """Return a memo's line as the rules read it."""
    return Line(row.position, row.amount_cents, row.mark, row.type_name, row.remark)


def pool_of(memo: CreditMemo, lines: Iterable[Line] = ()) -> list[Awaited]:
    """Return the deposits of the memo's book that its lines, or these, may touch."""
    rows = list(memo.lines.all())
    also = [row.deposit_id for row in rows if row.deposit_id is not None]
    lines = [*lines, *map(line_of, rows)]
    return awaited_of(memo.location, memo.supplier, memo.currency, lines, also=also)


def pool_beside(
    memo: CreditMemo, pool: Sequence[Awaited], skip: Sequence[int] = ()
) -> list[Awaited]:
    """Return what this memo's lines may pay, less what its other lines took.

    ``skip`` are the keys of lines that do not count as having taken theirs.
    """
    taken = set(
        memo.lines.exclude(pk__in=skip)
        .filter(fate__in=memos.PAYS, deposit__isnull=False)
        .values_list("deposit_id", flat=True)
    )
    return [replace(row, open_cents=0) if row.key in taken else row for row in pool]


_JOINED: tuple[Any, ...] = (
    Prefetch("terms__deductions", PartDeduction.objects.order_by("pk")),
    Prefetch(
        "return_lines",
        ReturnLine.objects.filter(is_taken_off=False).order_by("-pk"),
        to_attr="live_lines",
    ),
)


def _joined(rows: QuerySet[Deposit]) -> QuerySet[Deposit]:
    joined = rows.select_related("crate", "crate_type", "terms")
    joined = joined.prefetch_related(*_JOINED)
    paid = Q(legs__account__kind=SUPPLIER, legs__cents__gt=0) & standing("legs__entry")
    return (
        with_balances(joined)
        .annotate(paid=Sum("legs__cents", filter=paid))
        .order_by("invoiced_on", "pk")
    )


def _awaited(row: Deposit) -> Awaited:
    crate, kind = row.crate, row.crate_type
    lines: list[ReturnLine] = joined(row, "live_lines")
    open_cents = sums_on(row).credit
    marks = [row.mark]
    if crate is not None:
        marks += [crate.mark, crate.supplier_code, crate.sscc]
        marks += [f"(8003){crate.grai}"] if crate.grai else []
    prices: set[int] = set()
    if row.terms is not None:
        for price in row.terms.deductions.all():
            prices |= {price.missing_cents, price.damaged_cents}
    return Awaited(
        key=row.pk,
        open_cents=open_cents,
        paid_cents=joined_number(row, "paid"),
        marks=tuple(mark for mark in marks if mark),
        types=tuple(text for text in (kind.name, kind.code) if text) if kind else (),
        by_count=bool(kind and kind.kept_by == "count"),
        charged_on=row.invoiced_on,
        oldest_first=row.terms.oldest_first if row.terms else True,
        is_shipped=bool(open_cents) or bool(crate and crate.state in SENT_BACK),
        return_key=lines[0].crate_return_id if lines else None,
        part_prices=tuple(sorted(prices - {0})),
    )


def _with_later(awaited: Awaited, row: Deposit) -> Awaited:
    """Add the credit of the days after the crate left, where it can be calculated."""
    terms = terms_of(row)
    line = (
        row.return_lines.filter(is_taken_off=False)
        .select_related("crate_return")
        .order_by("-pk")
        .first()
    )
    left_on = line.crate_return.picked_up_on if line else None
    if terms is None or left_on is None:
        return awaited
    first = left_on + dt.timedelta(days=1)
    last = left_on + dt.timedelta(days=LATER_DAYS)
    try:
        table = credit_by_day(terms, facts_of(row, left_on), first, last)
    except DepositError:
        return awaited
    later = {money.cents for money in table} - {0}
    return replace(awaited, later_credits=tuple(sorted(later)))
