"""The lane of the morning mails: each wish once a day, at its dock's own hour."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from claims.models import MorningMail
from claims.queries.desk.reminders import morning_lines
from claims.rules.deadlines.morning import compose_morning, is_due
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import begin_sending
from inventory.actions.mail.outbox import DrawnMail, draw_mail, put_in_outbox
from inventory.rules.reckoning.moments import dock_clock


def send_next_morning(*, worker: str, clock: Callable[[], datetime]) -> bool:
    """Put the next morning mail that is due into the outbox; say whether one was due.

    A day without anything to do gives no mail. Two working programs send one mail: the
    wish's row is locked while its day is written.
    """
    del worker
    at = clock()
    wishes = MorningMail.objects.filter(ended_at=None).select_related(
        "person", "location"
    )
    for wish in wishes.order_by("pk"):
        if is_due(dock_clock(at, wish.location.zone), wish.hour, wish.last_day):
            _send(wish, at)
            return True
    return False


def _send(wish: MorningMail, at: datetime) -> None:
    here = dock_clock(at, wish.location.zone)
    lines = morning_lines(wish.person, here.date())
    text = compose_morning(lines, to=wish.address, here=here, hour=wish.hour)
    place, person = wish.location, wish.person
    mail = draw_mail(text, location=place, person=person, at=at) if text else None
    with transaction.atomic():
        if mail:
            begin_sending(mail.document)
        row = MorningMail.objects.select_for_update().get(pk=wish.pk)
        if row.ended_at or not is_due(here, row.hour, row.last_day):
            return
        everything = MorningMail._base_manager  # noqa: SLF001 - no image holds the day
        everything.filter(pk=row.pk).update(last_day=here.date())
        if mail:
            _put(wish, mail, at)


def _put(wish: MorningMail, mail: DrawnMail, at: datetime) -> None:
    put_in_outbox(mail, about=wish, location=wish.location, person=wish.person, at=at)
    record_event(
        kind="morning-mail.made",
        at=at,
        actor=None,
        location=wish.location,
        subjects=[wish],
        data={"name": str(wish.person)},
    )
