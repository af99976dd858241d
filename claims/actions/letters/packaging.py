"""The two letters about a packaging hold: each kept as it was sent."""

from collections.abc import Callable
from datetime import date, datetime

from django.db import transaction

from claims.queries.crates.packaging import letter_facts
from claims.rules.letters.content import LetterContent
from claims.rules.letters.packaging import HoldFacts, carrier_letter, supplier_letter
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.crates.packaging import ask_about_hold
from inventory.models import PackagingHold, User
from inventory.rules.core.sent_documents import CARRIER_LETTER, SUPPLIER_LETTER

Writer = Callable[[HoldFacts], LetterContent]

WRITERS: dict[str, Writer] = {"carrier": carrier_letter, "supplier": supplier_letter}
KINDS = {"carrier": CARRIER_LETTER, "supplier": SUPPLIER_LETTER}


def write_letter(
    hold: PackagingHold, who: str, *, person: User, today: date
) -> LetterContent:
    """Return the letter to the carrier or the supplier as it would go out today."""
    return WRITERS[who](letter_facts(hold, person, today))


def draw_letter(hold: PackagingHold, who: str, *, person: User, today: date) -> bytes:
    """Return the same letter as PDF bytes."""
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - draws

    return letter_pdf(write_letter(hold, who, person=person, today=today))


def send_packaging_letter(
    *,
    person: User,
    at: datetime,
    today: date,
    hold: PackagingHold,
    version: int,
    who: str,
    on: date,
) -> None:
    """Record on which day the letter was sent, and keep the letter as it went.

    Sending again keeps another letter, with what is known by then. Raises as
    ``ask_about_hold`` does, and RefusedError where the disk refuses.
    """
    document = store_document(draw_letter(hold, who, person=person, today=today))
    with transaction.atomic():
        begin_sending(document)
        keep_sent(
            document,
            about=hold,
            kind=KINDS[who],
            location=hold.crate.shipment.location,
            person=person,
            at=at,
        )
        ask_about_hold(person=person, at=at, hold=hold, version=version, who=who, on=on)
