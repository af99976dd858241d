"""Marking a photo. The marks are rows beside it; its bytes are never touched."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Evidence, PhotoMarkup, User
from inventory.rules.evidence.markup import (
    Mark,
    MarkError,
    check_marks,
    counted,
    from_stored,
    to_stored,
)

NOT_A_PHOTO = "This is not a photo that can be shown, so nothing can be marked on it."


def mark_photo(
    *,
    person: User,
    at: datetime,
    evidence: Evidence,
    marks: Sequence[Mark],
    version: int,
) -> PhotoMarkup:
    """Save these marks as those that count; without any, all are removed.

    ``version`` is the key of the marks that the person saw, 0 for none. Raise
    StaleRowError where others count by now, and RefusedError.
    """
    try:
        check_marks(marks)
    except MarkError as error:
        raise RefusedError(str(error)) from error
    with transaction.atomic():
        row = (
            Evidence.objects.select_for_update(of=("self",))
            .select_related(
                "original",
                "location",
                "delivery",
                "shipment",
                "crate",
                "unit",
                "crate_return",
                "suspense_line",
            )
            .get(pk=evidence.pk)
        )
        _check(row, marks, version)
        made = PhotoMarkup.objects.create(
            evidence=row, marks=to_stored(marks), said_at=at, said_by=person
        )
        _tell(row, person, at, marks)
        return made


def _check(row: Evidence, marks: Sequence[Mark], version: int) -> None:
    if not row.is_picture:
        raise RefusedError(f"{NOT_A_PHOTO} Nothing was saved.")
    last = row.last_markup
    if (last.pk if last else 0) != version:
        raise StaleRowError
    if tuple(marks) == (from_stored(last.marks) if last else ()):
        raise RefusedError(
            "The marks are as they were. Nothing was saved. Add or remove one first."
        )


def _tell(row: Evidence, person: User, at: datetime, marks: Sequence[Mark]) -> None:
    about = [
        row.delivery,
        row.shipment,
        row.crate,
        row.unit,
        row.crate_return,
        row.suspense_line,
        row,
    ]
    record_event(
        kind="evidence.marked" if marks else "evidence.unmarked",
        at=at,
        actor=person,
        location=row.location,
        subjects=[one for one in about if one is not None],
        data={
            "what": row.caption or row.get_kind_display(),
            "sha256": row.original_id,
            "marks": counted(marks),
        },
    )
