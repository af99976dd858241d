"""Staging empties for a truck home: the return, its crates, and its plan."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import next_number_of
from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import decide_act, move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.models import (
    Carrier,
    Crate,
    CrateReturn,
    Delivery,
    Location,
    ReturnLine,
    Supplier,
    User,
)
from inventory.queries.memos.awaited import currency_of
from inventory.rules.core import numbering
from inventory.rules.core.changes import changed_words
from inventory.rules.returns import life as rules

MOST_CRATES = 200
"""The most crates of one return: more than any trailer holds, and done in a moment."""


def make_return(
    *,
    location: Location,
    supplier: Supplier,
    person: User,
    at: datetime,
    today: date,
    carrier: Carrier | None = None,
    delivery: Delivery | None = None,
    planned_on: date | None = None,
    authorization: str = "",
    appointment: str = "",
) -> CrateReturn:
    """Begin a return to a supplier, under the location's next number.

    ``delivery`` is the supplier's own truck where it stands at the dock already.
    """
    _refuse_other_dock(location, delivery)
    with transaction.atomic():
        row = CrateReturn.objects.create(
            location=location,
            supplier=supplier,
            number=next_number_of(CrateReturn, numbering.RETURN, location, today.year),
            carrier=carrier or (delivery.carrier if delivery else None),
            delivery=delivery,
            planned_on=planned_on,
            authorization=authorization,
            appointment=appointment,
            currency=currency_of(location, supplier, today),
            made_at=at,
            made_by=person,
        )
        record_event(
            kind="return.made",
            at=at,
            actor=person,
            location=location,
            subjects=[row, *([delivery] if delivery else [])],
            data={"number": row.number, "supplier": supplier.name},
        )
    return row


def change_return(
    *,
    crate_return: CrateReturn,
    version: int,
    person: User,
    at: datetime,
    **changes: object,
) -> CrateReturn:
    """Change the plan of a return that has not left.

    ``changes`` are carrier, delivery, planned_on, authorization and appointment.
    Raises StaleRowError and RefusedError.
    """
    with transaction.atomic():
        row = lock_return(crate_return)
        refuse(row, "change")
        delivery = changes.get("delivery")
        _refuse_other_dock(
            row.location, delivery if isinstance(delivery, Delivery) else None
        )
        changed = change_row(row, version=version, **changes)
        record_event(
            kind="return.changed",
            at=at,
            actor=person,
            location=row.location,
            subjects=about(row),
            data={"number": row.number, "changed": changed_words(changed)},
        )
        return row


def stage_crates(
    *,
    crate_return: CrateReturn,
    crates: Sequence[Crate],
    person: User,
    at: datetime,
) -> list[ReturnLine]:
    """Stage crates on a return that has not left; all of them or none.

    Raises RefusedError for a crate of another place or supplier, one on hold, and
    one whose state does not allow it.
    """
    with transaction.atomic():
        row = lock_return(crate_return)
        refuse(row, "stage")
        on_it = row.lines.filter(is_taken_off=False).count()
        if on_it + len(crates) > MOST_CRATES:
            raise RefusedError(
                f"A return holds at most {MOST_CRATES} crates. Nothing was changed. "
                "Begin another return."
            )
        locked = lock_crates([crate.pk for crate in crates])
        return [
            _stage(row, locked[key], person=person, at=at) for key in sorted(locked)
        ]


def take_off(
    *, line: ReturnLine, version: int, reason: str, person: User, at: datetime
) -> None:
    """Take a crate off a return that has not left; it falls back to its last check.

    Raises StaleRowError and RefusedError.
    """
    with transaction.atomic():
        row = lock_return(line.crate_return)
        refuse(row, "take-off")
        fresh = ReturnLine.objects.select_related("crate").get(pk=line.pk)
        if fresh.is_taken_off or fresh.version != version:
            raise StaleRowError
        _take_off(row, fresh, reason, person=person, at=at)


def cancel_return(
    *, crate_return: CrateReturn, version: int, reason: str, person: User, at: datetime
) -> CrateReturn:
    """Cancel a return that has not left; its crates stand in the yard again."""
    with transaction.atomic():
        row = lock_return(crate_return)
        refuse(row, "cancel")
        if row.version != version:
            raise StaleRowError
        for line in live_lines(row):
            _take_off(row, line, reason, person=person, at=at)
        change_row(row, version=version, state=rules.CANCELLED)
        record_event(
            kind="return.cancelled",
            at=at,
            actor=person,
            location=row.location,
            subjects=about(row),
            data={"number": row.number, "reason": reason},
        )
        return row


def lock_return(crate_return: CrateReturn) -> CrateReturn:
    """Return the return locked against others, with what its acts read."""
    rows = CrateReturn.objects.select_for_update(of=("self",))
    joined = rows.select_related("location", "supplier", "carrier", "delivery")
    return joined.get(pk=crate_return.pk)


def live_lines(row: CrateReturn) -> list[ReturnLine]:
    """Return the lines of a return that were not taken off, in order."""
    rows = row.lines.filter(is_taken_off=False)
    return list(rows.select_related("crate__shipment", "deposit").order_by("pk"))


def refuse(row: CrateReturn, act: str, facts: rules.ReturnFacts | None = None) -> None:
    """Raise RefusedError with the reason unless the act may start here."""
    decision = rules.decide(row.state, act, facts or rules.ReturnFacts())
    if not decision.allowed:
        raise RefusedError(f"{row}: {decision.reason}")


def about(row: CrateReturn) -> list[Model]:
    """Return the rows whose story a return's event belongs to."""
    return [row, *([row.delivery] if row.delivery else [])]


def _stage(row: CrateReturn, crate: Crate, *, person: User, at: datetime) -> ReturnLine:
    bill = crate.shipment
    if bill.location_id != row.location_id:
        raise RefusedError(f"{crate} is not at {row.location}. Nothing was changed.")
    if bill.supplier_id != row.supplier_id:
        raise RefusedError(
            f"{crate} belongs to another supplier than {row.supplier}. Nothing was "
            "changed. Choose crates of this supplier."
        )
    decide_act(crate, "stage", "")
    line = ReturnLine.objects.create(
        crate_return=row,
        crate=crate,
        deposit=crate.deposits.filter(is_withdrawn=False).first(),
    )
    move_crate(
        crate=crate,
        act="stage",
        person=person,
        at=at,
        data={"supplier": row.supplier.name},
        subjects=[row],
    )
    return line


def _take_off(
    row: CrateReturn, line: ReturnLine, reason: str, *, person: User, at: datetime
) -> None:
    change_row(line, version=line.version, is_taken_off=True)
    move_crate(
        crate=line.crate,
        act="unstage",
        person=person,
        at=at,
        data={"reason": reason},
        subjects=[row],
    )


def _refuse_other_dock(location: Location, delivery: Delivery | None) -> None:
    if delivery is not None and delivery.location_id != location.pk:
        raise RefusedError("That truck is at another dock. Nothing was saved.")
