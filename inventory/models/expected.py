"""What suppliers announced: freight bills on the way, with their crates."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Carrier, Supplier
from inventory.models.people import Location
from inventory.models.sealed import Sealed
from inventory.models.shipments import Shipment
from inventory.models.withdrawn import STANDING, Withdrawable
from inventory.rules.core import vocabulary as words


class ExpectedDelivery(Withdrawable):
    """One freight bill that a supplier announced. ``shipment`` is what it became."""

    location = models.ForeignKey(Location, models.PROTECT, related_name="expected")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="expected")
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="expected"
    )
    pro_number = models.CharField(max_length=30, blank=True)
    bol_number = models.CharField(max_length=40, blank=True)
    expected_on = models.DateField()
    shipment = models.ForeignKey(
        Shipment, models.PROTECT, null=True, blank=True, related_name="expected"
    )
    file_name = models.CharField(max_length=100, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["expected_on", "pk"]
        verbose_name_plural = "expected deliveries"
        indexes = [
            models.Index(fields=["location", "expected_on"], name="expected_by_day"),
            models.Index(fields=["expected_on", "id"], name="expected_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                name="expected_has_a_number",
                condition=~Q(pro_number="") | ~Q(bol_number=""),
            ),
            models.UniqueConstraint(
                fields=["location", "supplier", "pro_number"],
                condition=STANDING & ~Q(pro_number=""),
                name="one_announcement_a_pro",
            ),
            models.UniqueConstraint(
                fields=["location", "supplier", "bol_number"],
                condition=STANDING & Q(pro_number=""),
                name="one_announcement_a_bol",
            ),
        ]

    def __str__(self) -> str:
        if self.pro_number:
            return f"PRO {self.pro_number}"
        return f"BOL {self.bol_number}"


class ExpectedCrate(Sealed):
    """One line of an announcement: a marked crate, or several without marks."""

    delivery = models.ForeignKey(
        ExpectedDelivery, models.PROTECT, related_name="crates"
    )
    position = models.PositiveSmallIntegerField()
    mark = models.CharField(max_length=60, blank=True)
    model = models.CharField(max_length=80, blank=True)
    pieces = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1)]
    )
    kind = models.CharField(
        max_length=10, choices=tuple(words.CRATE_KINDS.items()), blank=True
    )
    file_row = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["delivery_id", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["delivery", "position"], name="expected_position_once"
            ),
            models.CheckConstraint(
                name="a_marked_crate_is_one_piece",
                condition=Q(pieces=1) | Q(mark="", pieces__gte=1),
            ),
        ]

    def __str__(self) -> str:
        return self.mark or self.model or f"Line {self.position}"
