"""The outbox as its pages show it."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from django.db.models import Model, Q, QuerySet

from inventory.access import scoped
from inventory.models import OutgoingMail, User
from inventory.rules.mail.life import CALLED_OFF, REFUSED, TAKEN, WAITING

SLOW_AFTER = timedelta(hours=1)
"""A mail that waits longer is shown in red at the desks. Our own choice."""


def mails_of(person: User) -> QuerySet[OutgoingMail]:
    """Return the mails that this person may see, the latest first."""
    rows = scoped(OutgoingMail.objects.all(), person, "see-mail")
    return rows.select_related("location", "made_by").order_by("-pk")


def open_mails(person: User) -> QuerySet[OutgoingMail]:
    """Return the mails that wait or could not be delivered, the oldest first."""
    return mails_of(person).filter(state__in=[WAITING, REFUSED]).order_by("pk")


def ended_mails(person: User) -> QuerySet[OutgoingMail]:
    """Return the mails that a server took, and those called off."""
    return mails_of(person).filter(state__in=[TAKEN, CALLED_OFF])


def mails_in_trouble(person: User, at: datetime, most: int = 6) -> list[OutgoingMail]:
    """Return the mails that a person must see to: refused, or waiting too long."""
    slow = Q(state=WAITING, due_from__lt=at - SLOW_AFTER)
    return list(mails_of(person).filter(Q(state=REFUSED) | slow).order_by("pk")[:most])


def mails_about(row: Model) -> list[OutgoingMail]:
    """Return the mails about one row, the latest first."""
    return list(
        OutgoingMail.objects.filter(noun=row._meta.model_name, key=str(row.pk))
        .select_related("location", "document")
        .order_by("-pk")
    )


def has_come_back(mails: Sequence[OutgoingMail]) -> bool:
    """Return whether the last of one row's mails, latest first, reached nobody."""
    return bool(mails) and mails[0].state == REFUSED


def mark_come_back(rows: Iterable[Model]) -> None:
    """Set ``came_back`` on each row: its last mail reached nobody. One query."""
    known = {(str(row._meta.model_name), str(row.pk)): row for row in rows}
    asked = Q(pk=None)
    for noun in {noun for noun, _ in known}:
        keys = [key for one, key in known if one == noun]
        asked |= Q(noun=noun, key__in=keys)
    last = OutgoingMail.objects.filter(asked).order_by("pk") if known else ()
    states = {(mail.noun, mail.key): mail.state for mail in last}
    for name, row in known.items():
        row.came_back = states.get(name) == REFUSED  # type: ignore[attr-defined]
