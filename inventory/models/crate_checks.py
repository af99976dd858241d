"""The check of an empty crate, and its packaging hold."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.crate_types import CratePart
from inventory.models.sealed import Sealed
from inventory.models.shipments import Crate
from inventory.models.versions import Versioned
from inventory.rules.crates import words


class CrateCheck(Sealed):
    """One check of a crate against its parts list. A new check, never an edit."""

    crate = models.ForeignKey(Crate, models.PROTECT, related_name="checks")
    result = models.CharField(max_length=16, choices=tuple(words.CRATE_STATES.items()))
    note = models.CharField(max_length=300, blank=True)
    checked_at = models.DateTimeField()
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.crate}: {self.result}"


class CrateCheckLine(Sealed):
    """How many pieces of one part are missing, and how many damaged."""

    check_of = models.ForeignKey(CrateCheck, models.PROTECT, related_name="lines")
    part = models.ForeignKey(CratePart, models.PROTECT, related_name="+")
    missing = models.PositiveSmallIntegerField(default=0)
    damaged = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["check_of", "part"], name="one_line_a_part_and_check"
            )
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.missing} missing, {self.damaged} damaged"


class PackagingHold(Versioned):
    """A crate whose packaging must stay as is until the carrier has inspected or waived."""

    crate = models.ForeignKey(Crate, models.PROTECT, related_name="packaging_holds")
    reason = models.CharField(max_length=300)
    placed_at = models.DateTimeField()
    placed_on = models.DateField()
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    carrier_asked_on = models.DateField(null=True, blank=True)
    supplier_asked_on = models.DateField(null=True, blank=True)
    supplier_stopped_on = models.DateField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    released_on = models.DateField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    released_how = models.CharField(
        max_length=10, choices=tuple(words.PACKAGING_RELEASES.items()), blank=True
    )
    release_reason = models.TextField(max_length=1000, blank=True)
    panel_kept = models.CharField(max_length=100, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["crate"],
                condition=Q(released_at=None),
                name="one_open_packaging_hold_a_crate",
            ),
            models.CheckConstraint(
                name="packaging_released_whole_or_not_at_all",
                condition=Q(released_at=None, released_on=None, released_how="")
                | (
                    Q(released_at__isnull=False, released_on__isnull=False)
                    & ~Q(released_how="")
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"Packaging hold on {self.crate}"
