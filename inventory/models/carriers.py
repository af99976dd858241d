"""Carriers and suppliers."""

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from inventory.models.sealed import Sealed
from inventory.models.versions import Versioned
from inventory.rules.core import vocabulary as words


class Carrier(Versioned):
    """A carrier: who it is and where to send a claim."""

    name = models.CharField(max_length=100, unique=True)
    scac = models.CharField(
        max_length=4,
        blank=True,
        validators=[RegexValidator(r"^[A-Z]{2,4}$", "Two to four capital letters.")],
    )
    mode = models.CharField(
        max_length=16, choices=tuple(words.CARRIER_MODES.items()), default="motor"
    )
    claims_address = models.TextField(max_length=400, blank=True)
    claims_email = models.EmailField(blank=True)
    claims_phone = models.CharField(max_length=40, blank=True)
    terminal_email = models.EmailField(blank=True)
    terminal_phone = models.CharField(max_length=40, blank=True)
    mail_days = models.PositiveSmallIntegerField(default=5)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_broker(self) -> bool:
        """Return whether this party arranges carriage without carrying."""
        return self.mode == "broker"


class CarrierTerm(Sealed):
    """A period of the carrier's own contract or tariff, overriding the default."""

    carrier = models.ForeignKey(Carrier, models.CASCADE, related_name="terms")
    duty = models.CharField(max_length=24)
    count = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    unit = models.CharField(max_length=16, choices=tuple(words.PERIOD_UNITS.items()))
    starts = models.CharField(max_length=16, choices=tuple(words.PERIOD_STARTS.items()))
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["duty"]
        constraints = [
            models.UniqueConstraint(fields=["carrier", "duty"], name="one_term_a_duty"),
            models.CheckConstraint(
                condition=Q(count__gte=1), name="carrier_term_count_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.carrier}: {self.duty} {self.count} {self.unit}"


class Supplier(Versioned):
    """A maker or shipper: its contacts and its terms for claims."""

    name = models.CharField(max_length=100, unique=True)
    address = models.TextField(max_length=400, blank=True)
    claims_contact = models.CharField(max_length=100, blank=True)
    claims_email = models.EmailField(blank=True)
    returns_email = models.EmailField(blank=True)
    files_when_prepaid = models.BooleanField(default=False)
    standing_order = models.CharField(
        max_length=8, choices=tuple(words.STANDING_ORDERS.items()), default="none"
    )
    needs_return_authorization = models.BooleanField(default=False)
    crate_terms = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class SupplierPeriod(Sealed):
    """How long the supplier gives us to report one kind of trouble."""

    supplier = models.ForeignKey(Supplier, models.CASCADE, related_name="periods")
    kind = models.CharField(
        max_length=10, choices=tuple(words.SUPPLIER_PERIODS.items())
    )
    count = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    unit = models.CharField(max_length=16, choices=tuple(words.PERIOD_UNITS.items()))
    starts = models.CharField(max_length=16, choices=tuple(words.PERIOD_STARTS.items()))

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "kind"], name="one_period_a_kind"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1), name="supplier_period_count_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.kind} {self.count} {self.unit}"
