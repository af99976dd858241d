"""Putting mails into the outbox without the act that would ask for them."""

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import begin_sending
from inventory.actions.mail.outbox import draw_mail, put_in_outbox
from inventory.rules.mail.texts import MailText

MAILBOX = "claims@gannet.example"


def put_mail(
    about, *, person, at, to=MAILBOX, subject="About PRO 1", files=(), place=None
):
    """Put one mail about a freight bill into the outbox."""
    text = MailText(to, subject, "Please confirm by reply.\n\nMina Okoro")
    place = place or about.location
    drawn = draw_mail(text, files, location=place, person=person, at=at)
    with transaction.atomic():
        begin_sending(drawn.document)
        mail = put_in_outbox(drawn, about=about, location=place, person=person, at=at)
        record_event(  # seals the rows that no act of the trade made
            kind="password.changed",
            at=at,
            actor=person,
            location=place,
            subjects=[],
            data={},
        )
    return mail
