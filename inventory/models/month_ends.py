"""What a month end leaves open on purpose: checks carried into the next month."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.people import Location
from inventory.models.withdrawn import STANDING, Withdrawable


class CarriedCheck(Withdrawable):
    """One check of a month that a person carried unfinished, with the reason.

    ``open_rows`` are what was open then, each as its key, its currency and its cents:
    what is open beyond them is not carried.
    """

    location = models.ForeignKey(
        Location, models.PROTECT, related_name="carried_checks"
    )
    month = models.DateField(help_text="The first day of the month.")
    check_key = models.CharField(max_length=24)
    label = models.CharField(max_length=80)
    open_rows: Any = models.JSONField(default=list)
    reason = models.CharField(max_length=300)
    carried_at = models.DateTimeField()
    carried_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["location_id", "month", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["location", "month", "check_key"],
                condition=STANDING,
                name="carried_once_a_month",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="carried_with_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.label}, {self.month:%Y-%m}"
