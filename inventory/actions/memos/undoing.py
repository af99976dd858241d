"""Undoing the last decision on a short-paid credit, as it stood before.

A decision tells in an event of its own what it changed, so that it can be undone whole:
the entry is reversed, the short-paid credit, its crate and its return are as before.
"""

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.deposits.effects import Standing, effects_since
from inventory.actions.deposits.short_rows import Decided, subjects_of
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.returns import undoing as undo
from inventory.models import Entry, Event, ShortCredit
from inventory.rules.memos import short_credits as rules
from inventory.rules.reckoning.money import format_cents

_DECIDED = "short.decided"


def keep_way_back(row: ShortCredit, before: Standing, decided: Decided) -> None:
    """Record what a decision changed since ``before``; call it last in the act.

    A decision that is repeated changes nothing, and nothing is recorded.
    """
    effects = effects_since(before)
    if not effects:
        return
    entry = Entry.objects.get(posting_key=str(decided.posting_key))
    record_event(
        kind=_DECIDED,
        at=decided.at,
        actor=decided.person,
        location=row.location,
        subjects=[row],
        data={
            "amount": format_cents(row.amount_cents, row.currency, code=True),
            "effects": effects,
            "entry": str(entry.pk),
        },
    )


def undo_decision(*, short: ShortCredit, version: int, decided: Decided) -> ShortCredit:
    """Undo the last decision on a short-paid credit, with a reason.

    In a locked period it posts on the first open day. Raise StaleRowError, and
    RefusedError naming what must be undone first where the crate, the credit or its
    deposit has moved on.
    """
    with transaction.atomic():
        lock_book(short.location, short.supplier, short.currency)
        row = ShortCredit.objects.select_related("location", "supplier").get(
            pk=short.pk
        )
        event = last_decision(row)
        if event is None:
            raise RefusedError(f"{why_not_undo(row)} Nothing was reversed.")
        if row.version != version:
            raise StaleRowError
        entries = list(
            Entry.objects.select_related("location", "supplier")
            .prefetch_related("legs")
            .filter(pk=event.data["entry"])
        )
        touched = undo.lock_touched(event.data["effects"], entries)
        undo.refuse_moved_on(touched, entries)
        day = open_day(row.location, decided.on)
        act = undo.Undoing(decided.reason, day, decided.person, decided.at)
        mine = touched.shorts[row.pk]
        about = subjects_of(mine)
        undo.reverse_entries(entries, act, subjects=about)
        if mine.state == rules.WRITTEN_OFF:
            gone = {"write_off_asked_by": None, "write_off_reason": ""}
            change_row(mine, version=mine.version, **gone)
        undo.undo_effects(touched, act, subjects=about)
        return mine


def last_decision(row: ShortCredit) -> Event | None:
    """Return the event of the last decision that was not undone, None without one."""
    events = Event.objects.filter(
        kind=_DECIDED, subjects__noun="shortcredit", subjects__key=str(row.pk)
    )
    for event in events.order_by("-sequence"):
        if not Entry.objects.filter(reverses=event.data["entry"]).exists():
            return event
    return None


def why_not_undo(row: ShortCredit) -> str:
    """Return why no decision on it can be undone, or nothing."""
    if last_decision(row) is not None:
        return ""
    if row.state == rules.OPEN:
        return "This short-paid credit is not decided."
    return (
        "It was decided by a memo, by the return itself, or by an earlier version of "
        "the program. Reverse the memo, or wait for the supplier's next one."
    )
