"""A machine on hold: not set up, run, moved off site or released."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.sealed import Sealed
from inventory.models.shipments import Unit
from inventory.rules.core import vocabulary as words


class Hold(Sealed):
    """Setup and packaging of one machine are on hold until this is released."""

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=300)
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    released_how = models.CharField(
        max_length=10, choices=tuple(words.HOLD_RELEASES.items()), blank=True
    )
    release_reason = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"],
                condition=Q(released_at=None),
                name="one_open_hold_a_unit",
            ),
            models.CheckConstraint(
                name="released_whole_or_not_at_all",
                condition=Q(released_at=None, released_how="")
                | (Q(released_at__isnull=False) & ~Q(released_how="")),
            ),
        ]

    def __str__(self) -> str:
        return f"Hold on {self.unit}"
