"""The mail to the carrier's terminal: made from the record, and marked as sent."""

from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime

from django.db import transaction

from claims.queries.receiving.due import bills_to_mail
from claims.rules.letters.terminal_mail import MailBill, MailFacts, compose_mail
from claims.rules.receiving.receipt_lines import join_words
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.actions.mail.outbox import draw_mail, put_in_outbox
from inventory.actions.receiving.tailgate import lock_delivery
from inventory.documents.core.mails import EML, Attached, mail_file
from inventory.evidence.store import originals
from inventory.models import Delivery, Evidence, Handover, User
from inventory.rules.core.sent_documents import TERMINAL_MAIL
from inventory.rules.mail.texts import MailText
from inventory.rules.reckoning.moments import dock_hour, paper_time

MOST_ATTACHED = 15_000_000
"""Bytes of photos in one mail; many servers refuse more than 20 MB as encoded."""

_SUFFIX = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
_SUFFIX |= {"image/heic": "heic", "application/pdf": "pdf"}


@dataclass(frozen=True)
class Draft:
    """A mail that is not sent yet: the bills it is about, its text and its photos."""

    bills: list[Handover]
    mail: MailText
    photos: list[Evidence]

    @property
    def files(self) -> list[Attached]:
        """Return the originals of its photos."""
        files = []
        for row, name in zip(self.photos, names_of(self.photos), strict=True):
            data = originals.intact_bytes(row.original_id)
            if data is not None:
                files.append(Attached(name, row.original.media_type, data))
        return files

    def file(self, at: datetime) -> bytes:
        """Return the mail as a file that a mail program opens, not sent yet."""
        return mail_file(self.mail, self.files, date=format_datetime(at))


def names_of(photos: list[Evidence]) -> list[str]:
    """Return the name of each photo in the mail."""
    return [
        f"{row.kind}-{place}.{_SUFFIX.get(row.original.media_type, 'bin')}"
        for place, row in enumerate(photos, start=1)
    ]


def draft_mail(delivery: Delivery, *, person: User, to: str = "") -> Draft:
    """Return the mail for this truck's receipts; no bills where none is left.

    ``to`` is another address than the carrier's terminal or its claims desk.
    """
    bills = list(bills_to_mail(delivery.handovers.all()))
    photos, left = _photos(delivery, bills)
    carrier, place = delivery.carrier, delivery.location
    facts = MailFacts(
        to=to or carrier.terminal_email or carrier.claims_email,
        carrier=carrier.name,
        arrived=paper_time(delivery.arrived_at, place.zone),
        driver=delivery.driver_name,
        trailer=delivery.trailer_number,
        sender=place.name,
        sender_lines=tuple(place.address.splitlines()),
        written_by=str(person),
        bills=tuple(
            MailBill(
                row.shipment.pro_number,
                row.words_full,
                row.ending_words,
                dock_hour(row.signed_at, place.zone) if row.signed_at else "",
            )
            for row in bills
        ),
        photos=tuple(names_of(photos)),
        not_attached=left,
    )
    return Draft(bills, compose_mail(facts), photos)


def _photos(delivery: Delivery, bills: list[Handover]) -> tuple[list[Evidence], int]:
    """Return the receipts' photos, then those of damage, as many as a mail takes."""
    rows = list(
        Evidence.objects.filter(
            delivery=delivery,
            shipment__in=[row.shipment_id for row in bills],
            kind__in=["receipt", "damage"],
        )
        .select_related("original")
        .order_by("received_at", "pk")
    )
    rows.sort(key=lambda row: row.kind != "receipt")
    taken: list[Evidence] = []
    size = 0
    for row in rows:
        size += row.original.size
        if size <= MOST_ATTACHED and originals.exists(row.original_id):
            taken.append(row)
    return taken, len(rows) - len(taken)


def mark_mailed(
    *, person: User, at: datetime, delivery: Delivery, to: str, sends: bool = False
) -> None:
    """Record that the mail was sent to this address, and keep its bytes.

    With ``sends`` it goes out from here, through the outbox. Raise RefusedError where no receipt of the truck is left to mail, or where the disk
    refuses.
    """
    draft = draft_mail(delivery, person=person, to=to)
    if not draft.bills:
        raise RefusedError(
            "No receipt of this truck is left to mail. Nothing was recorded."
        )
    document = store_document(draft.file(at))
    place = delivery.location
    drawn = (
        draw_mail(draft.mail, draft.files, location=place, person=person, at=at)
        if sends
        else None
    )
    with transaction.atomic():
        begin_sending(document, *([drawn.document] if drawn else []))
        locked = lock_delivery(delivery.pk)
        left = {row.pk for row in bills_to_mail(locked.handovers.all())}
        if left != {row.pk for row in draft.bills}:
            raise RefusedError(
                "The receipts of this truck changed after you opened this page. Nothing "
                "was recorded. Open the mail again."
            )
        for row in draft.bills:
            keep_sent(
                document,
                about=row,
                kind=TERMINAL_MAIL,
                location=locked.location,
                person=person,
                at=at,
                media_type=EML,
            )
        if drawn:
            put_in_outbox(
                drawn,
                about=locked,
                story=[row.shipment for row in draft.bills],
                location=locked.location,
                person=person,
                at=at,
            )
        record_event(
            kind="receipt.mailed",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked, *(row.shipment for row in draft.bills)],
            data={
                "bills": join_words([str(row.shipment) for row in draft.bills]),
                "to": to,
                "text": draft.mail.body,
                "sha": document.sha256,
            },
        )
