"""Legal holds: nothing of the house may be ended while one stands."""

from django.conf import settings
from django.db import models

from inventory.models.sealed import Sealed


class LegalHold(Sealed):
    """One hold over the whole house. It is lifted with a reason, and never deleted."""

    matter = models.CharField(max_length=120)
    reason = models.TextField(max_length=1000)
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    lifted_because = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["-placed_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(lifted_at=None, lifted_by=None, lifted_because="")
                | models.Q(lifted_at__isnull=False, lifted_by__isnull=False)
                & ~models.Q(lifted_because=""),
                name="legal_hold_lifted_whole",
            )
        ]

    def __str__(self) -> str:
        return self.matter
