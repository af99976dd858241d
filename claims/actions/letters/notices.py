"""Notices: saved as written, sent, and proof of delivery."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.actions.core.deadlines import count_deadlines
from claims.models import Notice
from claims.queries.core.test_trucks import is_test_bill
from claims.queries.letters.notices import letter_of
from claims.rules.core.first_day import TEST_STAYS_HERE
from claims.rules.core.sending import sent_words
from claims.rules.core.vocabulary import NOTICE_KINDS
from claims.rules.letters.life import NoticeDays
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    PDF,
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.actions.mail.outbox import DrawnMail, draw_mail, put_in_outbox
from inventory.documents.core.mails import Attached
from inventory.evidence.seal.sent_documents import last_sent
from inventory.evidence.store.originals import Stored, intact_bytes
from inventory.models import Carrier, Delivery, Evidence, Shipment, User
from inventory.rules.core.sent_documents import NOTICE
from inventory.rules.mail.texts import MailText


@dataclass(frozen=True)
class NoticeStep:
    """One act on one notice; ``today`` is the location's own day."""

    person: User
    at: datetime
    today: date
    version: int
    on: date


def write_notice(
    *,
    shipment: Shipment,
    delivery: Delivery | None,
    kind: str,
    addressee: str,
    text: str,
    person: User,
    at: datetime,
    to: Carrier | None = None,
) -> Notice:
    """Save a notice as written. It stops nothing until its delivery is proven.

    ``to`` is the company of the freight bill that it goes to; the supplier is none.
    Raise RefusedError for a test truck.
    """
    if is_test_bill(shipment.pk):
        raise RefusedError(TEST_STAYS_HERE)
    with transaction.atomic():
        notice = Notice.objects.create(
            shipment=shipment,
            delivery=delivery,
            kind=kind,
            addressee=addressee,
            addressed_to=to,
            text=text,
            written_at=at,
            written_by=person,
        )
        _tell(
            notice,
            "notice.written",
            person=person,
            at=at,
            data={"addressee": addressee, "text": text},
        )
    return notice


def send_notice(
    *,
    notice: Notice,
    how: str,
    step: NoticeStep,
    mail_to: str = "",
    tracking: str = "",
) -> Notice:
    """Record that the notice was sent, and keep its letter. Sending again moves the day.

    The letter is the one that was made when the notice was written; sent again, it is
    the same one. With ``mail_to`` it is mailed from here, to that address, its words
    as text and the letter attached. Raise RefusedError with every reason against it or
    where the disk refuses, and StaleRowError.
    """
    _require(notice, "send", step)
    document = _letter_going_out(notice, step)
    mail = _drawn_mail(notice, document, mail_to, step) if mail_to else None
    with transaction.atomic():
        begin_sending(document, *([mail.document] if mail else []))
        row = _locked(notice)
        _require(row, "send", step)
        change_row(
            row,
            version=step.version,
            sent_on=step.on,
            sent_how=how,
            tracking=tracking,
        )
        _require_letter(row, document)
        keep_sent(
            document,
            about=row,
            kind=NOTICE,
            location=row.shipment.location,
            person=step.person,
            at=step.at,
        )
        _count(row, step)
        if mail:
            put_in_outbox(
                mail,
                about=row,
                story=[row.shipment],
                location=row.shipment.location,
                person=step.person,
                at=step.at,
            )
        _tell(
            row,
            "notice.sent",
            person=step.person,
            at=step.at,
            data={
                "how": sent_words(how, to=row.addressee, tracking=tracking),
                "on": step.on.isoformat(),
            },
        )
    return row


def keep_letter(
    *, notice: Notice, person: User, at: datetime, is_new: bool = True
) -> None:
    """Draw a notice's letter and keep it: this one goes out, whatever changes later.

    ``is_new`` keeps the first one alone and does nothing where there is one. Call it
    outside any transaction. Raise RefusedError where the notice was sent already, or
    where the disk refuses.
    """
    if is_new and last_sent(notice, NOTICE):
        return
    document = _drawn(notice)
    with transaction.atomic():
        begin_sending(document)
        row = _locked(notice)
        if row.sent_on is not None:
            raise RefusedError(
                "The letter went out, so it is not made again. Nothing was changed. "
                "Write another notice."
            )
        last = last_sent(row, NOTICE)
        if last is not None and (is_new or last.original_id == document.sha256):
            return
        kept = keep_sent(
            document,
            about=row,
            kind=NOTICE,
            location=row.shipment.location,
            person=person,
            at=at,
        )
        _tell(
            row,
            "notice.letter",
            person=person,
            at=at,
            data={"version": kept.document_version, "sha": document.sha256},
        )


def receive_notice(
    *, notice: Notice, words: str, proof: Evidence | None, step: NoticeStep
) -> Notice:
    """Record the day on which the addressee received it, and the proof.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        row = _locked(notice)
        _require(row, "receive", step)
        change_row(
            row,
            version=step.version,
            received_on=step.on,
            receipt_words=words,
            proof=proof,
        )
        _count(row, step)
        _tell(
            row,
            "notice.received",
            person=step.person,
            at=step.at,
            data={"on": step.on.isoformat(), "proof": words},
        )
    return row


def _locked(notice: Notice) -> Notice:
    return (
        Notice.objects.select_for_update(of=("self",))
        .select_related("shipment__location", "delivery")
        .get(pk=notice.pk)
    )


def _require(row: Notice, act: str, step: NoticeStep) -> None:
    facts = NoticeDays(today=step.today, on=step.on, sent_on=row.sent_on)
    granted(row.life.decide(row.state, act, facts))


def _letter_going_out(notice: Notice, step: NoticeStep) -> Stored:
    """Return the stored letter: the one made when it was written, or for this day."""
    sent = last_sent(notice, NOTICE)
    if sent is not None:
        return Stored(sent.original_id, sent.original.size)
    return _drawn(notice, on=step.on)


def _require_letter(row: Notice, document: Stored) -> None:
    """Raise RefusedError where the letter was made again since it was looked up."""
    last = last_sent(row, NOTICE)
    if last is not None and last.original_id != document.sha256:
        raise RefusedError(
            "The letter was made again just now. Nothing was sent. Read it, then send "
            "the notice."
        )


def _drawn_mail(notice: Notice, letter: Stored, to: str, step: NoticeStep) -> DrawnMail:
    subject, _, body = notice.text.partition("\n\n")
    data = intact_bytes(letter.sha256)
    if data is None:
        raise RefusedError(
            "The letter's file is missing or damaged. Nothing was sent. Ask your "
            "administrator for a backup."
        )
    return draw_mail(
        MailText(to, subject, body),
        [Attached(f"notice-{notice.pk}.pdf", PDF, data)],
        location=notice.shipment.location,
        person=step.person,
        at=step.at,
    )


def _drawn(notice: Notice, on: date | None = None) -> Stored:
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - slow to import

    row = Notice.objects.select_related(
        "shipment__location", "shipment__carrier", "shipment__supplier", "written_by"
    ).get(pk=notice.pk)
    row.sent_on = on
    return store_document(letter_pdf(letter_of(row)))


def _count(row: Notice, step: NoticeStep) -> None:
    count_deadlines(shipment=row.shipment, at=step.at, person=step.person)


def _tell(
    row: Notice, kind: str, *, person: User, at: datetime, data: dict[str, object]
) -> None:
    about = [one for one in (row.delivery, row.shipment, row) if one is not None]
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=row.shipment.location,
        subjects=about,
        data={"kind": NOTICE_KINDS[row.kind], **data},
    )
