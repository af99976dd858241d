"""Putting a mail into the outbox, and what a person does with one that is there.

The order of work is that of every document: draw the mail and store its bytes, begin
the act's transaction with ``begin_sending``, write, ``put_in_outbox``, record the
act's event, which seals the mail's row. So what was acknowledged is sent, and what
was rolled back is not.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime, formataddr, parseaddr
from uuid import uuid4

from django.apps import apps
from django.conf import settings
from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import noun_of, record_event
from inventory.actions.core.sent_documents import keep_sent, store_document
from inventory.actions.core.versions import granted
from inventory.documents.core.mails import EML, Attached, Envelope, mail_file
from inventory.evidence.store.originals import Stored
from inventory.models import Location, OutgoingMail, User
from inventory.rules.core.sent_documents import MAIL
from inventory.rules.mail.life import CALLED_OFF, LIFE, REFUSED, WAITING, MailFacts
from inventory.rules.mail.texts import MailText


@dataclass(frozen=True)
class DrawnMail:
    """A mail whose bytes are stored and whose row is not written yet."""

    text: MailText
    message_id: str
    document: Stored


def draw_mail(
    text: MailText,
    files: Sequence[Attached] = (),
    *,
    location: Location,
    person: User,
    at: datetime,
) -> DrawnMail:
    """Store the mail's bytes. Call it before the act's transaction.

    Answers go to the person who sends it, else to the location's mailbox or the
    company's. Raise
    RefusedError where the disk refuses.
    """
    ours = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    domain = ours.rpartition("@")[2] or "localhost"
    envelope = Envelope(
        sender=formataddr((location.name, ours)),
        reply_to=person.email or location.email or settings.EMAIL_REPLY_TO or ours,
        message_id=f"<{uuid4()}@{domain}>",
    )
    data = mail_file(text, files, date=format_datetime(at), envelope=envelope)
    return DrawnMail(text, envelope.message_id, store_document(data))


def put_in_outbox(
    drawn: DrawnMail,
    *,
    about: Model,
    story: Sequence[Model] = (),
    location: Location,
    person: User,
    at: datetime,
) -> OutgoingMail:
    """Write the mail's row in the act's own transaction; it goes out after the commit.

    What becomes of it is told in the history of ``about`` and of each row of ``story``.
    """
    document = keep_sent(
        drawn.document,
        about=about,
        kind=MAIL,
        location=location,
        person=person,
        at=at,
        media_type=EML,
    )
    return OutgoingMail.objects.create(
        location=location,
        noun=noun_of(about),
        key=str(about.pk),
        story=[[noun_of(row), str(row.pk)] for row in (about, *story)],
        document=document,
        to=drawn.text.to,
        subject=drawn.text.subject,
        message_id=drawn.message_id,
        made_at=at,
        made_by=person,
        state_at=at,
        due_from=at,
        next_try_at=at,
    )


def call_off(*, mail: OutgoingMail, reason: str, person: User, at: datetime) -> None:
    """Take a mail out of the outbox, with the reason. Raise RefusedError."""
    with transaction.atomic():
        row = locked_mail(mail.pk)
        _require(row, "call-off", reason, at)
        _end(row, CALLED_OFF, reason, at)
        tell_of_mail(row, "mail.called-off", at=at, person=person, reason=reason)


def send_again(*, mail: OutgoingMail, person: User, at: datetime) -> None:
    """Put a mail that could not be delivered back into the queue, as it is.

    Raise RefusedError where it is not refused.
    """
    with transaction.atomic():
        row = locked_mail(mail.pk)
        _require(row, "send-again", "", at)
        row.tries, row.due_from, row.next_try_at = 0, at, at
        _end(row, WAITING, "", at)
        tell_of_mail(row, "mail.again", at=at, person=person)


def mark_returned(
    *, mail: OutgoingMail, reason: str, person: User, at: datetime
) -> None:
    """Record that a mail the server had taken came back. Raise RefusedError."""
    with transaction.atomic():
        row = locked_mail(mail.pk)
        _require(row, "return", reason, at)
        _end(row, REFUSED, reason, at)
        tell_of_mail(row, "mail.refused", at=at, person=person, reason=reason)


def locked_mail(key: int) -> OutgoingMail:
    """Return the current mail, locked until the transaction ends."""
    return (
        OutgoingMail.objects.select_for_update(of=("self",))
        .select_related("location")
        .get(pk=key)
    )


def tell_of_mail(
    row: OutgoingMail,
    kind: str,
    *,
    at: datetime,
    person: User | None = None,
    reason: str = "",
) -> None:
    """Record what became of a mail, in the history of what it is about too."""
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=row.location,
        subjects=[row, *_told_in(row)],
        data={"to": row.to, "reason": reason},
    )


def _told_in(row: OutgoingMail) -> list[Model]:
    tables = {table._meta.model_name: table for table in apps.get_models()}
    named = [_row_of(tables[noun], key) for noun, key in row.story]
    return [one for one in named if one is not None]


def _row_of(table: type[Model], key: str) -> Model | None:
    everything = table._base_manager  # noqa: SLF001 - what was taken back is told of too
    return everything.filter(pk=key).first()


def _require(row: OutgoingMail, act: str, reason: str, at: datetime) -> None:
    is_going_out = row.leased_until is not None and row.leased_until > at
    facts = MailFacts(reason=reason, is_going_out=is_going_out)
    granted(LIFE.decide(row.state, act, facts))


def _end(row: OutgoingMail, state: str, reason: str, at: datetime) -> None:
    row.state, row.state_reason, row.state_at = state, reason, at
    row.leased_by, row.leased_until, row.trouble = "", None, ""
    row.save()
