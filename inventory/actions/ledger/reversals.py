"""Undoing an entry by itself, where no other record hangs on it."""

import datetime as dt
from uuid import UUID

from django.db import transaction

from inventory.actions.core.versions import RefusedError
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import reverse_entry
from inventory.models import Crate, Entry, User

ALONE = ("forfeiture", "return-freight")
"""Kinds that are undone here; others hang on a return, a memo or a difference."""


def why_not_reverse(entry: Entry) -> str:
    """Return the sentence against reversing this entry by itself, or nothing."""
    if entry.kind == "reversal":
        return "A reversal is not reversed. Post the entry anew."
    if Entry.objects.filter(reverses_id=entry.pk).exists():
        return "This entry is reversed already."
    if entry.kind in {"charge", "opening"}:
        return "A charge is taken back on the page of its deposit."
    if entry.kind not in ALONE:
        return (
            "A return, a memo or a difference hangs on this entry, so it stays. What the "
            "supplier credited wrongly is put right by its next memo, and a difference "
            "by deciding it."
        )
    return ""


def reverse_alone(
    *,
    entry: Entry,
    effective_on: dt.date,
    reason: str,
    posting_key: UUID | str,
    person: User,
    at: dt.datetime,
) -> Entry:
    """Reverse a forfeiture or return freight; a forfeited crate is put back.

    Raises RefusedError with the reason.
    """
    with transaction.atomic():
        lock_book(entry.location, entry.supplier, entry.currency)
        crates = [lock_crate(key) for key in _forfeited(entry)]
        is_new = not Entry.objects.filter(posting_key=str(posting_key)).exists()
        against = why_not_reverse(entry) if is_new else ""
        if against:
            raise RefusedError(f"{against} Nothing was posted.")
        undoing = reverse_entry(
            entry=entry,
            effective_on=effective_on,
            reason=reason,
            posting_key=str(posting_key),
            person=person,
            at=at,
            subjects=[crate.shipment for crate in crates],
        )
        if is_new:
            _put_back(crates, reason, person, at)
        return undoing


def _forfeited(entry: Entry) -> list[int]:
    if entry.kind != "forfeiture":
        return []
    legs = entry.legs.filter(deposit__crate__isnull=False).order_by("deposit__crate")
    keys: list[int] = list(legs.values_list("deposit__crate_id", flat=True).distinct())
    return keys


def _put_back(crates: list[Crate], reason: str, person: User, at: dt.datetime) -> None:
    for crate in crates:
        if crate.state == "forfeited":  # one scrapped since stays scrapped
            move_crate(
                crate=crate,
                act="reinstate",
                person=person,
                at=at,
                data={"reason": reason},
            )
