"""Which deposits a credit memo may pay, and the facts that show a short line's cause."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.db.models import Prefetch, Q, QuerySet, Sum

from inventory.models import (
    CreditMemo,
    Deposit,
    Location,
    MemoLine,
    PartDeduction,
    ReturnLine,
    Supplier,
)
from inventory.queries.core.joined import joined, joined_number
from inventory.queries.deposits.facts import (
    facts_of,
    terms_of,
    with_facts,
)
from inventory.queries.ledger.balances import standing, sums_on, with_balances
from inventory.rules.crates.words import SENT_BACK
from inventory.rules.deposits.credit import DepositError, credit_by_day
from inventory.rules.deposits.postings import SUPPLIER
from inventory.rules.memos import matching as memos
from inventory.rules.memos.matching import Awaited, Fate, Line

LATER_DAYS = 90
"""How many later days' credits a short line is compared with."""


def awaited_of(location: Location, supplier: Supplier, currency: str) -> list[Awaited]:
    """Return every deposit of this book that a memo's line may pay."""
    rows = Deposit.objects.filter(
        location=location, supplier=supplier, currency=currency, is_withdrawn=False
    )
    return [_awaited(row) for row in _joined(rows)]


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


def pool_of(memo: CreditMemo) -> list[Awaited]:
    """Return every deposit of the memo's book that a line of it may pay."""
    return awaited_of(memo.location, memo.supplier, memo.currency)


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
