"""Hiding a wrong or private photo, and showing it again. Nothing is ever deleted."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Evidence, User, Withholding
from inventory.queries.evidence.photos import withheld_by


def withhold_evidence(
    *, person: User, at: datetime, evidence: Evidence, reason: str
) -> Withholding:
    """Hide a photo or document from people and from later claim files.

    Bytes, hash and row stay. Raise RefusedError where it is already hidden.
    """
    return _say(person, at, evidence, reason=reason, is_withheld=True)


def show_evidence_again(
    *, person: User, at: datetime, evidence: Evidence, reason: str
) -> Withholding:
    """Show a hidden photo again. Raise RefusedError where it is not hidden."""
    return _say(person, at, evidence, reason=reason, is_withheld=False)


def _say(
    person: User, at: datetime, evidence: Evidence, *, reason: str, is_withheld: bool
) -> Withholding:
    with transaction.atomic():
        row = (
            Evidence.everything.select_for_update(of=("self",))
            .select_related(
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
        _check(row, is_withheld=is_withheld)
        word = Withholding.objects.create(
            evidence=row,
            is_withheld=is_withheld,
            reason=reason,
            said_at=at,
            said_by=person,
        )
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
            kind="evidence.withheld" if is_withheld else "evidence.shown-again",
            at=at,
            actor=person,
            location=row.location,
            subjects=[one for one in about if one is not None],
            data={
                "what": row.caption or row.get_kind_display(),
                "sha256": row.original_id,
                "reason": reason,
            },
        )
        return word


def _check(row: Evidence, *, is_withheld: bool) -> None:
    hidden = withheld_by(row) is not None
    if hidden and is_withheld:
        raise RefusedError("This photo is already hidden. Nothing was changed.")
    if not hidden and not is_withheld:
        raise RefusedError("This photo is not hidden. Nothing was changed.")
