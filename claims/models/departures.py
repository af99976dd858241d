"""Where a machine went: sold, transferred, returned, or back again."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.rules.bench.leaving import MOVES
from claims.rules.bench.sign_off import SIGN_OFFS
from inventory.models import Unit
from inventory.models.sealed import Sealed


class Departure(Sealed):
    """A machine left, or is back here. Append-only; the last one counts.

    ``release`` is what it was released by; ``checks`` the short check at the customer's
    delivery, where it stood.
    """

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="departures")
    way = models.CharField(max_length=12, choices=tuple(MOVES.items()))
    to = models.CharField(max_length=120, blank=True)
    release = models.CharField(
        max_length=12, choices=tuple(SIGN_OFFS.items()), blank=True
    )
    checks = models.JSONField(default=dict, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    moved_on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="machine_leaves_with_a_release",
                condition=Q(way="back") | ~Q(release="") & ~Q(to=""),
            ),
            models.CheckConstraint(
                name="machine_is_back_with_a_reason",
                condition=~Q(way="back") | ~Q(note=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_way_display()}"
