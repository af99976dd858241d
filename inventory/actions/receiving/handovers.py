"""What one truck delivered of one freight bill: its count, and what was not inspected."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.actions.receiving.shipments import counted_in_words
from inventory.actions.receiving.tailgate import lock_open_bill
from inventory.actions.receiving.undo import before
from inventory.models import Handover, User
from inventory.rules.core.vocabulary import NOT_INSPECTED
from inventory.rules.reckoning.counts import pieces_in_words


def count_handover(
    *,
    person: User,
    at: datetime,
    handover: Handover,
    version: int,
    pieces_counted: int | None,
    rest_to_follow: bool,
    handling_counted: int | None = None,
) -> None:
    """Record this truck's count, refused pieces included.

    Raise ClosedBillError and StaleRowError.
    """
    bill = handover.shipment
    counted = counted_in_words(pieces_counted, bill.piece_unit)
    if handling_counted is not None:
        skids = pieces_in_words(handling_counted, bill.handling_unit)
        counted = f"{skids}, {counted}"
    _change(
        handover,
        kind="handover.counted",
        person=person,
        at=at,
        version=version,
        words={"counted": counted},
        pieces_counted=pieces_counted,
        handling_counted=handling_counted,
        rest_to_follow=rest_to_follow,
    )


def say_why_not_inspected(
    *, person: User, at: datetime, handover: Handover, version: int, reason: str
) -> None:
    """Record why crates of this bill are not inspected; an empty reason takes it back.

    Raise ClosedBillError and StaleRowError.
    """
    _change(
        handover,
        kind="handover.unseen",
        person=person,
        at=at,
        version=version,
        words={"reason": NOT_INSPECTED.get(reason, "no reason")},
        unseen_reason=reason,
    )


def _change(
    handover: Handover,
    *,
    kind: str,
    person: User,
    at: datetime,
    version: int,
    words: dict[str, str],
    **changes: object,
) -> None:
    """Write the changes and the event, which keeps what was before them."""
    with transaction.atomic():
        row = lock_open_bill(handover.pk)
        was = before(row, *changes)
        changed = change_row(row, version=version, **changes)
        record_event(
            kind=kind,
            at=at,
            actor=person,
            location=row.delivery.location,
            subjects=[row.delivery, row.shipment, row],
            data={
                "pro": row.shipment.pro_number,
                **words,
                "changed": changed,
                "handover": row.pk,
                "before": was,
                "version": row.version,
            },
        )
