"""Mail that leaves the company, and the program that sends it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.people import Location
from inventory.models.sealed import Sealed
from inventory.models.sent_documents import SentDocument
from inventory.rules.mail.life import LIFE, MAIL_STATES, REFUSED, WAITING


class OutgoingMail(Sealed):
    """One mail to one address. This row is the queue: who leases it sends it.

    ``document`` holds the mail's own bytes, so that every try sends the same ones
    under the same Message-ID. ``noun`` and ``key`` name the row it is about, ``story``
    those in whose history it is told. The columns of the tries are not sealed: they
    say nothing of the trade.
    """

    life = LIFE

    location = models.ForeignKey(Location, models.PROTECT, related_name="mails")
    noun = models.CharField(max_length=40)
    key = models.CharField(max_length=40)
    story = models.JSONField(default=list, blank=True)
    document = models.OneToOneField(SentDocument, models.PROTECT, related_name="mail")
    to = models.EmailField()
    subject = models.CharField(max_length=300)
    message_id = models.CharField(max_length=120, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    state = models.CharField(
        max_length=12, choices=tuple(MAIL_STATES.items()), default=WAITING
    )
    state_at = models.DateTimeField()
    state_reason = models.TextField(max_length=1000, blank=True)
    tries = models.PositiveIntegerField(default=0)
    due_from = models.DateTimeField()
    next_try_at = models.DateTimeField()
    leased_by = models.CharField(max_length=40, blank=True)
    leased_until = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=300, blank=True)

    UNSEALED = (
        "tries",
        "due_from",
        "next_try_at",
        "leased_by",
        "leased_until",
        "trouble",
    )

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(
                name="mail_due", fields=["next_try_at"], condition=Q(state=WAITING)
            ),
            models.Index(
                name="mail_open",
                fields=["state", "due_from"],
                condition=Q(state__in=[WAITING, REFUSED]),
            ),
            models.Index(name="mail_listed", fields=["location", "state", "id"]),
            models.Index(name="mail_about", fields=["noun", "key"]),
        ]

    def __str__(self) -> str:
        return f"Mail to {self.to}: {self.subject}"


class LaneBeat(models.Model):
    """When the working program last looked at a lane. Not sealed: a pulse, no fact."""

    lane = models.CharField(max_length=20, unique=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["lane"]

    def __str__(self) -> str:
        return self.lane
