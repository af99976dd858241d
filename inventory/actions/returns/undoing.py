"""Undoing what an act changed beside the ledger, unless it has moved on since."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Max, Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.actions.crates.life import move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.actions.deposits.effects import (
    CRATE,
    SHORT,
    Effect,
    fields_before,
    fields_of,
    keys_of,
)
from inventory.actions.deposits.short_rows import subjects_of
from inventory.actions.ledger.reversals import reverse_entry
from inventory.actions.returns.closing import unsettled
from inventory.models import (
    Crate,
    CrateReturn,
    Entry,
    Leg,
    MemoLine,
    ReturnLine,
    ShortCredit,
    User,
)
from inventory.queries.ledger.balances import standing
from inventory.rules.crates.words import ENTRY_KINDS
from inventory.rules.memos import short_credits as shorts
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents
from inventory.rules.returns import life as returns

_MOST_NAMED = 5


@dataclass(frozen=True)
class Undoing:
    """Who undoes, why, when, and the day on which it takes effect at the earliest."""

    reason: str
    on: date
    person: User
    at: datetime


@dataclass(frozen=True)
class Touched:
    """The rows that an act changed, locked in one order: crates, shorts, returns."""

    effects: Sequence[Effect]
    crates: dict[int, Crate]
    shorts: dict[int, ShortCredit]
    returns: list[CrateReturn]


def lock_touched(effects: Sequence[Effect], entries: Collection[Entry]) -> Touched:
    """Lock all that an act changed; call it under the book's lock."""
    rows = ShortCredit.objects.select_for_update(of=("self",)).select_related(
        "location", "supplier", "deposit__crate"
    )
    loads = CrateReturn.objects.select_for_update(of=("self",)).select_related(
        "location", "supplier"
    )
    crates = lock_crates(keys_of(effects, CRATE))
    found = rows.filter(pk__in=keys_of(effects, SHORT)).order_by("pk")
    shorts_by_key = {row.pk: row for row in found}
    deposits = {row.deposit_id for row in shorts_by_key.values()}
    legs = Leg.objects.filter(entry__in=entries, deposit__isnull=False)
    deposits |= set(legs.values_list("deposit_id", flat=True))
    lines = ReturnLine.objects.filter(deposit__in=deposits, is_taken_off=False)
    homes = loads.filter(pk__in=lines.values("crate_return")).order_by("pk")
    return Touched(effects, crates, shorts_by_key, list(homes))


def refuse_moved_on(
    touched: Touched, entries: Collection[Entry], also: Iterable[str] = ()
) -> None:
    """Raise RefusedError naming what must be undone first, if anything moved on."""
    reasons = list(dict.fromkeys([*_later(entries), *_moved(touched), *also]))
    if reasons:
        more = len(reasons) - _MOST_NAMED
        rest = [f"And {more} more."] if more > 0 else []
        said = " ".join([*reasons[:_MOST_NAMED], *rest])
        raise RefusedError(f"{said} Nothing was reversed.")


def reverse_entries(
    entries: Iterable[Entry], undoing: Undoing, *, subjects: Iterable[Model]
) -> int:
    """Reverse these entries on the day, none before its own; return how much they moved."""
    about = list(subjects)
    moved = 0
    for entry in entries:
        # Its day is open, so whatever comes after it is open too.
        reverse_entry(
            entry=entry,
            effective_on=max(entry.effective_on, undoing.on),
            reason=undoing.reason,
            posting_key=f"{entry.pk}:reversed",
            person=undoing.person,
            at=undoing.at,
            subjects=about,
        )
        moved += sum(leg.cents for leg in entry.legs.all() if leg.cents > 0)
    return moved


def undo_effects(
    touched: Touched, undoing: Undoing, *, subjects: Sequence[Model]
) -> None:
    """Put every row back as it stood before the act; a new row ends as reversed."""
    for effect in reversed(touched.effects):
        if effect["noun"] == SHORT:
            _undo_short(touched.shorts[effect["key"]], effect, undoing)
        else:
            move_crate(
                crate=touched.crates[effect["key"]],
                act="reinstate",
                to=effect["before"],
                person=undoing.person,
                at=undoing.at,
                data={"reason": undoing.reason},
                subjects=subjects,
            )
    for row in touched.returns:
        _reopen(row, undoing)


def _later(entries: Collection[Entry]) -> Iterable[str]:
    """Name every entry that moved on a deposit after these did."""
    own = [entry.pk for entry in entries]
    last = (
        Leg.objects.filter(entry__in=own, deposit__isnull=False)
        .order_by()
        .values_list("deposit")
        .annotate(Max("pk"))
    )
    by_deposit = dict(last)
    legs = (
        Leg.objects.filter(standing("entry"), deposit__in=by_deposit)
        .exclude(entry__in=own)
        .select_related("entry", "deposit__crate")
        .order_by("pk")
    )
    for leg in legs:
        if leg.deposit_id is not None and leg.pk > by_deposit[leg.deposit_id]:
            yield _first_undo(leg)


def _first_undo(leg: Leg) -> str:
    entry, what = leg.entry, leg.deposit and (leg.deposit.crate or leg.deposit)
    day = in_words(entry.effective_on)
    if entry.kind == "held-matched":
        return (
            f"A held credit paid {what} on {day}, which cannot be undone. The "
            "supplier's next memo corrects it."
        )
    if entry.kind == "memo" and not MemoLine.objects.filter(entry=entry).exists():
        return f"The payment recorded for {what} on {day} came later. Undo it first."
    if entry.kind == "memo":
        return f"A later memo paid {what} ({entry.note}). Reverse that memo first."
    return (
        f"{what} has a later entry: {ENTRY_KINDS[entry.kind].lower()}, {day}. Undo "
        "that first."
    )


def _moved(touched: Touched) -> Iterable[str]:
    for effect in touched.effects:
        key = effect["key"]
        if (
            effect["noun"] == SHORT
            and fields_of(touched.shorts[key]) != effect["after"]
        ):
            yield _short_moved(touched.shorts[key])
        elif effect["noun"] == CRATE and touched.crates[key].state != effect["after"]:
            row = touched.crates[key]
            yield f"{row} is now {row.get_state_display().lower()}. Undo that first."


def _short_moved(row: ShortCredit) -> str:
    legs = Leg.objects.filter(standing("entry"), deposit=row.deposit_id)
    last = legs.select_related("entry", "deposit__crate").order_by("pk").last()
    if row.state == shorts.WON and last is not None:
        return _first_undo(last)
    amount = format_cents(row.amount_cents, row.currency, code=True)
    what = row.deposit.crate or row.deposit
    state = row.get_state_display().lower()
    return (
        f"The short-paid credit of {amount} on {what} was changed since; it is now "
        f"{state}. Undo that first."
    )


def _undo_short(row: ShortCredit, effect: Effect, undoing: Undoing) -> None:
    before = {} if effect["before"] is None else fields_before(effect)
    to = str(before.get("state", shorts.REVERSED))
    facts = row.facts_for(undoing.person.pk, undoing.reason)
    state = granted(shorts.LIFE.decide(row.state, "reverse", facts, to=to))
    is_new = state == shorts.REVERSED
    gone = {"state": state, "settled_on": undoing.on}
    change_row(row, version=row.version, **(gone if is_new else before))
    record_event(
        kind="short.reversed" if is_new else "short.undone",
        at=undoing.at,
        actor=undoing.person,
        location=row.location,
        subjects=subjects_of(row),
        data={
            "amount": format_cents(row.amount_cents, row.currency, code=True),
            "state": row.get_state_display().lower(),
            "reason": undoing.reason,
        },
    )


def _reopen(row: CrateReturn, undoing: Undoing) -> None:
    """Open a closed return again where a crate on it has an open credit now."""
    if row.state != returns.CLOSED or not unsettled(row):
        return
    to = returns.RECEIVED if row.received_back_on else returns.SHIPPED
    decision = returns.LIFE.decide(row.state, "reopen", returns.ReturnFacts(), to=to)
    change_row(row, version=row.version, state=granted(decision))
    record_event(
        kind="return.reopened",
        at=undoing.at,
        actor=undoing.person,
        location=row.location,
        subjects=[row],
        data={"number": row.number},
    )
