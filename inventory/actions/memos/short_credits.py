"""A person's decisions on short-paid credits."""

from collections.abc import Sequence

from django.db import transaction

from inventory.actions.core.versions import (
    RefusedError,
    StaleRowError,
    change_row,
    granted,
)
from inventory.actions.deposits.effects import Standing, standing_on
from inventory.actions.deposits.short_rows import (
    Decided,
    settle_crate,
    split_won,
    tell_decided,
)
from inventory.actions.deposits.write_offs import approve_write_off, ask_write_off
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.actions.memos.undoing import keep_way_back
from inventory.actions.returns.closing import close_settled
from inventory.models import ShortCredit
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as rules
from inventory.rules.reckoning.money import format_cents


def accept_short(*, short: ShortCredit, version: int, decided: Decided) -> ShortCredit:
    """Accept this as a loss. Raise StaleRowError and RefusedError."""
    with transaction.atomic():
        row = _locked(short)
        body = _body(row, "accept", decided)
        if find_posted(str(decided.posting_key), body_hash_of(body)) is not None:
            return row
        state = _require(row, "accept", version, decided)
        before = standing_on([row.deposit_id])
        lines = postings.short_accepted(row.deposit_id, row.amount_cents, row.cause)
        _post(row, "short-credit", lines, (decided, body))
        change_row(
            row,
            version=version,
            state=state,
            settled_on=decided.on,
            explanation=_said(row, decided),
        )
        tell_decided("short.accepted", row, decided)
        _settle(row, decided)
        keep_way_back(row, before, decided)
        return row


def dispute_short(*, short: ShortCredit, version: int, decided: Decided) -> ShortCredit:
    """Dispute this with the supplier; it is listed as disputed until it is decided."""
    with transaction.atomic():
        row = _locked(short)
        body = _body(row, "dispute", decided)
        if find_posted(str(decided.posting_key), body_hash_of(body)) is not None:
            return row
        state = _require(row, "dispute", version, decided)
        before = standing_on([row.deposit_id])
        lines = postings.short_disputed(row.deposit_id, row.amount_cents)
        _post(row, "dispute", lines, (decided, body))
        change_row(
            row,
            version=version,
            state=state,
            disputed_on=decided.on,
            explanation=_said(row, decided),
        )
        tell_decided("short.disputed", row, decided)
        keep_way_back(row, before, decided)
        return row


def win_short(
    *, short: ShortCredit, version: int, cents: int, decided: Decided
) -> ShortCredit:
    """Record that the supplier paid this, or ``cents`` of it.

    What is not paid stays as it was, in a row of its own. Raise StaleRowError and
    RefusedError.
    """
    with transaction.atomic():
        row = _locked(short)
        body = {**_body(row, "win", decided), "cents": cents}
        if find_posted(str(decided.posting_key), body_hash_of(body)) is not None:
            return row
        _require(row, "win", version, decided)
        if not 1 <= cents <= row.amount_cents:
            most = format_cents(row.amount_cents, row.currency, code=True)
            raise RefusedError(
                f"Enter an amount from 0.01 to {most}. Nothing was posted."
            )
        before = standing_on([row.deposit_id])
        is_open = row.state == rules.OPEN
        lines = (
            postings.memo_paid(row.deposit_id, paid=cents, expected=cents)
            if is_open
            else postings.dispute_won(row.deposit_id, cents)
        )
        _post(row, "memo" if is_open else "dispute-won", lines, (decided, body))
        split_won(row, cents, decided.on, person=decided.person, at=decided.at)
        _settle(row, decided)
        keep_way_back(row, before, decided)
        return row


def give_up_short(*, short: ShortCredit, version: int, decided: Decided) -> ShortCredit:
    """Write off a short-paid credit, or ask a second person above the limit.

    Raise StaleRowError and RefusedError.
    """
    with transaction.atomic():
        before = standing_on([_locked(short).deposit_id])
        row = ask_write_off(
            short=short,
            version=version,
            reason=decided.reason,
            written_off_on=decided.on,
            posting_key=decided.posting_key,
            person=decided.person,
            at=decided.at,
        )
        return _written_off(row, before, decided)


def agree_give_up(*, short: ShortCredit, version: int, decided: Decided) -> ShortCredit:
    """Approve what another person asked to write off. Raise RefusedError."""
    with transaction.atomic():
        before = standing_on([_locked(short).deposit_id])
        row = approve_write_off(
            short=short,
            version=version,
            written_off_on=decided.on,
            posting_key=decided.posting_key,
            person=decided.person,
            at=decided.at,
        )
        return _written_off(row, before, decided)


def _written_off(row: ShortCredit, before: Standing, decided: Decided) -> ShortCredit:
    if row.state == rules.WRITTEN_OFF:
        _settle(row, decided)
        keep_way_back(row, before, decided)
    return row


def _settle(row: ShortCredit, decided: Decided) -> None:
    """Settle the crate and its return once nothing is open."""
    settle_crate(row.deposit, person=decided.person, at=decided.at)
    close_settled([row.deposit_id], person=decided.person, at=decided.at)


def _locked(short: ShortCredit) -> ShortCredit:
    lock_book(short.location, short.supplier, short.currency)
    rows = ShortCredit.objects.select_for_update(of=("self",))
    return rows.select_related("location", "supplier", "deposit__crate").get(
        pk=short.pk
    )


def _require(row: ShortCredit, act: str, version: int, decided: Decided) -> str:
    """Return the state the act leads to. Raises RefusedError, then StaleRowError."""
    facts = row.facts_for(decided.person.pk, decided.reason)
    state = granted(rules.LIFE.decide(row.state, act, facts))
    if row.version != version:
        raise StaleRowError
    return state


def _post(
    row: ShortCredit,
    kind: str,
    lines: Sequence[postings.Line],
    asked: tuple[Decided, dict[str, object]],
) -> None:
    decided, body = asked
    post_entry(
        kind=kind,
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        effective_on=decided.on,
        lines=lines,
        posting_key=str(decided.posting_key),
        person=decided.person,
        at=decided.at,
        note=decided.reason[:300],
        subjects=[row],
        body=body,
    )


def _said(row: ShortCredit, decided: Decided) -> str:
    """Return the earlier explanation with the new text below it."""
    return "\n".join(part for part in (row.explanation, decided.reason) if part)[:1000]


def _body(row: ShortCredit, act: str, decided: Decided) -> dict[str, object]:
    return {
        "short": row.pk,
        "act": act,
        "on": decided.on.isoformat(),
        "why": decided.reason,
    }
