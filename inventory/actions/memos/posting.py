"""Posting a memo: it pays once, and every shortage opens a short-paid credit."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.short_rows import (
    credited_words,
    open_short,
    settle_paid,
)
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.posting import post_entry
from inventory.actions.memos.deposits import (
    deposit_by_key,
    expected_since,
    room_on,
    surplus_account,
)
from inventory.actions.memos.entering import keep_fate, lock_memo
from inventory.actions.returns.closing import close_settled
from inventory.models import CreditMemo, Deposit, MemoLine, ShortCredit, User
from inventory.queries.ledger.balances import deposit_balance
from inventory.queries.memos.awaited import awaited_of, fates_of, line_of, pool_beside
from inventory.rules.deposits import postings
from inventory.rules.memos import matching as rules
from inventory.rules.memos import short_credits as shorts
from inventory.rules.memos.matching import Awaited, Fate
from inventory.rules.memos.payments import Payment, payment_of
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents

AT_ONCE = 50
"""How many lines are posted in one transaction."""

_MOST_NAMED = 10


@dataclass(frozen=True)
class _Act:
    """Who posts, when, and the day on which it takes effect."""

    person: User
    at: datetime
    on: date


def post_memo(
    *, memo: CreditMemo, version: int, person: User, at: datetime
) -> CreditMemo:
    """Post what a memo pays, line by line; a repeat changes nothing and returns it.

    Lines that are not ours, or for a crate already credited, are not posted. A long
    memo is posted in parts, so that nobody else waits for all of it; after an
    interruption, posting again continues. Raise RefusedError while a line is
    not matched, and StaleRowError.
    """
    while True:
        with transaction.atomic():
            row = lock_memo(memo)
            if row.is_posted or _post_part(row, version, person, at):
                return row


def _post_part(row: CreditMemo, version: int, person: User, at: datetime) -> bool:
    """Post the next lines of the memo; return whether all of it is posted."""
    if row.version != version:
        raise StaleRowError
    lines = list(row.lines.order_by("position"))
    done = _done(lines)
    fates = _fates(row, lines, done)
    _refuse_unmatched(fates)
    act = _Act(person, at, open_day(row.location, row.dated_on))
    pairs = list(zip(lines, fates, strict=True))
    to_pay = [
        (line, fate)
        for line, fate in pairs
        if fate.fate in rules.PAYS and line.pk not in done
    ]
    # Before the first event: whoever holds a crate may be waiting for the chain.
    lock_crates(_crates_of(fate for _, fate in to_pay[:AT_ONCE]))
    for line, fate in to_pay[:AT_ONCE]:
        keep_fate(line, fate)
        _pay(row, line, fate, act)
    if len(to_pay) > AT_ONCE:
        return False
    for line, fate in pairs:
        if fate.fate not in rules.PAYS:
            keep_fate(line, fate)
    _finish(row, fates, act)
    return True


def _crates_of(fates: Iterable[Fate]) -> list[int]:
    """Return the keys of the crates whose deposits these lines are for."""
    keys = [fate.key for fate in fates if fate.key is not None]
    rows = Deposit.objects.filter(pk__in=keys, crate__isnull=False)
    return list(rows.values_list("crate_id", flat=True))


def _finish(row: CreditMemo, fates: Sequence[Fate], act: _Act) -> None:
    """Open what the memo leaves out, close it, and close the returns that are settled."""
    _open_left_out(row, fates, act)
    change_row(row, version=row.version, is_posted=True)
    taken = sum(fate.amount - fate.apart for fate in fates)
    apart = sum(fate.apart for fate in fates)
    record_event(
        kind="memo.posted",
        at=act.at,
        actor=act.person,
        location=row.location,
        subjects=[row],
        data={
            "number": row.number,
            "amount": format_cents(taken, row.currency, code=True),
            "apart": format_cents(apart, row.currency, code=True),
        },
    )
    keys = [fate.key for fate in fates if fate.key is not None]
    close_settled(keys, person=act.person, at=act.at)


def _done(lines: Sequence[MemoLine]) -> frozenset[int]:
    """Return the keys of the lines that an earlier part has posted."""
    told = ShortCredit.objects.filter(memo_line__in=[line.pk for line in lines])
    with_short = set(told.values_list("memo_line_id", flat=True))
    return frozenset(
        line.pk for line in lines if line.entry_id is not None or line.pk in with_short
    )


def _fates(
    memo: CreditMemo, lines: Sequence[MemoLine], done: frozenset[int]
) -> list[Fate]:
    """Return each line's current result: a person's decision on it stays."""
    pool = awaited_of(memo.location, memo.supplier, memo.currency)
    by_key = {row.key: row for row in pool}
    found: dict[int, Fate] = {}
    taken: set[int] = set()
    for line in lines:
        if line.pk in done or (line.fate and line.fate not in rules.PAYS):
            found[line.pk] = _stays(line)
        elif line.deposit_id in by_key and line.deposit_id not in taken:
            taken.add(by_key[line.deposit_id].key)
            found[line.pk] = _again(line, by_key[line.deposit_id], memo.currency)
    rest = [line for line in lines if line.pk not in found]
    beside = pool_beside(memo, skip=[line.pk for line in rest])
    matched = fates_of([line_of(line) for line in rest], beside, memo.currency)
    found |= {line.pk: fate for line, fate in zip(rest, matched, strict=True)}
    return [found[line.pk] for line in lines]


def _stays(line: MemoLine) -> Fate:
    return Fate(
        line.position,
        line.amount_cents,
        line.fate,
        line.deposit_id,
        line.expected_cents,
    )


def _again(line: MemoLine, row: Awaited, currency: str) -> Fate:
    """Match the line to its deposit again; its cause stays where the sums are the same."""
    fate = rules.match_one(line_of(line), row, currency)
    if line.expected_cents == fate.expected and fate.fate in rules.SHORTER:
        return Fate(fate.position, fate.amount, line.fate, fate.key, fate.expected)
    return fate


def _refuse_unmatched(fates: Sequence[Fate]) -> None:
    open_ones = [str(fate.position) for fate in fates if not fate.fate]
    if not fates:
        raise RefusedError("The memo has no lines. Nothing was posted. Add its lines.")
    if open_ones:
        named = ", ".join(open_ones[:_MOST_NAMED])
        more = len(open_ones) - _MOST_NAMED
        rest = f" and {more} more" if more > 0 else ""
        raise RefusedError(
            f"Line {named}{rest} is not matched. Nothing was posted. Match it to a "
            "crate, or mark it as not ours."
        )


def _pay(memo: CreditMemo, line: MemoLine, fate: Fate, act: _Act) -> None:
    deposit = deposit_by_key(fate.key)
    payment = payment_of(
        fate.amount,
        expected=deposit_balance(deposit, postings.EXPECTED),
        disputed=deposit_balance(deposit, postings.DISPUTED),
        room=room_on(deposit),
    )
    if payment.amount:
        surplus = payment.surplus + payment.beyond
        entry = post_entry(
            kind="memo",
            location=memo.location,
            supplier=memo.supplier,
            currency=memo.currency,
            effective_on=max(act.on, expected_since(deposit)),
            lines=payment.lines(deposit.pk, surplus_to=surplus_account(deposit)),
            posting_key=f"memo-line:{line.pk}",
            person=act.person,
            at=act.at,
            note=f"{memo}, line {line.position}"
            + (": more than expected" if surplus else ""),
            subjects=[memo],
        )
        change_row(line, version=line.version, entry=entry)
    line.memo = memo
    _settle(line, deposit, payment, act)


def _settle(line: MemoLine, deposit: Deposit, payment: Payment, act: _Act) -> None:
    """Apply the payment to the short-paid credits, and open what is left."""
    for state, cents in (
        (shorts.OPEN, payment.to_expected),
        (shorts.DISPUTED, payment.to_disputed),
    ):
        settle_paid(
            deposit=deposit,
            state=state,
            cents=cents,
            on=act.on,
            person=act.person,
            at=act.at,
        )
    if payment.rest:
        open_short(
            deposit=deposit,
            cause=line.fate if line.fate in rules.SHORTER else rules.PRICE,
            cents=payment.rest,
            opened_on=act.on,
            memo_line=line,
            explanation=line.remark,
            person=act.person,
            at=act.at,
        )
    _move_crate(deposit, line.memo, payment, act)


def _move_crate(
    deposit: Deposit, memo: CreditMemo, payment: Payment, act: _Act
) -> None:
    if deposit.crate_id is None:
        return
    crate = lock_crate(deposit.crate_id)
    wanted = "credit-short" if payment.rest else "credit"
    if not crate.life.can_start(crate.state, wanted):
        return
    move_crate(
        crate=crate,
        act=wanted,
        person=act.person,
        at=act.at,
        data=credited_words(deposit),
        subjects=[deposit, memo],
    )


def _open_left_out(memo: CreditMemo, fates: Sequence[Fate], act: _Act) -> None:
    """Open a short-paid credit for each crate of the memo's returns that it leaves out."""
    pool = awaited_of(memo.location, memo.supplier, memo.currency)
    live = ShortCredit.objects.filter(supplier=memo.supplier, state=shorts.OPEN)
    known = set(live.values_list("deposit_id", flat=True))
    for row in rules.left_out(fates, pool):
        deposit = deposit_by_key(row.key)
        expected = deposit_balance(deposit, postings.EXPECTED)
        if not expected or deposit.pk in known:
            continue
        open_short(
            deposit=deposit,
            cause="not-on-memo",
            cents=expected,
            opened_on=act.on,
            explanation=f"{memo} of {in_words(memo.dated_on)} does not name it.",
            person=act.person,
            at=act.at,
        )
