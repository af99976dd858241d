"""Credits held in suspense: what a memo credits that is not ours, until it is decided.

The supplier account takes every cent of a memo, so it equals the supplier's own books.
What pays for no crate is held against it, and only a person's decision ends that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import StaleRowError, change_row, granted
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import body_hash_of, find_posted, post_entry
from inventory.models import MemoLine, SuspenseLine, User
from inventory.rules.deposits import postings
from inventory.rules.memos import suspense as rules
from inventory.rules.reckoning.money import format_cents

TAKEN = "held-taken"
"""The kind of entry that takes a held credit as income."""


@dataclass(frozen=True)
class WrittenAnswer:
    """The supplier's written answer: its day, and who wrote it."""

    on: date
    by: str


@dataclass(frozen=True)
class Ending:
    """One way to end a held credit: the act of its life, the event and the entry."""

    act: str
    event: str
    kind: str
    what: str = ""
    answer: WrittenAnswer | None = None


def hold_credit(
    *,
    line: MemoLine,
    cents: int,
    why: str,
    held_on: date,
    person: User,
    at: datetime,
) -> SuspenseLine:
    """Open a held credit; call it in the transaction that posts the memo's line."""
    memo = line.memo
    row = SuspenseLine.objects.create(
        location=memo.location,
        supplier=memo.supplier,
        memo_line=line,
        amount_cents=cents,
        currency=memo.currency,
        opened_on=held_on,
    )
    record_event(
        kind="suspense.opened",
        at=at,
        actor=person,
        location=memo.location,
        subjects=[row, memo],
        data={
            "amount": format_cents(cents, memo.currency, code=True),
            "why": f"line {line.position} of memo {memo.number}, {why}",
        },
    )
    return row


def return_credit(
    *, line: SuspenseLine, version: int, decided: Decided
) -> SuspenseLine:
    """Return a held credit to the supplier, which takes it back on its account.

    Raise StaleRowError and RefusedError.
    """
    ending = Ending("return", "suspense.returned", "held-returned")
    return _end(line, version, decided, ending)


def take_by_answer(
    *, line: SuspenseLine, version: int, answer: WrittenAnswer, decided: Decided
) -> SuspenseLine:
    """Take a held credit as income: the supplier wrote that it is ours.

    Raise StaleRowError and RefusedError.
    """
    ending = Ending("take-by-answer", "suspense.taken", TAKEN, answer=answer)
    return _end(line, version, decided, ending)


def take_by_reason(
    *, line: SuspenseLine, version: int, decided: Decided
) -> SuspenseLine:
    """Take a held credit as income by a manager's reason.

    Raise StaleRowError and RefusedError.
    """
    ending = Ending("take-by-reason", "suspense.taken", TAKEN)
    return _end(line, version, decided, ending)


def _end(
    line: SuspenseLine, version: int, decided: Decided, ending: Ending
) -> SuspenseLine:
    with transaction.atomic():
        row = lock_held(line)
        body = body_of(row, ending, decided)
        if find_posted(str(decided.posting_key), body_hash_of(body)) is not None:
            return row
        state = require(row, version, ending, decided.reason)
        lines = postings.held_taken if ending.kind == TAKEN else postings.held_returned
        post_ending(row, lines(row.amount_cents), ending, decided=decided)
        close_held(row, state, ending, decided)
        return row


def lock_held(line: SuspenseLine) -> SuspenseLine:
    """Lock the credit's book, then return the current credit."""
    lock_book(line.location, line.supplier, line.currency)
    rows = SuspenseLine.objects.select_for_update(of=("self",))
    return rows.select_related("location", "supplier", "memo_line__memo").get(
        pk=line.pk
    )


def require(row: SuspenseLine, version: int, ending: Ending, reason: str) -> str:
    """Return the state the act leads to. Raise RefusedError, then StaleRowError."""
    facts = rules.HeldFacts(reason=reason, has_answer=ending.answer is not None)
    state = granted(rules.LIFE.decide(row.state, ending.act, facts))
    if row.version != version:
        raise StaleRowError
    return state


def body_of(row: SuspenseLine, ending: Ending, decided: Decided) -> dict[str, object]:
    """Return what was asked for, to tell a repeat from a change."""
    answer = ending.answer
    return {
        "held": row.pk,
        "act": ending.act,
        "what": ending.what,
        "on": decided.on.isoformat(),
        "why": decided.reason,
        "answer": [answer.on.isoformat(), answer.by] if answer else None,
    }


def post_ending(
    row: SuspenseLine,
    lines: Sequence[postings.Line],
    ending: Ending,
    *,
    decided: Decided,
    on: date | None = None,
) -> None:
    """Post the entry that ends a held credit."""
    post_entry(
        kind=ending.kind,
        location=row.location,
        supplier=row.supplier,
        currency=row.currency,
        effective_on=on or max(decided.on, row.opened_on),
        lines=lines,
        posting_key=str(decided.posting_key),
        person=decided.person,
        at=decided.at,
        note=_said(ending, decided)[:300],
        subjects=[row, row.memo_line.memo],
        body=body_of(row, ending, decided),
    )


def close_held(
    row: SuspenseLine,
    state: str,
    ending: Ending,
    decided: Decided,
    **changes: object,
) -> None:
    """Write the end of a held credit and record it."""
    answer = ending.answer
    proof = {"answered_on": answer.on, "answered_by": answer.by} if answer else {}
    change_row(
        row,
        version=row.version,
        state=state,
        settled_on=max(decided.on, row.opened_on),
        reason=decided.reason[:500],
        **proof,
        **changes,
    )
    about: list[Model] = [row, row.memo_line.memo]
    record_event(
        kind=ending.event,
        at=decided.at,
        actor=decided.person,
        location=row.location,
        subjects=[*about, *([row.deposit] if row.deposit else [])],
        data={
            "amount": format_cents(row.amount_cents, row.currency, code=True),
            "what": ending.what,
            "reason": _said(ending, decided),
        },
    )


def _said(ending: Ending, decided: Decided) -> str:
    answer = ending.answer
    said = f"Written answer of {answer.by}, {answer.on.isoformat()}." if answer else ""
    return f"{said} {decided.reason}".strip()
