"""Mails in every state, what people asked to be reminded by, and the last documents."""

from datetime import timedelta
from smtplib import SMTPRecipientsRefused

from django.core.mail.backends.base import BaseEmailBackend
from django.test import override_settings

from claims.actions.desk.morning import send_next_morning
from claims.actions.desk.reminders import (
    ask_morning_mail,
    end_calendar,
    end_morning_mail,
    make_calendar,
)
from claims.actions.letters.notices import NoticeStep, send_notice
from claims.models import Notice
from inventory.actions.core.upkeep import note_run
from inventory.actions.mail.beats import beat
from inventory.actions.mail.delivering import deliver_next
from inventory.actions.mail.outbox import call_off, send_again
from inventory.models import OutgoingMail, Shipment

SERVER = f"{__name__}.Server"


class Server(BaseEmailBackend):
    """Takes every mail but those to a mailbox that is gone."""

    def send_messages(self, email_messages):
        for one in email_messages:
            if one.to[0].startswith("gone@"):
                raise SMTPRecipientsRefused({one.to[0]: (550, b"no such mailbox")})
        return len(email_messages)


def tell_more_mail(t):
    """Leave a mail in each state, a calendar and a wish that ended and ones that run."""
    with override_settings(EMAIL_BACKEND=SERVER):
        _mails(t)
        _reminders(t)
    _documents(t)


def _mails(t):
    rows = Notice.objects.filter(shipment__location=t.location, received_on=None)
    notice = rows.order_by("pk")[0]
    again = _mail(t, notice, "gone@gannet.example", 40)
    _deliver(t, 39)
    again.refresh_from_db()
    send_again(mail=again, person=t.manager, at=t.now - timedelta(minutes=38))
    _deliver(t, 38)
    _mail(t, notice, "claims@gannet.example", 30)
    _deliver(t, 29)
    late = _mail(t, notice, "portal@gannet.example", 20)
    call_off(
        mail=late,
        reason="By certified mail.",
        person=t.manager,
        at=t.now - timedelta(minutes=19),
    )
    beat(lane="mail", at=t.now)
    note_run(task="backup", at=t.now, went_well=True, words="7 events.")


def _mail(t, notice, to, minutes):
    notice.refresh_from_db()
    at = t.now - timedelta(minutes=minutes)
    step = NoticeStep(t.manager, at, t.today, notice.version, t.today)
    send_notice(notice=notice, how="email", step=step, mail_to=to)
    return OutgoingMail.objects.order_by("-pk")[0]


def _deliver(t, minutes):
    deliver_next(worker="one", clock=lambda: t.now - timedelta(minutes=minutes))


def _reminders(t):
    at = t.now - timedelta(minutes=15)
    for person in (t.manager, t.clerk):
        make_calendar(person=person, at=at)
        ask_morning_mail(
            person=person,
            location=t.location,
            hour=6,
            address=f"{person.username}@dock.example",
            at=at,
        )
    end_calendar(person=t.clerk, at=at)
    end_morning_mail(person=t.clerk, at=at)
    send_next_morning(worker="one", clock=lambda: at)


def _documents(t):
    bill = Shipment.objects.filter(location=t.location).order_by("pk")[0]
    for kind in ("statement", "supplier-paper"):
        t.photo(
            kind, t.now - timedelta(minutes=10), drawn="receipt-carrier", shipment=bill
        )
