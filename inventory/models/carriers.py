"""Carriers and suppliers."""

from django.conf import settings
from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from inventory.models.sealed import Sealed
from inventory.models.withdrawn import STANDING, Withdrawable
from inventory.rules.core import vocabulary as words


class Carrier(Withdrawable):
    """A carrier: who it is and where to send a claim.

    ``name`` is what we call it; ``legal_name`` what stands on its registration. One of
    an import that was undone is withdrawn: it is in no list, and its name is free.
    """

    name = models.CharField(max_length=100)
    legal_name = models.CharField(max_length=120, blank=True, default="")
    usdot_number = models.CharField(
        max_length=8,
        blank=True,
        default="",
        validators=[RegexValidator(r"^[0-9]{1,8}$", "One to eight digits.")],
    )
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
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=STANDING, name="one_carrier_a_name"
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_broker(self) -> bool:
        """Return whether this party arranges carriage without carrying."""
        return self.mode == "broker"

    @property
    def printed_name(self) -> str:
        """Return the name that a letter is addressed to."""
        return self.legal_name or self.name


class CarrierBankruptcy(Sealed):
    """That a carrier filed for bankruptcy, and the court's last day for our claims.

    Append-only: the last row of a carrier counts, and a mistake is corrected by a new
    row with its reason. ``bar_on`` is None while no bar date is set.
    """

    carrier = models.ForeignKey(Carrier, models.PROTECT, related_name="bankruptcies")
    petition_on = models.DateField()
    court = models.CharField(max_length=160)
    case_number = models.CharField(max_length=40)
    bar_on = models.DateField(null=True, blank=True)
    paper = models.ForeignKey(
        "inventory.Evidence", models.PROTECT, null=True, blank=True, related_name="+"
    )
    reason = models.TextField(max_length=1000, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "carrier bankruptcies"
        constraints = [
            models.CheckConstraint(
                name="bar_date_after_petition",
                condition=Q(bar_on=None) | Q(bar_on__gt=models.F("petition_on")),
            )
        ]

    def __str__(self) -> str:
        return f"{self.carrier}: case {self.case_number}"


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


class Supplier(Withdrawable):
    """A maker or shipper: its contacts and its terms for claims."""

    name = models.CharField(max_length=100)
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
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=STANDING, name="one_supplier_a_name"
            )
        ]

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
