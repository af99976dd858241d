"""Time booked at the bench, and the tags of replaced parts."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.inspections import Finding
from claims.rules.bench.minutes import WORK
from inventory.models import Evidence, Location, Unit
from inventory.models.sealed import Sealed
from inventory.models.versions import Versioned


class BookedMinutes(Sealed):
    """Some minutes of one person's work on one machine. Append-only.

    Time for damage names its finding and may be claimed; setup names none and is our
    own cost. A mistake is booked back with minutes below zero: ``reverses`` names the
    row that it takes back whole.
    """

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="booked")
    finding = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="booked"
    )
    work = models.CharField(max_length=12, choices=tuple(WORK.items()))
    minutes = models.IntegerField()
    note = models.CharField(max_length=300, blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    done_on = models.DateField()
    booked_at = models.DateTimeField()
    booked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="setup_time_is_nobodys_claim",
                condition=Q(work="setup", finding=None)
                | (~Q(work="setup") & Q(finding__isnull=False)),
            ),
            models.CheckConstraint(name="booked_some_minutes", condition=~Q(minutes=0)),
            models.CheckConstraint(
                name="reversal_is_below_zero",
                condition=Q(reverses=None) | Q(minutes__lt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min, {self.get_work_display()}"


class PartTag(Versioned):
    """A replaced part, tagged and kept until nobody can ask for it any more."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="part_tags")
    number = models.PositiveIntegerField()
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="part_tags")
    finding = models.ForeignKey(Finding, models.PROTECT, related_name="part_tags")
    part = models.CharField(max_length=120)
    shelf = models.CharField(max_length=40)
    tagged_at = models.DateTimeField()
    tagged_on = models.DateField()
    tagged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    waiver = models.ForeignKey(
        Evidence, models.PROTECT, null=True, blank=True, related_name="+"
    )
    collected_on = models.DateField(null=True, blank=True)
    collected_by = models.CharField(max_length=100, blank=True)
    scrapped_at = models.DateTimeField(null=True, blank=True)
    scrapped_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["location", "number"], name="part_tag_number_once"
            ),
            models.CheckConstraint(
                name="part_is_collected_or_scrapped",
                condition=Q(collected_on=None) | Q(scrapped_at=None),
            ),
            models.CheckConstraint(
                name="part_collected_by_someone",
                condition=Q(collected_on=None) | ~Q(collected_by=""),
            ),
        ]

    def __str__(self) -> str:
        return f"Tag T-{self.number:04d}, {self.part}"
