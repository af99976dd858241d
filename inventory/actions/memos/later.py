"""A held credit that proves to be for a crate of ours: it pays for it, later."""

from django.db import transaction

from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.ledger.posting import body_hash_of, find_posted
from inventory.actions.memos import suspense
from inventory.actions.memos.deposits import (
    deposit_by_key,
    refuse_other_book,
)
from inventory.actions.memos.holding import PostingAct
from inventory.actions.memos.posting import settle_line
from inventory.actions.returns.closing import close_settled
from inventory.actions.returns.deposits import expected_since
from inventory.models import Deposit, SuspenseLine
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from inventory.rules.memos.payments import payment_of


def match_credit(
    *, line: SuspenseLine, version: int, deposit: Deposit, decided: Decided
) -> SuspenseLine:
    """Let a held credit pay what is open on a crate; what is left of it stays held.

    Raise StaleRowError, and RefusedError where nothing is open on the deposit or it
    is of another book.
    """
    with transaction.atomic():
        row = suspense.lock_held(line)
        chosen = deposit_by_key(deposit.pk)
        ending = suspense.Ending(
            "match",
            "suspense.matched",
            "held-matched",
            what=str(chosen.crate or chosen),
        )
        body = suspense.body_of(row, ending, decided)
        if find_posted(str(decided.posting_key), body_hash_of(body)) is not None:
            return row
        state = suspense.require(row, version, ending, decided.reason)
        refuse_other_book(row, chosen)
        if chosen.crate_id is not None:
            lock_crates([chosen.crate_id])
        paid = _pay(row, chosen, decided, ending)
        _leave_the_rest(row, paid)
        suspense.close_held(
            row, state, ending, decided, deposit=chosen, amount_cents=paid
        )
        close_settled([chosen.pk], person=decided.person, at=decided.at)
        return row


def _pay(
    row: SuspenseLine, deposit: Deposit, decided: Decided, ending: suspense.Ending
) -> int:
    """Post the payment and apply it; return how much of the credit it uses."""
    expected = deposit_balance(deposit, postings.EXPECTED)
    disputed = deposit_balance(deposit, postings.DISPUTED)
    paid = min(row.amount_cents, expected + disputed)
    if not paid:
        raise RefusedError(
            f"Nothing is open on {deposit}. Nothing was posted. Choose a crate with an "
            "open credit."
        )
    payment = payment_of(paid, expected=expected, disputed=disputed, room=paid)
    on = max(decided.on, row.opened_on, expected_since(deposit))
    lines = postings.held_matched(paid, payment.lines(deposit.pk))
    suspense.post_ending(row, lines, ending, decided=decided, on=on)
    act = PostingAct(decided.person, decided.at, on)
    settle_line(row.memo_line, deposit, payment, act)
    return paid


def _leave_the_rest(row: SuspenseLine, paid: int) -> None:
    """Leave what is not used held, in a row of its own."""
    if rest := row.amount_cents - paid:
        SuspenseLine.objects.create(
            location=row.location,
            supplier=row.supplier,
            memo_line=row.memo_line,
            amount_cents=rest,
            currency=row.currency,
            opened_on=row.opened_on,
        )
