"""The two letters about a packaging hold: confirmed and frozen, then sent."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.queries.crates.packaging import KINDS, letter_facts, waiting_letter
from claims.rules.letters.content import LetterContent, to_json
from claims.rules.letters.packaging import HoldFacts, carrier_letter, supplier_letter
from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.actions.crates.packaging import ASKED, ask_about_hold
from inventory.evidence.store.originals import Stored
from inventory.models import PackagingHold, SentDocument, User
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day

Writer = Callable[[HoldFacts], LetterContent]

WRITERS: dict[str, Writer] = {"carrier": carrier_letter, "supplier": supplier_letter}

DRAFT = "DRAFT: not confirmed, not to be sent"

CHANGED = (
    "Something in this letter changed after you read it. Nothing was saved. Open "
    "the letter again, read it, then confirm it."
)


@dataclass(frozen=True)
class DrawnLetter:
    """A letter whose bytes are stored and whose row is not written yet."""

    hold: PackagingHold
    who: str
    digest: str
    document: Stored
    today: date


def write_letter(
    hold: PackagingHold, who: str, *, person: User, today: date
) -> LetterContent:
    """Return the letter to the carrier or the supplier as it would go out today."""
    return WRITERS[who](letter_facts(hold, person, today))


def digest_of(letter: LetterContent) -> str:
    """Return the SHA-256 of the letter's content: what a person confirms."""
    return hashlib.sha256(to_json(letter).encode()).hexdigest()


def draft_letter_pdf(
    hold: PackagingHold, who: str, *, person: User, today: date
) -> bytes:
    """Return the letter as PDF bytes, marked as a draft."""
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - draws

    letter = write_letter(hold, who, person=person, today=today)
    return letter_pdf(letter, mark=DRAFT)


def draw_letter(
    *, hold: PackagingHold, who: str, seen: str, person: User, today: date
) -> DrawnLetter:
    """Draw and store the letter that was read. Call it outside any transaction.

    ``seen`` is its digest. Raise RefusedError where the letter is another by now, or
    where the disk refuses.
    """
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - draws

    letter = _unchanged(hold, who, seen, person=person, today=today)
    return DrawnLetter(hold, who, seen, store_document(letter_pdf(letter)), today)


def _unchanged(
    hold: PackagingHold, who: str, seen: str, *, person: User, today: date
) -> LetterContent:
    letter = write_letter(hold, who, person=person, today=today)
    if digest_of(letter) != seen:
        raise RefusedError(CHANGED)
    return letter


def confirm_letter(*, drawn: DrawnLetter, person: User, at: datetime) -> SentDocument:
    """Freeze the letter that was drawn: this one is sent, whatever changes later.

    Raise RefusedError where the packaging was released meanwhile, or the letter would
    be another one now.
    """
    with transaction.atomic():
        begin_sending(drawn.document)
        _held(drawn.hold)
        lock_chain()  # from here on nobody changes what it says
        hold = _held(drawn.hold)
        _unchanged(hold, drawn.who, drawn.digest, person=person, today=drawn.today)
        location = hold.crate.shipment.location
        kept = keep_sent(
            drawn.document,
            about=hold,
            kind=KINDS[drawn.who],
            location=location,
            person=person,
            at=at,
        )
        record_event(
            kind="packaging.letter",
            at=at,
            actor=person,
            location=location,
            subjects=[hold.crate.shipment, hold.crate, hold],
            data={
                "number": hold.crate.number,
                "who": ASKED[drawn.who],
                "version": kept.document_version,
                "sha": kept.original_id,
                "confirmed": drawn.digest,
            },
        )
    return kept


def record_letter_sent(
    *,
    person: User,
    at: datetime,
    hold: PackagingHold,
    version: int,
    who: str,
    on: date,
) -> None:
    """Record on which day the confirmed letter was sent.

    Raise as ``ask_about_hold`` does, and RefusedError where no letter is confirmed and
    not sent yet, or for a day before it was confirmed.
    """
    with transaction.atomic():
        row = _held(hold)
        letter = waiting_letter(row, who)
        if letter is None:
            raise RefusedError(
                f"No letter to {ASKED[who]} is confirmed and not sent yet. Nothing was "
                "saved. Read the letter and confirm it first."
            )
        made_on = dock_day(letter.made_at, row.crate.shipment.location.zone)
        if on < made_on:
            raise RefusedError(
                f"The letter was confirmed on {in_words(made_on)}, so it was not sent "
                "before. Nothing was saved. Check the day."
            )
        ask_about_hold(person=person, at=at, hold=hold, version=version, who=who, on=on)


def _held(hold: PackagingHold) -> PackagingHold:
    row = (
        PackagingHold.objects.select_for_update(of=("self",))
        .select_related("crate__shipment__location")
        .get(pk=hold.pk)
    )
    if row.released_at is not None:
        raise RefusedError("Someone already released this hold. Nothing was changed.")
    return row
