"""Reversing an entry by the same legs; alone where no other record depends on it."""

import datetime as dt
from collections.abc import Iterable
from uuid import UUID

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.versions import RefusedError
from inventory.actions.crates.life import lock_crate, move_crate
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import (
    body_hash_of,
    find_posted,
    lines_of,
    post_entry,
)
from inventory.models import Crate, Entry, User
from inventory.rules.crates.words import DEPOSIT_ENTRIES
from inventory.rules.deposits.postings import undone
from inventory.rules.reckoning.calendars import in_words

ALONE = ("forfeiture", "return-freight")
"""Kinds that are reversed here; others depend on a return, a memo or a difference."""


def reverse_entry(
    *,
    entry: Entry,
    effective_on: dt.date,
    reason: str,
    posting_key: str,
    person: User,
    at: dt.datetime,
    subjects: Iterable[Model] = (),
) -> Entry:
    """Reverse an entry by the same legs with the other sign, once.

    Raise RefusedError where it is already reversed, is a reversal itself, or would
    be reversed before its own day.
    """
    with transaction.atomic():
        lock_book(entry.location, entry.partner, entry.currency)
        body = {
            "reverses": str(entry.pk),
            "on": effective_on.isoformat(),
            "why": reason,
        }
        if find_posted(posting_key, body_hash_of(body)) is None:
            _refuse_reversal(entry, effective_on)
        return post_entry(
            kind="reversal",
            location=entry.location,
            supplier=entry.supplier,
            carrier=entry.carrier,
            currency=entry.currency,
            effective_on=effective_on,
            lines=undone(lines_of(entry)),
            posting_key=posting_key,
            person=person,
            at=at,
            note=reason,
            reverses=entry,
            subjects=[entry, *subjects],
            body=body,
        )


def _refuse_reversal(entry: Entry, effective_on: dt.date) -> None:
    if entry.kind == "reversal":
        raise RefusedError(
            "A reversal cannot be reversed. Nothing was posted. Post the entry again."
        )
    if Entry.objects.filter(reverses_id=entry.pk).exists():
        raise RefusedError("This entry is already reversed. Nothing was posted.")
    if effective_on < entry.effective_on:
        raise RefusedError(
            f"The entry took effect on {in_words(entry.effective_on)}, so it cannot "
            "be reversed before that day. Nothing was posted. Choose that day or a "
            "later one."
        )


def why_not_reverse(entry: Entry) -> str:
    """Return the reason against reversing this single entry, or nothing."""
    if entry.kind == "reversal":
        return "A reversal cannot be reversed. Post the entry again."
    if Entry.objects.filter(reverses_id=entry.pk).exists():
        return "This entry is already reversed."
    if entry.kind in {"charge", "opening"}:
        return "Withdraw a charge on the page of its deposit."
    if entry.kind not in DEPOSIT_ENTRIES:
        return (
            "This entry follows from another record. Undo the act there, and the books "
            "follow."
        )
    if entry.kind not in ALONE:
        return (
            "A return, a memo or a short-paid credit depends on this entry, so it "
            "cannot be reversed alone. Reverse the whole memo, or the loss of the "
            "crate, on its own page."
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
    """Reverse a forfeiture or return freight; a forfeited crate is reset.

    Raise RefusedError with the reason.
    """
    with transaction.atomic():
        lock_book(entry.location, entry.partner, entry.currency)
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
