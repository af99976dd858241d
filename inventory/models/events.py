"""The record that cannot be edited: every act, in one chain of hashes."""

from django.conf import settings
from django.db import models

from inventory.models.people import Location


class Event(models.Model):
    """One act. ``body`` is the canonical JSON whose SHA-256 is ``hash``."""

    sequence = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=40)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    location = models.ForeignKey(
        Location, models.PROTECT, null=True, blank=True, related_name="+"
    )
    data = models.JSONField()
    body = models.TextField()
    previous_hash = models.CharField(max_length=64, unique=True)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["sequence"]

    def __str__(self) -> str:
        return f"{self.sequence} {self.kind}"


class EventSubject(models.Model):
    """What an event is about, so that a history can be read back in order."""

    event = models.ForeignKey(Event, models.PROTECT, related_name="subjects")
    noun = models.CharField(max_length=20)
    key = models.CharField(max_length=40)

    class Meta:
        ordering = ["event_id", "pk"]
        indexes = [models.Index(fields=["noun", "key", "event"], name="story_of")]

    def __str__(self) -> str:
        return f"{self.noun} {self.key} in {self.event_id}"
