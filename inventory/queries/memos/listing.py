"""Reads about credit memos and the differences they left."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q, QuerySet, Sum

from inventory.access import scoped
from inventory.models import CreditMemo, Deposit, MemoLine, ShortCredit, User
from inventory.queries.core.joined import joined_number, joined_sum
from inventory.queries.ledger.balances import with_balances
from inventory.queries.memos.awaited import fates_of, line_of, pool_beside
from inventory.rules.memos import matching as rules
from inventory.rules.memos.matching import Fate
from inventory.rules.memos.short_credits import LIVE

ACT = "see-deposits"


def memo_rows(person: User) -> QuerySet[CreditMemo]:
    """Return the memos this person can see, those not posted first, then the latest."""
    rows = scoped(CreditMemo.objects.all(), person, ACT)
    return (
        rows.select_related("location", "supplier")
        .annotate(
            line_count=Count("lines", distinct=True),
            total=Sum("lines__amount_cents"),
            unmatched=Count("lines", filter=Q(lines__fate=""), distinct=True),
        )
        .order_by("is_posted", "-dated_on", "-pk")
    )


@dataclass(frozen=True, slots=True)
class MemoCounts:
    """The lines of a memo in a list: how many, without a fate, and their sum."""

    lines: int
    unmatched: int
    total_cents: int | None
    currency: str


def counts_on(memo: CreditMemo) -> MemoCounts:
    """Return what ``memo_rows`` joined to a memo. Raise NotJoinedError."""
    return MemoCounts(
        lines=joined_number(memo, "line_count"),
        unmatched=joined_number(memo, "unmatched"),
        total_cents=joined_sum(memo, "total"),
        currency=memo.currency,
    )


@dataclass(frozen=True)
class MemoRow:
    """One line of a memo's page: the line, its fate's words, its live difference."""

    line: MemoLine
    sentence: str
    short: ShortCredit | None

    @property
    def difference(self) -> int | None:
        """Return what was paid more (above zero) or less than expected, in cents."""
        if self.line.expected_cents is None or self.line.fate not in rules.PAYS:
            return None
        return self.line.amount_cents - self.line.expected_cents


def rows_of(memo: CreditMemo) -> list[MemoRow]:
    """Return the memo's lines with what each comes to, in their order.

    Those not matched say why, as things stand now.
    """
    lines = list(
        memo.lines.select_related("deposit__crate", "entry").order_by("position")
    )
    shorts = {
        row.memo_line_id: row
        for row in ShortCredit.objects.filter(memo_line__memo=memo).order_by("-pk")
    }
    words = _words(memo, lines)
    return [MemoRow(line, words[line.pk], shorts.get(line.pk)) for line in lines]


def _words(memo: CreditMemo, lines: Sequence[MemoLine]) -> dict[int, str]:
    open_ones = [line for line in lines if not line.fate]
    fates: Sequence[Fate] = ()
    if open_ones and not memo.is_posted:
        pool = pool_beside(memo)
        fates = fates_of([line_of(line) for line in open_ones], pool, memo.currency)
    why = {line.pk: fate.sentence for line, fate in zip(open_ones, fates, strict=False)}
    return {line.pk: why.get(line.pk, _said(line)) for line in lines}


def _said(line: MemoLine) -> str:
    if line.fate == rules.NOT_OURS:
        return "It is for no crate of ours, and stays out of the books."
    if line.fate == rules.TWICE:
        return "This crate's credit is settled. Tell the supplier."
    return ""


def sums_of(rows: Sequence[MemoRow]) -> dict[str, int]:
    """Return what a memo comes to in cents: stated, taken, apart, expected, short."""
    taken = [row for row in rows if row.line.fate in rules.PAYS]
    stated = sum(row.line.amount_cents for row in rows)
    paid = sum(row.line.amount_cents for row in taken)
    return {
        "stated": stated,
        "taken": paid,
        "apart": stated - paid,
        "expected": sum(row.line.expected_cents or 0 for row in taken),
        "short": sum(-min(0, row.difference or 0) for row in taken),
    }


def candidates_for(memo: CreditMemo) -> QuerySet[Deposit]:
    """Return the deposits a line of this memo may be said to be for, the oldest first.

    Those with a credit expected or disputed that no other line took.
    """
    paying = memo.lines.filter(fate__in=rules.PAYS, deposit__isnull=False)
    rows = Deposit.objects.filter(
        location=memo.location,
        supplier=memo.supplier,
        currency=memo.currency,
        is_withdrawn=False,
    ).exclude(pk__in=paying.values("deposit_id"))
    joined = with_balances(rows.select_related("crate", "crate_type"))
    return joined.filter(Q(expected__gt=0) | Q(disputed__gt=0)).order_by(
        "invoiced_on", "pk"
    )


def short_rows(person: User, which: str = "live") -> QuerySet[ShortCredit]:
    """Return the differences this person can see, the oldest first."""
    rows = scoped(ShortCredit.objects.all(), person, ACT)
    if which == "live":
        rows = rows.filter(state__in=LIVE)
    return rows.select_related(
        "location", "supplier", "deposit__crate", "memo_line__memo"
    ).order_by("opened_on", "pk")


def overdue_words(due: date | None, today: date) -> str:
    """Return how a memo's due day stands: "due in 4 days", "12 days late", or nothing."""
    if due is None:
        return ""
    days = (today - due).days
    if days > 0:
        return f"{days} day{'' if days == 1 else 's'} late"
    return "due today" if not days else f"due in {-days} day{'' if days == -1 else 's'}"
