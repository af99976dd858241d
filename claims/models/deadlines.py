"""Dated duties as counted, with their rule and facts."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.claims import Claim
from inventory.models import Delivery, Location, Shipment
from inventory.models.sealed import Sealed


class Deadline(Sealed):
    """One duty. A new count supersedes the old row; the old row stays.

    ``met_on`` is the day on which delivery was proven, not the day of sending. One that
    counts from the safe side of a day that nobody proved is not ``is_proven``.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="deadlines")
    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="deadlines")
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="deadlines"
    )
    claim = models.ForeignKey(
        Claim, models.PROTECT, null=True, blank=True, related_name="deadlines"
    )
    duty = models.CharField(max_length=24)
    owed_by = models.CharField(max_length=10)
    record_key = models.CharField(max_length=60)
    rule_version = models.CharField(max_length=40)
    inputs = models.JSONField()
    starts_on = models.DateField(null=True, blank=True)
    due = models.DateField()
    safe = models.DateField()
    send_by = models.DateField()
    steps = models.JSONField(default=list)
    notes = models.JSONField(default=list)
    effect = models.TextField()
    authority = models.TextField()
    confidence = models.CharField(max_length=20)
    counted_at = models.DateTimeField()
    superseded_at = models.DateTimeField(null=True, blank=True)
    met_on = models.DateField(null=True, blank=True)
    is_proven = models.BooleanField(default=True)

    class Meta:
        ordering = ["safe", "pk"]
        indexes = [
            models.Index(
                fields=["location", "safe", "id"],
                condition=Q(superseded_at=None, met_on=None),
                name="running_clocks",
            )
        ]

    def __str__(self) -> str:
        return f"{self.duty} due {self.due:%Y-%m-%d}"


class DeadlineOverride(Sealed):
    """A manager's own date, with a reason; the counted date stays."""

    deadline = models.ForeignKey(Deadline, models.PROTECT, related_name="overrides")
    due = models.DateField()
    reason = models.TextField(max_length=1000)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"our own date {self.due:%Y-%m-%d}"
