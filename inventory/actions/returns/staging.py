"""Staging empties for a return: the return, its crates, and its plan."""

from collections.abc import Collection, Sequence
from datetime import date, datetime

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import next_number_of
from inventory.actions.core.versions import (
    RefusedError,
    StaleRowError,
    change_row,
    granted,
)
from inventory.actions.crates.life import decide_act, move_crate
from inventory.actions.deposits.crates import lock_crates
from inventory.models import (
    Carrier,
    Crate,
    CrateReturn,
    Delivery,
    Deposit,
    Location,
    ReturnLine,
    Supplier,
    User,
)
from inventory.queries.deposits.facts import currency_of
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
    bill_to: str = "",
) -> CrateReturn:
    """Start a return to a supplier, under the location's next number.

    ``delivery`` is the supplier's own truck where it is already at the dock. Raise
    RefusedError where it is at another one.
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
            bill_to=bill_to,
            currency=currency_of(location, supplier, today),
            made_at=at,
            made_by=person,
        )
        record_event(
            kind="return.made",
            at=at,
            actor=person,
            location=location,
            subjects=about(row),
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
    """Change a return that has not been shipped.

    ``changes`` are carrier, delivery, planned_on, authorization, appointment and
    bill_to. Raise StaleRowError and RefusedError.
    """
    with transaction.atomic():
        row = lock_return(crate_return)
        require_act(row, "change")
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
    """Stage crates on a return that has not been shipped; all of them or none.

    A return adds its deposits up, so it is in their currency. Raise RefusedError for
    deposits of two, for a crate of another place or supplier, one on hold, and one
    whose state does not allow it.
    """
    with transaction.atomic():
        row = lock_return(crate_return)
        require_act(row, "stage")
        on_it = row.lines.filter(is_taken_off=False).count()
        if on_it + len(crates) > MOST_CRATES:
            raise RefusedError(
                f"A return has at most {MOST_CRATES} crates. Nothing was changed. "
                "Start another return."
            )
        locked = lock_crates([crate.pk for crate in crates])
        _keep_one_currency(row, locked)
        return [
            _stage(row, locked[key], person=person, at=at) for key in sorted(locked)
        ]


def take_off(
    *, line: ReturnLine, version: int, reason: str, person: User, at: datetime
) -> None:
    """Take a crate off a return that has not been shipped; it goes back to its last check.

    Raise StaleRowError and RefusedError.
    """
    with transaction.atomic():
        row = lock_return(line.crate_return)
        require_act(row, "take-off")
        fresh = ReturnLine.objects.select_related("crate").get(pk=line.pk)
        if fresh.is_taken_off or fresh.version != version:
            raise StaleRowError
        _take_off(row, fresh, reason, person=person, at=at)


def cancel_return(
    *, crate_return: CrateReturn, version: int, reason: str, person: User, at: datetime
) -> CrateReturn:
    """Cancel a return that has not been shipped; its crates are in the yard again."""
    with transaction.atomic():
        row = lock_return(crate_return)
        state = require_act(row, "cancel")
        if row.version != version:
            raise StaleRowError
        for line in live_lines(row):
            _take_off(row, line, reason, person=person, at=at)
        change_row(row, version=version, state=state)
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


def require_act(
    row: CrateReturn, act: str, facts: rules.ReturnFacts | None = None
) -> str:
    """Return the state the act leads to. Raise RefusedError with every reason."""
    found = facts or rules.ReturnFacts()
    return granted(rules.LIFE.decide(row.state, act, found), row)


def about(row: CrateReturn) -> list[Model]:
    """Return the rows whose history a return's event belongs to."""
    return [row, *([row.delivery] if row.delivery else [])]


def _keep_one_currency(row: CrateReturn, crates: Collection[int]) -> None:
    """Set the return's currency to that of its deposits; raise RefusedError for two."""
    on_it = row.lines.filter(is_taken_off=False).values_list("crate", flat=True)
    deposits = Deposit.objects.filter(crate__in=[*on_it, *crates], is_withdrawn=False)
    found = sorted(set(deposits.order_by().values_list("currency", flat=True)))
    if len(found) > 1:
        raise RefusedError(
            f"The deposits of these crates are in {' and '.join(found)}, and a return "
            "adds them up. Nothing was changed. Stage those of each currency on a "
            "return of their own."
        )
    if found and found != [row.currency]:
        change_row(row, version=row.version, currency=found[0])


def _stage(row: CrateReturn, crate: Crate, *, person: User, at: datetime) -> ReturnLine:
    bill = crate.shipment
    if bill.location_id != row.location_id:
        raise RefusedError(f"{crate} is not at {row.location}. Nothing was changed.")
    if bill.supplier_id != row.supplier_id:
        raise RefusedError(
            f"{crate} does not belong to {row.supplier}. Nothing was changed. Choose "
            "crates of this supplier."
        )
    decide_act(crate, "stage")
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
        raise RefusedError("That truck is at another location. Nothing was saved.")
