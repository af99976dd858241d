"""The supplier's receipt of a return: its day may change the expected credits."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import move_crate
from inventory.actions.deposits.short_rows import open_short
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.reversals import reverse_entry
from inventory.actions.returns.closing import close_return
from inventory.actions.returns.credits import post_expected
from inventory.actions.returns.deposits import joined_deposit, left_on
from inventory.actions.returns.staging import (
    about,
    live_lines,
    lock_return,
    require_act,
)
from inventory.models import CrateReturn, Deposit, ReturnLine, ShortCredit, User
from inventory.queries.deposits.credits import expected_credit
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from inventory.rules.deposits.shipping_credit import Expected
from inventory.rules.memos import short_credits as shorts
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


def receive_return(
    *,
    crate_return: CrateReturn,
    version: int,
    received_on: date,
    person: User,
    at: datetime,
) -> CrateReturn:
    """Record the day on which the supplier received a return.

    Where that day changes a credit by the terms, the expected credit is posted again,
    unless a memo has already paid on it. Raise StaleRowError and RefusedError.
    """
    with transaction.atomic():
        lock_book(crate_return.location, crate_return.supplier, crate_return.currency)
        row = lock_return(crate_return)
        state = require_act(row, "receive")
        if row.version != version:
            raise StaleRowError
        if received_on < left_on(row):
            raise RefusedError(
                f"That is before the return was shipped, on {in_words(left_on(row))}. "
                "Nothing was saved. Check the day."
            )
        change_row(row, version=version, state=state, received_back_on=received_on)
        dues = [_restate(line, person=person, at=at) for line in _lines(row)]
        known = [day for day in dues if day is not None]
        if known:
            change_row(row, version=row.version, memo_due_on=max(known))
        record_event(
            kind="return.received",
            at=at,
            actor=person,
            location=row.location,
            subjects=about(row),
            data={"number": row.number, "received_on": received_on.isoformat()},
        )
        close_return(row, person=person, at=at)
        row.refresh_from_db()
        return row


def _lines(row: CrateReturn) -> Sequence[ReturnLine]:
    lines = live_lines(row)
    for line in lines:
        line.crate_return = row
    return lines


def _restate(line: ReturnLine, *, person: User, at: datetime) -> date | None:
    """Calculate the line's credit again with the receipt day."""
    if line.deposit is None:
        _settle_nothing(line, "credit", person=person, at=at)
        return None
    deposit = joined_deposit(line.deposit)
    credit, due = expected_credit(deposit, left_on(line.crate_return))
    if _differs(line, credit) and _is_untouched(line, deposit):
        _post_anew(line, deposit, credit, person=person, at=at)
    if not deposit_balance(deposit):
        _settle_nothing(line, "credit-short", person=person, at=at)
    return due


def _differs(line: ReturnLine, credit: Expected) -> bool:
    frozen = (line.expected_cents, line.late_cents, line.parts_cents, line.hold_cents)
    now = (credit.expected, credit.late, credit.parts, credit.hold)
    return line.expected_entry_id is not None and frozen != now


def _is_untouched(line: ReturnLine, deposit: Deposit) -> bool:
    """Return whether only this line's own posting is on the deposit."""
    return (
        deposit_balance(deposit, postings.EXPECTED) == line.expected_cents
        and deposit_balance(deposit, postings.DISPUTED) == line.hold_cents
        and not ShortCredit.objects.filter(deposit=deposit)
        .exclude(cause="hold", state=shorts.DISPUTED)
        .exclude(state=shorts.REVERSED)
        .exists()
    )


def _post_anew(
    line: ReturnLine,
    deposit: Deposit,
    credit: Expected,
    *,
    person: User,
    at: datetime,
) -> None:
    entry = line.expected_entry
    if entry is None:
        return
    reverse_entry(
        entry=entry,
        effective_on=open_day(deposit.location, entry.effective_on),
        reason="The receipt day is now known.",
        posting_key=f"return-line:{line.pk}:undone",
        person=person,
        at=at,
        subjects=[line.crate_return],
    )
    post_expected(line, deposit, credit, person=person, at=at, again=":received")
    held = ShortCredit.objects.filter(
        deposit=deposit, cause="hold", state=shorts.DISPUTED
    ).first()
    if held is not None and credit.hold:
        change_row(held, version=held.version, amount_cents=credit.hold)
    elif held is not None:
        change_row(
            held,
            version=held.version,
            state=shorts.REVERSED,
            settled_on=line.crate_return.received_back_on,
            explanation="By the receipt day, the hold cost nothing.",
        )
    elif credit.hold:
        open_short(
            deposit=deposit,
            cause="hold",
            cents=credit.hold,
            opened_on=left_on(line.crate_return),
            state=shorts.DISPUTED,
            explanation="Lost while the packaging was on hold for the carrier.",
            person=person,
            at=at,
        )


def _settle_nothing(line: ReturnLine, act: str, *, person: User, at: datetime) -> None:
    """Settle a crate whose deposit earns nothing, once it has arrived."""
    crate = line.crate
    crate.refresh_from_db()
    if crate.state != "shipped":
        return
    whole = line.deposit.amount_cents if line.deposit else 0
    currency = line.crate_return.currency
    move_crate(
        crate=crate,
        act=act,
        person=person,
        at=at,
        data={
            "amount": format_cents(0, currency, code=True),
            "short": format_cents(whole, currency, code=True),
        },
        subjects=[line.crate_return],
    )
