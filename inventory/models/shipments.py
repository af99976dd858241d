"""One freight bill: what was billed, on whose terms, and the machines on it."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Carrier, Supplier
from inventory.models.crate_types import CrateType
from inventory.models.keys import KeyField
from inventory.models.people import Location, unnamed_currency
from inventory.models.withdrawn import STANDING, StandingRows, Withdrawable
from inventory.rules.core import vocabulary as words
from inventory.rules.crates import life as crates
from inventory.rules.crates import words as crate_words

INBOUND = Q(crate_return__isnull=True)
"""The bills that bring something; a return's own bill takes crates away."""


class InboundBills(StandingRows["Shipment"]):
    """The bills that bring something and were not withdrawn.

    One place for all lists: the bill of a return is in none of the dock's.
    """

    def get_queryset(self) -> models.QuerySet["Shipment"]:
        """Leave out each bill of a return too."""
        return super().get_queryset().filter(INBOUND)


class Shipment(Withdrawable):
    """One freight bill (PRO). It may arrive in several deliveries.

    ``record_carrier`` is the carrier of record where it is not the carrier on the
    truck; ask ``carrier_of_record`` and ``arranged_by``. ``crate_return`` names the
    return that an outbound bill is of: we are its shipper, ``supplier`` its consignee.
    ``objects`` leaves those out, ``standing`` does not. One that ``is_earlier`` came
    before this program was used: it is known by its number, and no truck here brought it.
    """

    UNSEALED = ("pro_key",)

    location = models.ForeignKey(Location, models.PROTECT, related_name="shipments")
    carrier = models.ForeignKey(Carrier, models.PROTECT, related_name="shipments")
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, null=True, blank=True, related_name="shipments"
    )
    regime = models.CharField(
        max_length=16, choices=tuple(words.REGIMES.items()), default="us-motor"
    )
    pro_number = models.CharField(max_length=30)
    pro_key = KeyField(of="pro_number", db_index=True)
    bol_number = models.CharField(max_length=40, blank=True)
    bol_on = models.DateField(null=True, blank=True)
    origin = models.CharField(max_length=120, blank=True)
    delivery_terms = models.CharField(
        max_length=12, choices=tuple(words.DELIVERY_TERMS.items()), default="unknown"
    )
    freight_payer = models.CharField(
        max_length=16, choices=tuple(words.FREIGHT_PAYERS.items()), default="unknown"
    )
    contract_carriage = models.CharField(
        max_length=8, choices=tuple(words.YES_NO_UNKNOWN.items()), default="unknown"
    )
    pieces_billed = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    piece_unit = models.CharField(
        max_length=8, choices=tuple(words.PIECE_UNITS.items()), default="crate"
    )
    handling_billed = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    handling_unit = models.CharField(
        max_length=8, choices=tuple(words.PIECE_UNITS.items()), default="skid"
    )
    billed_weight = models.CharField(max_length=16, blank=True)
    weight_unit = models.CharField(
        max_length=2, choices=tuple(words.MASS_UNITS.items()), default="lb"
    )
    currency = models.CharField(max_length=3, default=unnamed_currency)
    freight_charge_cents = models.PositiveBigIntegerField(null=True, blank=True)
    freight_borne_cents = models.PositiveBigIntegerField(null=True, blank=True)
    released_value_cents_per_lb = models.PositiveBigIntegerField(null=True, blank=True)
    freight_class = models.CharField(max_length=8, blank=True, default="")
    record_carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    broker = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    originating_carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    delivering_carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    crate_return = models.OneToOneField(
        "inventory.CrateReturn",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="bill",
    )

    objects = InboundBills()  # type: ignore[misc]

    is_earlier = models.BooleanField(default=False)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["supplier", "location"], name="bills_of_supplier")
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["carrier", "pro_number"],
                condition=STANDING & INBOUND,
                name="one_bill_a_pro_and_carrier",
            ),
            models.CheckConstraint(
                name="pieces_billed_positive",
                condition=Q(pieces_billed=None) | Q(pieces_billed__gte=1),
            ),
            models.CheckConstraint(
                name="freight_borne_within_charge",
                condition=Q(freight_borne_cents=None)
                | Q(freight_charge_cents=None)
                | Q(freight_borne_cents__lte=models.F("freight_charge_cents")),
            ),
        ]

    def __str__(self) -> str:
        if self.crate_return_id and not self.pro_number:
            return f"Bill of lading {self.bol_number}"
        return f"PRO {self.pro_number}"

    @property
    def paper_number(self) -> str:
        """Return what names the bill in a list: its PRO, else the bill of lading."""
        return self.pro_number or self.bol_number

    @property
    def carrier_of_record(self) -> Carrier | None:
        """Return the carrier of record; None where only a broker is known."""
        if self.record_carrier:
            return self.record_carrier
        is_broker = self.carrier.is_broker or self.broker_id == self.carrier_id
        return None if is_broker else self.carrier

    @property
    def arranged_by(self) -> Carrier | None:
        """Return the broker of this bill, if there is one."""
        return self.broker or (self.carrier if self.carrier.is_broker else None)


class Crate(Withdrawable):
    """A crate of one freight bill: its inspection, and whether it is on deposit."""

    UNSEALED = ("mark_key",)
    life = crates.LIFE

    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="crates")
    delivery = models.ForeignKey(
        "inventory.Delivery",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="crates",
    )
    number = models.PositiveSmallIntegerField()
    mark = models.CharField(max_length=60, blank=True)
    mark_key = KeyField(of="mark", db_index=True)
    kind = models.CharField(
        max_length=10, choices=tuple(words.CRATE_KINDS.items()), default="one-way"
    )
    deposit_cents = models.PositiveBigIntegerField(null=True, blank=True)
    crate_type = models.ForeignKey(
        CrateType, models.PROTECT, null=True, blank=True, related_name="crates"
    )
    grai = models.CharField(max_length=30, blank=True)
    sscc = models.CharField(max_length=18, blank=True)
    supplier_code = models.CharField(max_length=40, blank=True)
    state = models.CharField(
        max_length=16,
        choices=tuple(crate_words.CRATE_STATES.items()),
        blank=True,
        default="",
    )
    disposal = models.CharField(
        max_length=20,
        choices=tuple(crate_words.DISPOSALS.items()),
        blank=True,
        default="",
    )
    look = models.CharField(
        max_length=10, choices=tuple(words.LOOKS.items()), blank=True, default=""
    )
    refused_for = models.CharField(
        max_length=16,
        choices=tuple(words.REFUSAL_REASONS.items()),
        blank=True,
        default="",
    )
    disposition = models.CharField(
        max_length=16, choices=tuple(words.DISPOSITIONS.items()), blank=True, default=""
    )
    is_over = models.BooleanField(default=False)
    opened_at = models.DateTimeField(null=True, blank=True)
    opened_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["shipment_id", "number"]
        indexes = [
            models.Index(fields=["mark"], name="crate_mark"),
            models.Index(fields=["grai"], name="crate_grai"),
            models.Index(fields=["state"], name="crate_state"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["shipment", "number"],
                condition=STANDING,
                name="crate_number_once_a_bill",
            ),
            models.CheckConstraint(
                name="refused_crate_owes_no_deposit",
                condition=~Q(look="refused") | Q(deposit_cents=None),
            ),
            models.CheckConstraint(
                name="only_a_refused_crate_has_a_refusal",
                condition=Q(look="refused") | Q(refused_for=""),
            ),
            models.CheckConstraint(
                name="one_way_crate_owes_no_deposit",
                condition=~Q(kind="one-way") | Q(deposit_cents=None),
            ),
            models.CheckConstraint(
                name="one_way_crate_has_no_life",
                condition=~Q(kind="one-way") | Q(state=""),
            ),
            models.CheckConstraint(
                name="over_piece_never_enters_stock",
                condition=Q(is_over=False) | Q(kind="one-way", opened_at=None),
            ),
        ]

    def __str__(self) -> str:
        return f"Crate {self.number}" + (f" ({self.mark})" if self.mark else "")


class Unit(Withdrawable):
    """A machine: its model, its cost, and its crate. Taken back with its bill."""

    UNSEALED = ("serial_key",)

    shipment = models.ForeignKey(Shipment, models.PROTECT, related_name="units")
    crate = models.ForeignKey(
        Crate, models.PROTECT, null=True, blank=True, related_name="units"
    )
    model = models.CharField(max_length=80)
    serial = models.CharField(max_length=60, blank=True)
    serial_key = KeyField(of="serial", db_index=True)
    engine_serial = models.CharField(max_length=60, blank=True, default="")
    invoice_cents = models.PositiveBigIntegerField(null=True, blank=True)
    weight = models.CharField(max_length=16, blank=True)
    weight_unit = models.CharField(
        max_length=2, choices=tuple(words.MASS_UNITS.items()), default="lb"
    )
    condition = models.CharField(
        max_length=4,
        choices=tuple(words.UNIT_CONDITIONS.items()),
        blank=True,
        default="",
    )

    class Meta:
        ordering = ["shipment_id", "pk"]
        indexes = [models.Index(fields=["serial"], name="unit_serial")]
        constraints = [
            models.UniqueConstraint(
                fields=["shipment", "serial"],
                condition=~Q(serial=""),
                name="serial_once_a_bill",
            )
        ]

    def __str__(self) -> str:
        return f"{self.model} · {self.serial}" if self.serial else self.model
