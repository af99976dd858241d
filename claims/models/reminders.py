"""What a person asked to be reminded by: a private calendar, a mail each morning."""

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from inventory.models import Location
from inventory.models.sealed import Sealed


class CalendarFeed(Sealed):
    """One private address of a calendar. Only the hash of its token is stored."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="calendar_feeds"
    )
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                name="one_calendar_a_person",
                fields=["person"],
                condition=Q(ended_at=None),
            )
        ]

    def __str__(self) -> str:
        return "a private calendar"


class MorningMail(Sealed):
    """A person's wish for a mail each morning, at an hour of one dock's clock.

    ``last_day`` is the dock's day of the last look, with or without a mail. It is not
    sealed: the mail itself is.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="morning_mails"
    )
    location = models.ForeignKey(Location, models.PROTECT, related_name="+")
    hour = models.PositiveSmallIntegerField(validators=[MaxValueValidator(23)])
    address = models.EmailField()
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    last_day = models.DateField(null=True, blank=True)

    UNSEALED = ("last_day",)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                name="one_morning_mail_a_person",
                fields=["person"],
                condition=Q(ended_at=None),
            )
        ]

    def __str__(self) -> str:
        return f"a mail at {self.hour}:00"
