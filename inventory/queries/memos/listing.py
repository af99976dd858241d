"""Credit memos and the short-paid credits they left."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet, Sum

from inventory.access import scoped_in_order
from inventory.models import (
    CreditMemo,
    Deposit,
    MemoLine,
    ShortCredit,
    SuspenseLine,
    User,
)
from inventory.queries.core.counts import count_of, total_of
from inventory.queries.core.joined import joined_number
from inventory.queries.ledger.balances import standing_in, sums_on, with_balances
from inventory.queries.memos.awaited import fates_of, line_of, pool_beside, pool_of
from inventory.rules.deposits.postings import DISPUTED, EXPECTED, OPENING, SUPPLIER
from inventory.rules.memos import matching as rules
from inventory.rules.memos import suspense
from inventory.rules.memos.matching import Fate
from inventory.rules.memos.payments import payment_of
from inventory.rules.memos.short_credits import LIFE

ACT = "see-deposits"


def memo_rows(person: User) -> QuerySet[CreditMemo]:
    """Return the memos this person can see, those not posted first, then the latest."""
    rows = scoped_in_order(CreditMemo.objects.all(), person, ACT)
    lines = MemoLine.objects.all()
    posted = lines.filter(entry__isnull=False, memo__reversed_on=None)
    return (
        rows.select_related("location", "supplier")
        .annotate(
            line_count=count_of(lines, "memo"),
            total=total_of(lines, "memo", Sum("amount_cents")),
            posted=total_of(posted, "memo", Sum("amount_cents")),
            unmatched=count_of(lines.filter(fate=""), "memo"),
        )
        .order_by("is_posted", "-dated_on", "-pk")
    )


@dataclass(frozen=True, slots=True)
class MemoCounts:
    """The lines of a memo in a list: how many, without a fate, and their sum."""

    lines: int
    unmatched: int
    total_cents: int
    posted_cents: int
    currency: str
    is_reversed: bool = False

    @property
    def to_post_cents(self) -> int:
        """Return what the memo states and no account holds yet."""
        return 0 if self.is_reversed else self.total_cents - self.posted_cents


def counts_on(memo: CreditMemo) -> MemoCounts:
    """Return what ``memo_rows`` joined to a memo. Raise NotJoinedError."""
    return MemoCounts(
        lines=joined_number(memo, "line_count"),
        unmatched=joined_number(memo, "unmatched"),
        total_cents=joined_number(memo, "total"),
        posted_cents=joined_number(memo, "posted"),
        currency=memo.currency,
        is_reversed=memo.reversed_on is not None,
    )


@dataclass(frozen=True)
class MemoRow:
    """One line of a memo's page: the line, its result, its live short-paid credit.

    ``held_cents`` is how much of it is, or will be, held in suspense; ``held`` the
    last of its held credits.
    """

    line: MemoLine
    sentence: str
    short: ShortCredit | None
    held_cents: int
    held: SuspenseLine | None = None

    @property
    def pays(self) -> bool:
        """Return whether the line pays for a crate of ours."""
        return self.line.fate in rules.PAYS

    @property
    def paid_cents(self) -> int:
        """Return how much of the line pays for our crates, in cents."""
        return self.line.amount_cents - self.held_cents if self.pays else 0

    @property
    def expected_cents(self) -> int | None:
        """Return what was expected of the crate, None where the line pays for none."""
        return self.line.expected_cents if self.pays else None

    @property
    def difference(self) -> int | None:
        """Return what was paid more (above zero) or less than expected, in cents."""
        expected = self.expected_cents
        return None if expected is None else self.paid_cents - expected


def rows_of(memo: CreditMemo) -> list[MemoRow]:
    """Return the memo's lines with each one's result, in their order.

    Those not matched say why, as of now.
    """
    lines = list(
        memo.lines.select_related("deposit__crate", "entry").order_by("position")
    )
    shorts = {
        row.memo_line_id: row
        for row in ShortCredit.objects.filter(memo_line__memo=memo).order_by("-pk")
    }
    held = defaultdict(list)
    lines_held = SuspenseLine.objects.filter(memo_line__memo=memo).order_by("-pk")
    for row in lines_held.prefetch_related("evidence"):
        held[row.memo_line_id].append(row)
    to_hold = _to_hold(memo, lines)
    words = _words(memo, lines)
    return [
        MemoRow(
            line,
            "" if _is_decided(held[line.pk]) else words[line.pk],
            shorts.get(line.pk),
            sum(row.amount_cents for row in held[line.pk]) or to_hold.get(line.pk, 0),
            next(iter(held[line.pk]), None),
        )
        for line in lines
    ]


def _is_decided(held: Sequence[SuspenseLine]) -> bool:
    """Return whether a line's held credits are all decided, so that nothing is to do."""
    return bool(held) and all(row.state in suspense.LIFE.final for row in held)


def _to_hold(memo: CreditMemo, lines: Sequence[MemoLine]) -> dict[int, int]:
    """Return what posting will hold of the lines not posted yet, in cents."""
    if memo.is_posted:
        return {}
    waiting = [line for line in lines if line.entry_id is None]
    more = [line.deposit_id or 0 for line in waiting if line.fate == rules.MORE]
    paying = Q(legs__account__kind__in=(SUPPLIER, OPENING))
    charged = with_balances(Deposit.objects.filter(pk__in=more)).annotate(
        owed=Sum("legs__cents", filter=paying, default=0)
    )
    rooms = {
        row.pk: (sums_on(row).credit, -joined_number(row, "owed")) for row in charged
    }
    found = {}
    for line in waiting:
        if line.fate in {rules.NOT_OURS, rules.TWICE}:
            found[line.pk] = line.amount_cents
        elif line.deposit_id in rooms:
            open_cents, room = rooms[line.deposit_id]
            payment = payment_of(
                line.amount_cents, expected=open_cents, disputed=0, room=room
            )
            found[line.pk] = payment.beyond
    return found


def _words(memo: CreditMemo, lines: Sequence[MemoLine]) -> dict[int, str]:
    open_ones = [line for line in lines if not line.fate]
    fates: Sequence[Fate] = ()
    if open_ones and not memo.is_posted:
        pool = pool_beside(memo, pool_of(memo))
        fates = fates_of([line_of(line) for line in open_ones], pool, memo.currency)
    why = {line.pk: fate.sentence for line, fate in zip(open_ones, fates, strict=False)}
    return {line.pk: why.get(line.pk, _said(line)) for line in lines}


def _said(line: MemoLine) -> str:
    if line.fate == rules.NOT_OURS:
        return "Not ours: held in suspense until you decide it."
    if line.fate == rules.TWICE:
        return "This crate's credit is settled. Tell the supplier."
    return ""


def left_out_lines(memo: CreditMemo) -> QuerySet[MemoLine]:
    """Return the lines of a posted memo that an earlier version kept out of the books."""
    apart = memo.lines.filter(entry=None, amount_cents__gt=0, memo__is_posted=True)
    return apart.exclude(fate__in=rules.PAYS).order_by("position")


def sums_of(rows: Sequence[MemoRow]) -> dict[str, int]:
    """Return the memo's sums in cents: stated is for our crates, held or left out."""
    stated = sum(row.line.amount_cents for row in rows)
    paid = sum(row.paid_cents for row in rows)
    held = sum(row.held_cents for row in rows)
    return {
        "stated": stated,
        "taken": paid,
        "held": held,
        "left": stated - paid - held,
        "expected": sum(row.expected_cents or 0 for row in rows),
        "short": sum(-min(0, row.difference or 0) for row in rows),
    }


def candidates_for(memo: CreditMemo) -> QuerySet[Deposit]:
    """Return the deposits that a line of this memo may be matched to, the oldest first.

    Those with a credit expected or disputed that no other line took.
    """
    paying = memo.lines.filter(fate__in=rules.PAYS, deposit__isnull=False)
    return open_credits(memo).exclude(pk__in=paying.values("deposit_id"))


def open_credits(book: CreditMemo | SuspenseLine) -> QuerySet[Deposit]:
    """Return the deposits of this book with a credit open, the oldest first."""
    rows = Deposit.objects.filter(
        location=book.location,
        supplier=book.supplier,
        currency=book.currency,
        is_withdrawn=False,
    )
    rows = rows.filter(standing_in(EXPECTED, DISPUTED))
    joined = with_balances(rows.select_related("crate", "crate_type"))
    return joined.order_by("invoiced_on", "pk")


def short_rows(person: User, which: str = "live") -> QuerySet[ShortCredit]:
    """Return the short-paid credits this person can see, the oldest first."""
    rows = scoped_in_order(ShortCredit.objects.all(), person, ACT)
    if which == "live":
        rows = rows.filter(state__in=LIFE.live)
    return rows.select_related(
        "location", "supplier", "deposit__crate", "memo_line__memo"
    ).order_by("opened_on", "pk")


def suspense_rows(person: User, which: str = "live") -> QuerySet[SuspenseLine]:
    """Return the credits held in suspense that this person can see, the oldest first."""
    rows = scoped_in_order(SuspenseLine.objects.all(), person, ACT)
    if which == "live":
        rows = rows.filter(state__in=suspense.LIFE.live)
    return rows.select_related(
        "location", "supplier", "memo_line__memo", "deposit__crate"
    ).order_by("opened_on", "pk")


def overdue_words(due: date | None, today: date) -> str:
    """Return the state of a memo's due day: "due in 4 days", "12 days late", or nothing."""
    if due is None:
        return ""
    days = (today - due).days
    if days > 0:
        return f"{days} day{'' if days == 1 else 's'} late"
    return "due today" if not days else f"due in {-days} day{'' if days == -1 else 's'}"
