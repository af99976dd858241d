"""The outbox as its pages show it."""

from datetime import datetime, timedelta

from django.db.models import Model, Q, QuerySet

from inventory.access import scoped
from inventory.models import OutgoingMail, User
from inventory.rules.mail.life import CALLED_OFF, REFUSED, TAKEN, WAITING

SLOW_AFTER = timedelta(hours=1)
"""A mail that waits longer is shown in red at the desks. Our own choice."""

MOST_OPEN = 50


def mails_of(person: User) -> QuerySet[OutgoingMail]:
    """Return the mails that this person may see, the latest first."""
    rows = scoped(OutgoingMail.objects.all(), person, "see-mail")
    return rows.select_related("location", "made_by").order_by("-pk")


def open_mails(person: User) -> list[OutgoingMail]:
    """Return the mails that wait or could not be delivered, the oldest first."""
    rows = mails_of(person).filter(state__in=[WAITING, REFUSED]).order_by("pk")
    return list(rows[:MOST_OPEN])


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
