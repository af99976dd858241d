"""A crate lost in return transit: the return carrier owes the loss."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import Model, Q

from inventory.above import objections_to_undoing
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.effects import Effect, effects_since, standing_on
from inventory.actions.deposits.short_rows import Decided, open_short, tell_decided
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import post_entry
from inventory.actions.returns import undoing as undo
from inventory.actions.returns.closing import close_settled
from inventory.actions.returns.deposits import expected_since, joined_deposit, left_on
from inventory.actions.returns.staging import lock_return, require_act
from inventory.models import (
    CrateReturn,
    Deposit,
    Entry,
    Event,
    ReturnLine,
    ShortCredit,
    User,
)
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as shorts
from inventory.rules.reckoning.money import format_cents


def lose_crate(
    *,
    line: ReturnLine,
    version: int,
    lost_on: date,
    reason: str,
    person: User,
    at: datetime,
) -> None:
    """Record that the carrier lost a crate in return transit: the carrier owes the loss.

    Raise RefusedError where the supplier's own truck took it, and StaleRowError.
    """
    with transaction.atomic():
        row = line.crate_return
        lock_book(row.location, row.supplier, row.currency)
        row = lock_return(row)
        require_act(row, "lose")
        _refuse_own_truck(row)
        fresh = ReturnLine.objects.select_related("crate", "deposit").get(pk=line.pk)
        if fresh.is_taken_off or fresh.version != version:
            raise StaleRowError
        change_row(fresh, version=version, steps=[*fresh.steps, f"Lost: {reason}"])
        subjects = [row, *([fresh.deposit] if fresh.deposit else [])]
        keys = [fresh.deposit_id] if fresh.deposit_id else []
        lock_crates([fresh.crate_id])
        before = standing_on(keys)
        move_crate(
            crate=fresh.crate,
            act="lose",
            person=person,
            at=at,
            data={"reason": reason, "carrier": str(row.carrier)},
            subjects=subjects,
        )
        fresh.crate_return = row
        if fresh.deposit is None:
            return
        fresh.deposit = joined_deposit(fresh.deposit)
        cents = _post_loss(fresh, fresh.deposit, lost_on, reason, person=person, at=at)
        if cents:
            _tell_posted(fresh, cents, effects_since(before), person=person, at=at)
        close_settled([fresh.deposit.pk], person=person, at=at)


def _loss_key(line: ReturnLine) -> str:
    """Return the posting key of the line's loss: another one after each reversal."""
    key = f"return-line:{line.pk}:lost"
    before = Entry.objects.filter(
        Q(posting_key=key) | Q(posting_key__startswith=f"{key}:"),
        reversed_by__isnull=False,
    ).count()
    return f"{key}:{before}" if before else key


def reverse_loss(
    *,
    line: ReturnLine,
    version: int,
    reason: str,
    reversed_on: date,
    person: User,
    at: datetime,
) -> None:
    """Undo the loss of a crate in return transit: it was found, or never lost.

    The carrier owes nothing for it again, and its credit is expected as before. Raise
    StaleRowError, and RefusedError naming what must be undone first.
    """
    with transaction.atomic():
        row = line.crate_return
        lock_book(row.location, row.supplier, row.currency)
        row = lock_return(row)
        fresh = ReturnLine.objects.select_related("crate", "deposit").get(pk=line.pk)
        if fresh.version != version:
            raise StaleRowError
        entry, effects = _loss_of(fresh)
        touched = undo.lock_touched(effects, [entry])
        undo.refuse_moved_on(touched, [entry], also=_objections(fresh))
        day = open_day(row.location, max(reversed_on, entry.effective_on))
        act = undo.Undoing(reason, day, person, at)
        steps = [*fresh.steps, f"Not lost after all: {reason}"]
        change_row(fresh, version=version, steps=steps)
        moved = undo.reverse_entries([entry], act, subjects=[row])
        undo.undo_effects(touched, act, subjects=[row])
        _tell("return.loss-reversed", fresh, moved, person=person, at=at, reason=reason)


def why_not_reverse_loss(line: ReturnLine) -> str:
    """Return why the loss of this line can never be reversed, or nothing."""
    entry = _standing_loss(line)
    if entry is None:
        return "No loss of this crate is in the books."
    if against := _objections(line):
        return " ".join(against)
    return (
        ""
        if _effects_of(entry) is not None
        else (
            "This loss was recorded by an earlier version of the program, which did not "
            "keep what it changed. Settle it with the carrier."
        )
    )


def _objections(line: ReturnLine) -> list[str]:
    return objections_to_undoing(ReturnLine, [line])


def _standing_loss(line: ReturnLine) -> Entry | None:
    key = f"return-line:{line.pk}:lost"
    rows = Entry.objects.filter(
        Q(posting_key=key) | Q(posting_key__startswith=f"{key}:"), reversed_by=None
    )
    joined = rows.select_related("location", "supplier").prefetch_related("legs")
    return joined.first()


def _effects_of(entry: Entry) -> list[Effect] | None:
    event = (
        Event.objects.filter(
            kind="return.loss-posted", subjects__noun="entry", subjects__key=entry.pk
        )
        .order_by("-sequence")
        .first()
    )
    return None if event is None else event.data.get("effects")


def _loss_of(line: ReturnLine) -> tuple[Entry, list[Effect]]:
    entry, against = _standing_loss(line), why_not_reverse_loss(line)
    if entry is None or against:
        raise RefusedError(f"{against} Nothing was reversed.")
    return entry, _effects_of(entry) or []


def _tell_posted(
    line: ReturnLine,
    cents: int,
    effects: list[Effect],
    *,
    person: User,
    at: datetime,
) -> None:
    """Record what the loss changed beside the ledger, so that it can be undone."""
    _tell("return.loss-posted", line, cents, person=person, at=at, effects=effects)


def _tell(
    kind: str,
    line: ReturnLine,
    cents: int,
    *,
    person: User,
    at: datetime,
    **data: object,
) -> None:
    row, deposit = line.crate_return, line.deposit
    entry = _standing_loss(line)
    about: list[Model | None] = [row, deposit, line.crate, entry]
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=row.location,
        subjects=[one for one in about if one is not None],
        data={
            "number": row.number,
            "what": str(line.crate),
            "carrier": str(row.carrier),
            "amount": format_cents(cents, row.currency, code=True),
            **data,
        },
    )


def _refuse_own_truck(row: CrateReturn) -> None:
    if row.carrier is None:
        raise RefusedError(
            f"{row}: no carrier is named, so nobody can be charged with the loss. "
            "Nothing was saved. Enter the carrier first."
        )
    if row.carrier.mode == "supplier-truck":
        raise RefusedError(
            "The supplier's own truck took this crate, so no carrier owes the loss. "
            "Nothing was saved. Dispute the credit: the supplier's driver signed "
            "for the count."
        )


def _post_loss(
    line: ReturnLine,
    deposit: Deposit,
    lost_on: date,
    reason: str,
    *,
    person: User,
    at: datetime,
) -> int:
    """Post what was open on the crate as the carrier's; return it, in cents."""
    row = line.crate_return
    expected = deposit_balance(deposit, postings.EXPECTED)
    disputed = deposit_balance(deposit, postings.DISPUTED)
    if not expected + disputed:
        return 0
    post_entry(
        kind="carrier-loss",
        location=row.location,
        supplier=row.supplier,
        currency=deposit.currency,
        effective_on=open_day(
            row.location, max(lost_on, left_on(row), expected_since(deposit))
        ),
        lines=postings.lost_by_carrier(
            deposit.pk, expected=expected, disputed=disputed
        ),
        posting_key=_loss_key(line),
        person=person,
        at=at,
        note=f"Lost by {row.carrier}: {reason}"[:300],
        subjects=[row],
    )
    told = 0
    live = ShortCredit.objects.filter(deposit=deposit, state__in=shorts.LIFE.live)
    joined = live.select_related("location", "deposit__crate")
    for short in joined.order_by("pk"):
        told += short.amount_cents
        change_row(
            short,
            version=short.version,
            cause="lost",
            state=shorts.ACCEPTED,
            settled_on=lost_on,
            explanation=f"{short.explanation}\n{reason}".strip()[:1000],
        )
        tell_decided("short.accepted", short, Decided(lost_on, "", person, at, reason))
    if expected + disputed > told:
        _tell_loss(
            deposit, expected + disputed - told, lost_on, reason, person=person, at=at
        )
    return expected + disputed


def _tell_loss(
    deposit: Deposit,
    cents: int,
    lost_on: date,
    reason: str,
    *,
    person: User,
    at: datetime,
) -> None:
    open_short(
        deposit=deposit,
        cause="lost",
        cents=cents,
        opened_on=lost_on,
        state=shorts.ACCEPTED,
        explanation=reason,
        person=person,
        at=at,
    )
