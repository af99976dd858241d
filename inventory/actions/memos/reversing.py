"""Undoing a posted memo: every part is reversed in one transaction, or nothing is.

One transaction, because between two of them somebody could decide a short-paid credit
that the memo left: then half a memo would stand for ever. A kill leaves all as it was,
and doing it again comes to the same end.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.db import transaction

from inventory.above import objections_to_undoing
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import (
    RefusedError,
    StaleRowError,
    change_row,
    granted,
)
from inventory.actions.deposits.effects import Effect
from inventory.actions.ledger.checks import open_day
from inventory.actions.memos.entering import enter_memo, lock_memo
from inventory.actions.returns import undoing as undo
from inventory.models import (
    CreditMemo,
    Entry,
    Event,
    ShortCredit,
    SuspenseLine,
    User,
)
from inventory.queries.memos.awaited import line_of
from inventory.rules.memos import suspense
from inventory.rules.reckoning.money import format_cents

_TOLD = ("memo.part-posted", "memo.posted")


def reverse_memo(
    *,
    memo: CreditMemo,
    version: int,
    reason: str,
    reversed_on: date,
    person: User,
    at: datetime,
) -> CreditMemo:
    """Reverse all that a posted memo did; a repeat changes nothing and returns it.

    In a locked period it posts on the first open day. Raise StaleRowError, and
    RefusedError naming what must be undone first while any crate, short-paid credit
    or held credit of the memo has moved on.
    """
    with transaction.atomic():
        row = lock_memo(memo)
        if row.reversed_on is not None:
            return row
        if row.version != version:
            raise StaleRowError
        effects = _effects_of(row)
        entries = _entries_of(row)
        touched = undo.lock_touched(effects, entries)
        held = _lock_held(row)
        against = objections_to_undoing(ShortCredit, touched.shorts.values())
        undo.refuse_moved_on(touched, entries, also=[*_decided(held), *against])
        day = open_day(row.location, max(reversed_on, row.dated_on))
        act = undo.Undoing(reason, day, person, at)
        moved = undo.reverse_entries(entries, act, subjects=[row])
        undo.undo_effects(touched, act, subjects=[row])
        _reverse_held(held, act)
        change_row(row, version=version, reversed_on=day, reversal_reason=reason[:300])
        record_event(
            kind="memo.reversed",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row],
            data={
                "number": row.number,
                "amount": format_cents(moved, row.currency, code=True),
                "reason": reason,
            },
        )
        return row


def why_not_reverse_memo(row: CreditMemo) -> str:
    """Return why this memo can never be reversed, or nothing."""
    return _reversible(row)[1]


def _reversible(row: CreditMemo) -> tuple[list[list[Effect]], str]:
    """Return what each part of the posting changed, or why it cannot be reversed."""
    if row.reversed_on is not None:
        return [], f"{row} is already reversed."
    if not row.is_posted:
        return [], f"{row} is not posted. Change its lines, or post it first."
    if (told := _told(row)) is not None:
        return told, ""
    return [], (
        f"{row} was posted by an earlier version of the program, which did not keep "
        "what posting changed. The supplier's next memo corrects it."
    )


def enter_again(*, memo: CreditMemo, person: User, at: datetime) -> CreditMemo:
    """Enter a reversed memo again, with the same number and lines, not posted.

    Raise RefusedError where it was not reversed, or is already entered again.
    """
    with transaction.atomic():
        row = lock_memo(memo)
        if row.reversed_on is None:
            raise RefusedError(
                f"{row} was not reversed. Nothing was saved. Reverse it first."
            )
        return enter_memo(
            location=row.location,
            supplier=row.supplier,
            number=row.number,
            dated_on=row.dated_on,
            received_on=row.received_on,
            lines=[line_of(line) for line in row.lines.order_by("position")],
            person=person,
            at=at,
            currency=row.currency,
        )


def _told(row: CreditMemo) -> list[list[Effect]] | None:
    """Return what each part of the posting changed; None where one did not tell."""
    events = Event.objects.filter(
        kind__in=_TOLD, subjects__noun="creditmemo", subjects__key=str(row.pk)
    )
    found = [event.data.get("effects") for event in events.order_by("sequence")]
    return None if not found or None in found else found


def _effects_of(row: CreditMemo) -> list[Effect]:
    told, against = _reversible(row)
    if against:
        raise RefusedError(f"{against} Nothing was reversed.")
    return [effect for part in told for effect in part]


def _entries_of(row: CreditMemo) -> list[Entry]:
    lines = row.lines.filter(entry__isnull=False).order_by("position")
    entries = Entry.objects.select_related("location", "supplier")
    by_key = entries.prefetch_related("legs").in_bulk(
        list(lines.values_list("entry_id", flat=True))
    )
    return sorted(by_key.values(), key=lambda entry: entry.legs.all()[0].pk)


def _lock_held(row: CreditMemo) -> list[SuspenseLine]:
    rows = SuspenseLine.objects.select_for_update(of=("self",)).select_related(
        "location", "memo_line__memo"
    )
    return list(rows.filter(memo_line__memo=row).order_by("pk"))


def _decided(held: Iterable[SuspenseLine]) -> list[str]:
    return [
        f"The held credit of {format_cents(row.amount_cents, row.currency, code=True)}, "
        f"line {row.memo_line.position}, is decided and cannot be undone: "
        f"{row.get_state_display().lower()}. The supplier's next memo corrects it."
        for row in held
        if not row.life.can_start(row.state, "reverse")
    ]


def _reverse_held(held: Sequence[SuspenseLine], act: undo.Undoing) -> None:
    for row in held:
        state = granted(
            suspense.LIFE.decide(row.state, "reverse", suspense.HeldFacts())
        )
        change_row(row, version=row.version, state=state, settled_on=act.on)
        record_event(
            kind="suspense.reversed",
            at=act.at,
            actor=act.person,
            location=row.location,
            subjects=[row, row.memo_line.memo],
            data={
                "amount": format_cents(row.amount_cents, row.currency, code=True),
                "reason": act.reason,
            },
        )
