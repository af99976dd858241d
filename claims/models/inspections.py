"""Inspections, and each finding."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from claims.rules.bench.safety_parts import SAFETY_BASES
from claims.rules.core import vocabulary as words
from inventory.models import Crate, Delivery, Evidence, Shipment, Unit
from inventory.models.sealed import Sealed
from inventory.models.versions import Versioned
from inventory.rules.reckoning.counts import pieces_in_words


class Inspection(Sealed):
    """One inspection of one crate or unit, at one stage.

    ``looks`` holds the result of each point of the stage's list: key, result, and the
    reading as written with its unit.
    """

    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="inspections")
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="inspections"
    )
    crate = models.ForeignKey(
        Crate, models.PROTECT, null=True, blank=True, related_name="inspections"
    )
    unit = models.ForeignKey(
        Unit, models.PROTECT, null=True, blank=True, related_name="inspections"
    )
    stage = models.CharField(max_length=10, choices=tuple(words.STAGES.items()))
    crate_condition = models.CharField(
        max_length=8, choices=tuple(words.CONDITIONS.items()), blank=True
    )
    looks = models.JSONField(default=list, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    looked_at = models.DateTimeField()
    looked_on = models.DateField()
    looked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["looked_at", "pk"]

    def __str__(self) -> str:
        return f"{self.get_stage_display()} · {self.unit or self.crate}"


class Finding(Versioned):
    """One finding: what, where, how severe, and the most likely cause.

    ``faces`` are sides of the crate, ``places`` keys of the plan of the machine.
    ``facts`` is what was seen; ``opinion`` is what the technician thinks of the
    cause. Never deleted.
    """

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="findings")
    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="findings")
    delivery = models.ForeignKey(
        Delivery, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    crate = models.ForeignKey(
        Crate, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    unit = models.ForeignKey(
        Unit, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    number = models.PositiveSmallIntegerField()
    part = models.CharField(max_length=80, blank=True)
    faces = models.CharField(max_length=80, blank=True)
    places = models.JSONField(default=list, blank=True)
    damage_kind = models.CharField(
        max_length=12, choices=tuple(words.DAMAGE_KINDS.items())
    )
    severity = models.CharField(max_length=10, choices=tuple(words.SEVERITIES.items()))
    pieces = models.PositiveIntegerField(null=True, blank=True)
    facts = models.TextField(max_length=2000)
    could_be_seen = models.BooleanField()
    could_be_seen_derived = models.BooleanField()
    could_be_seen_reason = models.CharField(max_length=300, blank=True)
    cause = models.CharField(
        max_length=12, choices=tuple(words.CAUSES.items()), default="unknown"
    )
    opinion = models.TextField(max_length=2000, blank=True)
    is_safety_part = models.BooleanField(default=False)
    safety_basis = models.CharField(
        max_length=12, choices=tuple(SAFETY_BASES.items()), blank=True
    )
    safety_reference = models.CharField(max_length=200, blank=True)
    repair_minutes = models.PositiveIntegerField(
        default=0, validators=[MinValueValidator(0)]
    )
    rate_cents = models.PositiveBigIntegerField(null=True, blank=True)
    handling_answer = models.CharField(max_length=12, blank=True)
    handling_reason = models.TextField(max_length=1000, blank=True)
    route = models.CharField(
        max_length=16, choices=tuple(words.ROUTES.items()), blank=True
    )
    route_reason = models.TextField(max_length=1000, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    photos = models.ManyToManyField(
        Evidence, through="FindingPhoto", related_name="findings"
    )

    class Meta:
        ordering = ["shipment_id", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["shipment", "number"], name="finding_number_once_a_bill"
            ),
            models.CheckConstraint(
                name="seen_corrected_with_reason",
                condition=Q(could_be_seen=models.F("could_be_seen_derived"))
                | ~Q(could_be_seen_reason=""),
            ),
            models.CheckConstraint(
                name="maker_instruction_is_named",
                condition=~Q(safety_basis="instruction") | ~Q(safety_reference=""),
            ),
            models.CheckConstraint(
                name="handling_answered_with_reason",
                condition=Q(handling_answer="") | ~Q(handling_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return (
            f"Finding {self.number}: {self.on_what()}, {self.get_damage_kind_display()}"
        )

    def on_what(self, piece_unit: str = "piece") -> str:
        """Return what it is on: a part, machine or crate, else so many of the bill."""
        if named := self.part or self.unit or self.crate:
            return str(named)
        return pieces_in_words(self.pieces, piece_unit) if self.pieces else "shipment"


class FindingPart(Sealed):
    """A part the repair needs; the manager prices it."""

    finding = models.ForeignKey(Finding, models.CASCADE, related_name="parts")
    description = models.CharField(max_length=120)
    part_number = models.CharField(max_length=40, blank=True)
    quantity = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    price_cents = models.PositiveBigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gte=1), name="part_quantity_positive"
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.description}"


class FindingPhoto(Sealed):
    """A finding points at a photo. Append-only."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="photo_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="finding_links")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["finding", "evidence"], name="photo_once_a_finding"
            )
        ]

    def __str__(self) -> str:
        return f"{self.evidence} of {self.finding}"
