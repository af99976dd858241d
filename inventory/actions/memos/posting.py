"""Posting a memo: it pays once, and every shortage opens a short-paid credit."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import StaleRowError, change_row
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.effects import Effect, effects_since, standing_on
from inventory.actions.deposits.short_rows import (
    credited_words,
    open_short,
    settle_paid,
)
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.posting import post_entry
from inventory.actions.memos.deposits import (
    deposit_by_key,
    room_on,
    surplus_account,
)
from inventory.actions.memos.entering import keep_fate, lock_memo
from inventory.actions.memos.holding import (
    AT_ONCE,
    PostingAct,
    hold_left_out,
    hold_line,
)
from inventory.actions.memos.results import (
    current_results,
    posted_lines,
    refuse_unmatched,
)
from inventory.actions.memos.suspense import hold_credit
from inventory.actions.returns.closing import close_settled
from inventory.actions.returns.deposits import expected_since
from inventory.models import CreditMemo, Deposit, MemoLine, ShortCredit, User
from inventory.queries.ledger.balances import deposit_balance
from inventory.queries.memos.awaited import pool_of
from inventory.rules.deposits import postings
from inventory.rules.memos import matching as rules
from inventory.rules.memos import short_credits as shorts
from inventory.rules.memos.matching import Awaited, Fate
from inventory.rules.memos.payments import Payment, payment_of
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


def post_memo(
    *, memo: CreditMemo, version: int, person: User, at: datetime
) -> CreditMemo:
    """Post what a memo pays, line by line; a repeat changes nothing and returns it.

    Every cent is posted: what is not ours, or for a crate already credited, is held
    in suspense. A long memo is posted in parts, so that nobody else waits for all of
    it; after an interruption, posting again continues. Raise RefusedError while a
    line is not matched, and StaleRowError.
    """
    while True:
        with transaction.atomic():
            row = lock_memo(memo)
            if row.reversed_on is not None:
                return row
            posts = hold_left_out if row.is_posted else _post_part
            if posts(row, version, person, at):
                return row


def _post_part(row: CreditMemo, version: int, person: User, at: datetime) -> bool:
    """Post the next lines of the memo; return whether all of it is posted."""
    if row.version != version:
        raise StaleRowError
    lines = list(row.lines.order_by("position"))
    done = posted_lines(lines)
    pool = pool_of(row)
    fates = current_results(row, lines, done, pool)
    refuse_unmatched(fates)
    act = PostingAct(person, at, open_day(row.location, row.dated_on))
    pairs = list(zip(lines, fates, strict=True))
    to_post = [
        (line, fate)
        for line, fate in pairs
        if (fate.fate in rules.PAYS or fate.amount) and line.pk not in done
    ]
    part, is_last = to_post[:AT_ONCE], len(to_post) <= AT_ONCE
    left = _left_out(row, fates, pool) if is_last else ()
    keys = [fate.key for _, fate in part if fate.fate in rules.PAYS and fate.key]
    # Before the first event: whoever holds a crate may be waiting for the chain.
    lock_crates(_crates_of(keys))
    before = standing_on([*keys, *(one.key for one in left)])
    for line, fate in part:
        keep_fate(line, fate)
        if fate.fate in rules.PAYS:
            _pay(row, line, fate, act)
        else:
            hold_line(row, line, fate.amount, act)
    if not is_last:
        _tell_part(row, len(part), effects_since(before), act)
        return False
    for line, fate in pairs:
        if fate.fate not in rules.PAYS:
            keep_fate(line, fate)
    _open_left_out(row, left, act)
    _finish(row, fates, effects_since(before), act)
    return True


def _tell_part(
    row: CreditMemo, count: int, effects: Sequence[Effect], act: PostingAct
) -> None:
    """Record one part of a long memo, with what it changed."""
    record_event(
        kind="memo.part-posted",
        at=act.at,
        actor=act.person,
        location=row.location,
        subjects=[row],
        data={"number": row.number, "count": count, "effects": effects},
    )


def _crates_of(keys: Iterable[int]) -> list[int]:
    """Return the keys of the crates with these deposits."""
    rows = Deposit.objects.filter(pk__in=list(keys), crate__isnull=False)
    return list(rows.values_list("crate_id", flat=True))


def _finish(
    row: CreditMemo, fates: Sequence[Fate], effects: Sequence[Effect], act: PostingAct
) -> None:
    """Close the memo, and the returns that are settled."""
    change_row(row, version=row.version, is_posted=True)
    stated = sum(fate.amount for fate in fates)
    apart = sum(fate.apart for fate in fates)
    record_event(
        kind="memo.posted",
        at=act.at,
        actor=act.person,
        location=row.location,
        subjects=[row],
        data={
            "number": row.number,
            "amount": format_cents(stated, row.currency, code=True),
            "apart": format_cents(apart, row.currency, code=True),
            "effects": effects,
        },
    )
    keys = [fate.key for fate in fates if fate.key is not None]
    close_settled(keys, person=act.person, at=act.at)


def _pay(memo: CreditMemo, line: MemoLine, fate: Fate, act: PostingAct) -> None:
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
    if payment.beyond:
        hold_credit(
            line=line,
            cents=payment.beyond,
            why="more than was charged",
            held_on=act.on,
            person=act.person,
            at=act.at,
        )
    settle_line(line, deposit, payment, act)


def settle_line(
    line: MemoLine, deposit: Deposit, payment: Payment, act: PostingAct
) -> None:
    """Apply the payment to the short-paid credits, and open what is left.

    What is open already keeps its cause and explanation where the line gives no cause.
    """
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
    gives_cause = line.fate in rules.SHORTER
    if payment.rest and (gives_cause or not _is_open(deposit)):
        open_short(
            deposit=deposit,
            cause=line.fate if gives_cause else rules.PRICE,
            cents=payment.rest,
            opened_on=act.on,
            memo_line=line,
            explanation=line.remark,
            person=act.person,
            at=act.at,
        )
    _move_crate(deposit, line.memo, payment, act)


def _is_open(deposit: Deposit) -> bool:
    """Return whether a short-paid credit is open on the deposit."""
    return ShortCredit.objects.filter(deposit=deposit, state=shorts.OPEN).exists()


def _move_crate(
    deposit: Deposit, memo: CreditMemo, payment: Payment, act: PostingAct
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


def _left_out(
    memo: CreditMemo, fates: Sequence[Fate], pool: Sequence[Awaited]
) -> tuple[Awaited, ...]:
    """Return the crates of the memo's returns that it leaves out, and none decided."""
    live = ShortCredit.objects.filter(supplier=memo.supplier, state=shorts.OPEN)
    known = set(live.values_list("deposit_id", flat=True))
    return tuple(one for one in rules.left_out(fates, pool) if one.key not in known)


def _open_left_out(memo: CreditMemo, left: Sequence[Awaited], act: PostingAct) -> None:
    """Open a short-paid credit for each crate that the memo leaves out."""
    for row in left:
        deposit = deposit_by_key(row.key)
        expected = deposit_balance(deposit, postings.EXPECTED)
        if not expected:
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
