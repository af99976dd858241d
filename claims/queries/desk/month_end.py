"""What must be settled before a month of one location's books is locked."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Prefetch, QuerySet, Sum
from django.urls import reverse

from claims.models import Claim, ClaimLine
from claims.queries.books.rollforward import CurrencyBooks, books_of
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.rules.books import kinds
from claims.rules.books import month_end as rules
from claims.rules.books.month_end import OpenRow
from claims.rules.claim.life import LIFE
from inventory.models import (
    Account,
    CarriedCheck,
    CreditMemo,
    Location,
    MemoLine,
    ShortCredit,
    SuspenseLine,
)
from inventory.queries.deposits.unmatched import charged_without_crate, loose_at
from inventory.queries.ledger.months import moved_until
from inventory.queries.memos.statement_reasons import compare_all, latest_at
from inventory.rules.memos import suspense
from inventory.rules.reckoning.money import format_cents
from inventory.rules.reckoning.months import CalendarMonth

Found = Iterable[OpenRow]


@dataclass(frozen=True)
class Check:
    """One check of a month: what is open, what was carried, and where to go.

    ``carried`` is what a person carried in this month; ``before`` are those of earlier
    months that had some of the same rows.
    """

    key: str
    page: str
    rows: tuple[OpenRow, ...]
    carried: CarriedCheck | None
    before: Sequence[CarriedCheck]

    @property
    def words(self) -> str:
        """Return what is checked."""
        return rules.CHECKS[self.key].label

    @property
    def state(self) -> str:
        """Return whether it is done, carried or open."""
        kept = rules.rows_from(self.carried.open_rows) if self.carried else ()
        return rules.state_of(self.rows, kept)

    @property
    def is_open(self) -> bool:
        """Return whether it holds up the lock."""
        return self.state == rules.OPEN

    @property
    def may_carry(self) -> bool:
        """Return whether a person may carry it now."""
        return self.is_open and rules.CHECKS[self.key].may_carry

    @property
    def count(self) -> int:
        """Return how many rows are open."""
        return len(self.rows)

    @property
    def sums(self) -> tuple[tuple[str, int], ...]:
        """Return what is open, a currency each."""
        return rules.sums_of(self.rows)

    @property
    def amount_words(self) -> str:
        """Return how many rows are open, and for how much."""
        sums = [format_cents(cents, code, code=True) for code, cents in self.sums]
        return f"{self.count} open, {' and '.join(sums)}"

    @property
    def act(self) -> str:
        """Return what the link to the open rows says."""
        return _PAGES[self.key][0]


def checks_of(
    location: Location,
    month: CalendarMonth,
    books: Sequence[CurrencyBooks] | None = None,
    *,
    through: date | None = None,
) -> list[Check]:
    """Return the checks of the books at the end of a month, in their order.

    ``books`` are the month's claims where the caller has read them already, ``through``
    a day of the month that is asked for instead of its last.
    """
    last = through or month.last
    kept = list(
        CarriedCheck.objects.filter(
            location=location, month__lte=month.first
        ).select_related("carried_by")
    )
    if books is None:
        books = books_of([location], month.first, last)
    found = {
        rules.TIES: _ties(location, last, books),
        **{key: read(location, last) for key, read in _READERS.items()},
    }
    checks = []
    for key in rules.CHECKS:
        rows = tuple(found[key])
        own = [one for one in kept if one.check_key == key]
        check = Check(
            key=key,
            page=_page(key, location, month),
            rows=rows,
            carried=next((one for one in own if one.month == month.first), None),
            before=[
                one
                for one in own
                if one.month < month.first
                and set(rows) & set(rules.rows_from(one.open_rows))
            ],
        )
        checks.append(check)
    return checks


def open_checks(location: Location, through: date) -> list[str]:
    """Return the checks that hold up a lock through this day, in their words.

    A month that is not over has nothing carried yet: what the month before carried
    counts for it.
    """
    month = CalendarMonth.of(through)
    checks = checks_of(location, month, through=through)
    if through == month.last:
        return [one.words for one in checks if one.is_open]
    kept = {one.key: one.carried for one in checks_of(location, month.before)}
    return [
        one.words
        for one in checks
        if replace(one, carried=one.carried or kept[one.key]).is_open
    ]


def _page(key: str, location: Location, month: CalendarMonth) -> str:
    """Return the page that shows the open rows."""
    page = reverse(_PAGES[key][1])
    if key == rules.TIES:
        return f"{page}?month={month.key}&place={location.pk}"
    if key == rules.TRIAL:
        days = f"first={month.first}&last={month.last}"
        return f"{page}?{days}&place={location.pk}"
    return page


def _memos(location: Location, last: date) -> Found:
    memos = CreditMemo.objects.filter(
        location=location, is_posted=False, reversed_on=None, dated_on__lte=last
    )
    read = list(memos.values_list("pk", "currency"))
    lines = MemoLine.objects.filter(memo__in=[key for key, _ in read]).order_by()
    stated = dict(lines.values_list("memo").annotate(stated=Sum("amount_cents")))
    return _told((key, currency, stated.get(key, 0)) for key, currency in read)


def _told(rows: Iterable[tuple[int, str, int]]) -> Found:
    return [(str(key), currency, int(cents)) for key, currency, cents in rows]


def _trial_balance(location: Location, last: date) -> Found:
    sums = _sums_on(Account.objects.filter(location=location), last)
    return [(currency, currency, cents) for currency, cents in sums.items() if cents]


def _sums_on(accounts: QuerySet[Account], last: date) -> dict[str, int]:
    """Return what stands in these accounts at the end of a day, a currency each."""
    moved = moved_until(accounts, last)
    sums: dict[str, int] = {}
    for key, currency in accounts.order_by("currency").values_list("pk", "currency"):
        sums[currency] = sums.get(currency, 0) + moved.get(key, 0)
    return sums


def _ties(location: Location, last: date, books: Sequence[CurrencyBooks]) -> Found:
    """Return where the list of open claims, the roll-forward and the ledger differ."""
    ledger = _sums_on(
        Account.objects.filter(location=location, kind__in=kinds.GROSS), last
    )
    listed = {own.currency: own.listed_cents for own in books}
    for currency in sorted({*ledger, *listed}):
        cents = listed.get(currency, 0) - ledger.get(currency, 0)
        if cents:
            yield ("ledger", currency, cents)
    for own in books:
        if own.total.difference:
            yield ("roll-forward", own.currency, own.total.difference)
        for one in own.claims:
            if one.listed_cents != one.book_cents:
                cents = one.listed_cents - one.book_cents
                yield (one.claim.number, own.currency, cents)


def _proof(location: Location, last: date) -> Found:
    rows = Claim.objects.filter(
        location=location,
        state__in=LIFE.live,
        sent_on__lte=last,
        received_on=None,
    )
    needed = rows.only("currency", "received_on")
    lines = ClaimLine.objects.only(
        "claim_id", "worked_cents", "adjusted_cents", "struck_reason", "recovered_cents"
    )
    joined = needed.prefetch_related(Prefetch("lines", lines), payments_prefetch())
    return [
        (str(row.pk), row.currency, claim_money(row).claimed_cents) for row in joined
    ]


def _short_credits(location: Location, last: date) -> Found:
    rows = ShortCredit.objects.filter(
        location=location, state="open", opened_on__lte=last
    )
    return _told(rows.values_list("pk", "currency", "amount_cents"))


def _suspense(location: Location, last: date) -> Found:
    rows = SuspenseLine.objects.filter(
        location=location, state__in=suspense.LIFE.live, opened_on__lte=last
    )
    return _told(rows.values_list("pk", "currency", "amount_cents"))


def _charges(location: Location, last: date) -> Found:
    rows = charged_without_crate(loose_at([location])).filter(invoiced_on__lte=last)
    return _told(rows.values_list("pk", "currency", "amount_cents"))


def _statements(location: Location, last: date) -> Found:
    latest = latest_at(location, last)
    return [
        (
            str(one.assertion.pk),
            one.assertion.currency,
            one.comparison.difference,
        )
        for one in compare_all(latest)
        if not one.comparison.agrees
    ]


_READERS: dict[str, Callable[[Location, date], Found]] = {
    rules.MEMOS: _memos,
    rules.TRIAL: _trial_balance,
    rules.PROOF: _proof,
    rules.SHORT: _short_credits,
    rules.SUSPENSE: _suspense,
    rules.CHARGES: _charges,
    rules.STATEMENTS: _statements,
}

_PAGES = {
    rules.MEMOS: ("Post", "memos"),
    rules.TRIAL: ("Trial balance", "trial_balance"),
    rules.TIES: ("Claims", "books"),
    rules.PROOF: ("Prove", "claims"),
    rules.SHORT: ("Decide", "short_credits"),
    rules.SUSPENSE: ("Decide", "suspense"),
    rules.CHARGES: ("Match", "deposits"),
    rules.STATEMENTS: ("Compare", "statements"),
}
"""What the link of an open check says, and the name of the page it leads to."""
