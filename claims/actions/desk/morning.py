"""The lane of the morning mails: each wish once a day, at its dock's own hour."""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import DatabaseError, transaction

from claims.models import MorningMail
from claims.queries.desk.reminders import morning_lines
from claims.rules.deadlines.morning import compose_morning, is_due
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import begin_sending
from inventory.actions.mail.outbox import DrawnMail, draw_mail, put_in_outbox
from inventory.rules.reckoning.moments import dock_clock

TRY_AGAIN_AFTER = timedelta(minutes=10)

log = logging.getLogger(__name__)

_failed: dict[int, datetime] = {}
"""When this program last failed at a wish, by the wish's key."""


def send_next_morning(*, worker: str, clock: Callable[[], datetime]) -> bool:
    """Put the next morning mail that is due into the outbox; say whether one was made.

    A day without anything to do gives no mail. Two working programs send one mail: the
    wish's row is locked while its day is written. A mail that cannot be made holds up
    nobody else's: it is logged, and tried again after a while.
    """
    del worker
    at = clock()
    wishes = MorningMail.objects.filter(ended_at=None).select_related(
        "person", "location"
    )
    return any(_is_next(one, at) and _try(one, at) for one in wishes.order_by("pk"))


def _is_next(wish: MorningMail, at: datetime) -> bool:
    failed = _failed.get(wish.pk)
    if failed and failed <= at < failed + TRY_AGAIN_AFTER:
        return False
    return is_due(dock_clock(at, wish.location.zone), wish.hour, wish.last_day)


def _try(wish: MorningMail, at: datetime) -> bool:
    try:
        _send(wish, at)
    except DatabaseError:
        raise  # nobody's mail can be made
    except Exception:  # logged, shown on the person's pages, and tried again
        log.exception("The morning mail of %s could not be made.", wish.person)
        _failed[wish.pk] = at
        return False
    _failed.pop(wish.pk, None)
    return True


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
