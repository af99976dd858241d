"""One truck, one visit; and what it delivered of each freight bill."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Carrier
from inventory.models.people import Location
from inventory.models.sealed import Sealed
from inventory.models.shipments import Crate, Shipment
from inventory.models.withdrawn import STANDING, Withdrawable
from inventory.rules.core import vocabulary as words

CLOSED = Q(signed_at__isnull=False) | Q(delivery__signed_at__isnull=False)
"""The handovers whose record is closed; where the truck was signed as one, by that."""


class Delivery(Withdrawable):
    """One truck at the dock. Its record is closed once every bill's is.

    ``how_signed`` is what its bills have in common, or ``by-bill``; a truck signed
    before receipts were signed bill by bill has its one signature here.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="deliveries")
    carrier = models.ForeignKey(Carrier, models.PROTECT, related_name="deliveries")
    arrived_at = models.DateTimeField()
    arrived_on = models.DateField()
    started_at = models.DateTimeField(null=True, blank=True)
    departed_at = models.DateTimeField(null=True, blank=True)
    driver_name = models.CharField(max_length=80, blank=True)
    trailer_number = models.CharField(max_length=30, blank=True)
    seal_number = models.CharField(max_length=30, blank=True)
    seal_note = models.CharField(max_length=200, blank=True)
    unloaded_by = models.CharField(
        max_length=8, choices=tuple(words.UNLOADED_BY.items()), blank=True
    )
    unloaded_with = models.CharField(
        max_length=12, choices=tuple(words.UNLOADED_WITH.items()), blank=True
    )
    seal_condition = models.CharField(
        max_length=8, choices=tuple(words.SEAL_CONDITIONS.items()), blank=True
    )
    shippers_count = models.BooleanField(default=False)
    damaged_on_trailer = models.BooleanField(default=False)
    no_photo_reason = models.CharField(max_length=200, blank=True)
    how_signed = models.CharField(
        max_length=12, choices=tuple(words.HOW_SIGNED.items()), blank=True
    )
    driver_signed_name = models.CharField(max_length=80, blank=True)
    words_stand_on = models.CharField(
        max_length=8, choices=tuple(words.WORDS_STAND_ON.items()), blank=True
    )
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    shipments = models.ManyToManyField(
        Shipment, through="Handover", related_name="deliveries"
    )

    class Meta:
        ordering = ["-arrived_at", "-pk"]
        indexes = [
            models.Index(fields=["location", "-arrived_on", "-id"], name="dock_day"),
            models.Index(fields=["-arrived_at", "-id"], name="trucks_in_order"),
            models.Index(
                fields=["location", "carrier", "-arrived_at"], name="carrier_last_came"
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="signed_whole_or_not_at_all",
                condition=Q(how_signed="", signed_at=None, signed_by=None)
                | (
                    ~Q(how_signed="")
                    & Q(signed_at__isnull=False, signed_by__isnull=False)
                ),
            )
        ]

    def __str__(self) -> str:
        return f"Truck {self.pk} · {self.arrived_on:%Y-%m-%d}"

    @classmethod
    def bringing(cls, shipment: Shipment) -> "models.QuerySet[Delivery]":
        """Return the trucks that brought something of a bill.

        ``shipment.deliveries`` would also hold a truck that the bill was taken off.
        """
        return cls.objects.filter(
            handovers__shipment=shipment, handovers__withdrawn_at=None
        )

    @property
    def ending_words(self) -> str:
        """Return how its receipts ended, as people read it."""
        if self.how_signed == "by-bill":
            return "Bills ended differently"
        return words.HOW_SIGNED.get(self.how_signed, "Not signed")

    @property
    def is_signed(self) -> bool:
        """Return whether the delivery record is closed."""
        return self.signed_at is not None


class Handover(Withdrawable):
    """What this truck delivered of one freight bill, and how its receipt ended.

    Once it is signed, or is known not to be signed, the bill's record is closed.
    """

    delivery = models.ForeignKey(Delivery, models.PROTECT, related_name="handovers")
    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="handovers")
    pieces_counted = models.PositiveIntegerField(null=True, blank=True)
    handling_counted = models.PositiveIntegerField(null=True, blank=True)
    rest_to_follow = models.BooleanField(default=False)
    unseen_reason = models.CharField(
        max_length=12, choices=tuple(words.NOT_INSPECTED.items()), blank=True
    )
    words_full = models.TextField(blank=True)
    words_short = models.CharField(max_length=400, blank=True)
    words_cut = models.JSONField(default=dict, blank=True)
    how_signed = models.CharField(
        max_length=12, choices=tuple(words.HOW_SIGNED.items()), blank=True
    )
    driver_signed_name = models.CharField(max_length=80, blank=True)
    witness_name = models.CharField(max_length=80, blank=True)
    words_stand_on = models.CharField(
        max_length=8, choices=tuple(words.WORDS_STAND_ON.items()), blank=True
    )
    no_photo_reason = models.CharField(max_length=200, blank=True)
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    carrier_image = models.CharField(
        max_length=16, choices=tuple(words.CARRIER_IMAGE.items()), default="awaited"
    )
    carrier_image_checked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["signed_at"], name="receipts_in_order")]
        constraints = [
            models.UniqueConstraint(
                fields=["delivery", "shipment"],
                condition=STANDING,
                name="one_handover_a_bill_and_truck",
            ),
            models.CheckConstraint(
                name="bill_closed_whole_or_not_at_all",
                condition=Q(how_signed="", signed_at=None, signed_by=None)
                | (
                    ~Q(how_signed="")
                    & Q(signed_at__isnull=False, signed_by__isnull=False)
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shipment} on {self.delivery}"

    @classmethod
    def is_closed_for(cls, crate: Crate) -> bool:
        """Return whether the receipt under which this crate came is closed."""
        if crate.delivery is None:
            return False
        bill = cls.objects.filter(delivery=crate.delivery, shipment=crate.shipment_id)
        return crate.delivery.is_signed or bill.filter(CLOSED).exists()

    @property
    def is_closed(self) -> bool:
        """Return whether this bill's record is closed."""
        return self.signed_at is not None or self.delivery.is_signed

    @property
    def is_closed_by_truck(self) -> bool:
        """Return whether the truck's one signature closed it, as was done before."""
        return self.signed_at is None and self.delivery.is_signed

    @property
    def ending(self) -> str:
        """Return how its receipt ended: a key of HOW_SIGNED, or nothing yet."""
        return self.how_signed or self.delivery.how_signed

    @property
    def ending_words(self) -> str:
        """Return how its receipt ended, as people read it."""
        if not self.is_closed:
            return "Not signed"
        said = words.HOW_SIGNED[self.ending]
        return f"{said}, with the truck" if self.is_closed_by_truck else said

    @property
    def closing(self) -> "Handover | Delivery":
        """Return the row with its signature: its own, or the truck's one of before."""
        return self.delivery if self.is_closed_by_truck else self


class ReceiptNote(Sealed):
    """A correction added to a closed delivery record, never over it."""

    delivery = models.ForeignKey(Delivery, models.PROTECT, related_name="notes")
    text = models.TextField(max_length=2000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Note on {self.delivery}"
