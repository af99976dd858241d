"""Asking for a private calendar or a morning mail, and ending either."""

import hashlib
import secrets
from datetime import datetime

from django.db import transaction

from claims.models import CalendarFeed, MorningMail
from inventory.actions.core.events import record_event
from inventory.models import Location, User


def hash_of(token: str) -> str:
    """Return what is stored of a calendar's token."""
    return hashlib.sha256(token.encode()).hexdigest()


def make_calendar(*, person: User, at: datetime) -> str:
    """Make a new private calendar, end the former one, and return its token.

    The token is known here and now only.
    """
    token = secrets.token_urlsafe(32)
    with transaction.atomic():
        _end_calendars(person, at)
        CalendarFeed.objects.create(
            person=person, token_hash=hash_of(token), made_at=at
        )
        _tell("calendar.made", person, at)
    return token


def end_calendar(*, person: User, at: datetime) -> None:
    """End the person's calendar: its address answers nobody any more."""
    with transaction.atomic():
        if _end_calendars(person, at):
            _tell("calendar.ended", person, at)


def ask_morning_mail(
    *, person: User, location: Location, hour: int, address: str, at: datetime
) -> MorningMail:
    """Ask for a mail each morning; a former wish ends."""
    with transaction.atomic():
        _end_mails(person, at)
        wish = MorningMail.objects.create(
            person=person, location=location, hour=hour, address=address, asked_at=at
        )
        _tell("morning-mail.asked", person, at, location, hour=f"{hour}:00")
    return wish


def end_morning_mail(*, person: User, at: datetime) -> None:
    """End the person's morning mail."""
    with transaction.atomic():
        if _end_mails(person, at):
            _tell("morning-mail.ended", person, at)


def _end_calendars(person: User, at: datetime) -> int:
    rows = CalendarFeed.objects.select_for_update().filter(person=person, ended_at=None)
    return rows.update(ended_at=at)


def _end_mails(person: User, at: datetime) -> int:
    rows = MorningMail.objects.select_for_update().filter(person=person, ended_at=None)
    return rows.update(ended_at=at)


def _tell(
    kind: str,
    person: User,
    at: datetime,
    location: Location | None = None,
    **data: object,
) -> None:
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=location,
        subjects=[person],
        data={"name": str(person), **data},
    )
