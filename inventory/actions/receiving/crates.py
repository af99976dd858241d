"""Keeping the mark, the kind and the deposit of a crate."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.models import Crate, User
from inventory.rules.core.changes import changed_words
from inventory.rules.crates.life import LIFE, CrateFacts


def _state_as(row: Crate, kind: str) -> str:
    """Return the state of the crate as this kind; refuse what its life forbids."""
    if kind == row.kind:
        return row.state
    if row.look == "refused":
        return ""
    if row.deposits.filter(is_withdrawn=False).exists():
        raise RefusedError(
            "A deposit stands on this crate, so it stays reusable. Nothing was saved. "
            "Accounting takes the deposit back first."
        )
    act = "follow" if kind == "reusable" else "unfollow"
    return granted(LIFE.decide(row.state, act, CrateFacts()), row)


def change_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    version: int,
    mark: str,
    kind: str,
    deposit_cents: int | None,
) -> None:
    """Keep a crate's mark, kind and deposit. Raises StaleRowError and RefusedError."""
    with transaction.atomic():
        row = Crate.objects.select_related("shipment__location").get(pk=crate.pk)
        if row.is_over and kind == "reusable":
            raise RefusedError(
                "This crate is over: it is held for the carrier and is not ours, so it "
                "is not tracked. Nothing was saved. Leave the kind at one-way."
            )
        if deposit_cents is not None and row.look == "refused":
            raise RefusedError(
                "A refused crate never became ours, so it carries no deposit. Nothing "
                "was saved. Leave the deposit empty."
            )
        if deposit_cents is not None and kind == "one-way":
            raise RefusedError(
                "A one-way crate carries no deposit. Nothing was saved. Leave the "
                "deposit empty, or say that the crate is reusable."
            )
        changed = change_row(
            row,
            version=version,
            mark=mark,
            kind=kind,
            deposit_cents=deposit_cents,
            state=_state_as(row, kind),
        )
        record_event(
            kind="crate.changed",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "changed": changed_words(changed),
            },
        )
