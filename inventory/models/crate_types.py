"""The crates a supplier lends: their build, their parts, and the terms by date."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from inventory.models.carriers import Supplier
from inventory.models.people import unnamed_currency
from inventory.models.sealed import Sealed, SealedQuerySet
from inventory.models.withdrawn import STANDING, Withdrawable
from inventory.rules.core import vocabulary
from inventory.rules.crates import words
from inventory.rules.reckoning.moments import day_words


class CrateType(Withdrawable):
    """One type of crate of one supplier. Sizes are in millimeters, outside."""

    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="crate_types")
    name = models.CharField(max_length=60)
    code = models.CharField(max_length=40, blank=True)
    build = models.CharField(
        max_length=8, choices=tuple(words.CRATE_BUILDS.items()), default="wood"
    )
    kept_by = models.CharField(
        max_length=8, choices=tuple(words.KEPT_BY.items()), default="mark"
    )
    grai = models.CharField(max_length=14, blank=True)
    tare_weight = models.CharField(max_length=16, blank=True)
    weight_unit = models.CharField(
        max_length=2, choices=tuple(vocabulary.MASS_UNITS.items()), default="lb"
    )
    freight_class = models.CharField(max_length=5, blank=True)
    length_mm = models.PositiveIntegerField(null=True, blank=True)
    width_mm = models.PositiveIntegerField(null=True, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    nested_height_mm = models.PositiveIntegerField(null=True, blank=True)
    most_stacked = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1)]
    )
    takedown = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ["supplier_id", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "name"],
                condition=STANDING,
                name="crate_type_once_a_supplier",
            )
        ]

    def __str__(self) -> str:
        return self.name


class CratePart(Sealed):
    """One part of a type's parts list: a panel, the base, the hardware bag."""

    crate_type = models.ForeignKey(CrateType, models.PROTECT, related_name="parts")
    name = models.CharField(max_length=40)
    count = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["crate_type", "name"], name="part_once_a_crate_type"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1), name="part_count_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.name}"


class StandingTerms(models.Manager["CrateTerms"]):
    """The terms that count: those of an import that was undone are in no list."""

    def get_queryset(self) -> "models.QuerySet[CrateTerms]":
        """Leave out each row that was retired."""
        rows = SealedQuerySet[CrateTerms](self.model, using=self._db)
        return rows.filter(retirement=None)


class CrateTerms(Sealed):
    """What a supplier's deposits earn, from a date on. Never changed.

    Newer terms are a row of their own, and every deposit keeps the row it was
    charged under. ``everything`` holds the retired ones too.
    """

    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="terms")
    starts_on = models.DateField()
    currency = models.CharField(max_length=3, default=unnamed_currency)
    clock_starts = models.CharField(
        max_length=8, choices=tuple(words.CLOCK_STARTS.items())
    )
    clock_stops = models.CharField(
        max_length=10, choices=tuple(words.CLOCK_STOPS.items())
    )
    includes_last_day = models.BooleanField(default=True)
    full_days = models.PositiveSmallIntegerField()
    decline = models.CharField(max_length=8, choices=tuple(words.DECLINES.items()))
    ends_day = models.PositiveSmallIntegerField(null=True, blank=True)
    ceiling_percent = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True
    )
    return_freight = models.CharField(
        max_length=8, choices=tuple(words.RETURN_FREIGHT.items())
    )
    minimum_per_pickup = models.PositiveSmallIntegerField(default=1)
    needs_authorization = models.BooleanField(default=False)
    needs_appointment = models.BooleanField(default=False)
    oldest_first = models.BooleanField(default=True)
    transit_days = models.PositiveSmallIntegerField(default=0)
    unloading_days = models.PositiveSmallIntegerField(default=0)
    memo_days = models.PositiveSmallIntegerField(default=30)
    source = models.CharField(max_length=200)
    added_at = models.DateTimeField()

    objects = StandingTerms()  # type: ignore[assignment, misc]
    everything = SealedQuerySet.as_manager()

    class Meta:
        ordering = ["supplier_id", "-starts_on", "-pk"]
        verbose_name_plural = "crate terms"

    def __str__(self) -> str:
        return f"{self.supplier} from {day_words(self.starts_on, None)}"


class RetiredTerms(Sealed):
    """That terms came from a list that was undone before anything used them.

    Append-only, as the terms are: they stay, and count no more.
    """

    terms = models.OneToOneField(CrateTerms, models.PROTECT, related_name="retirement")
    reason = models.CharField(max_length=300)
    retired_at = models.DateTimeField()
    retired_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "retired terms"

    def __str__(self) -> str:
        return f"{self.terms}: {self.reason}"


class TermsStep(Sealed):
    """From the day after ``after_day`` on, this percentage of the deposit."""

    terms = models.ForeignKey(CrateTerms, models.PROTECT, related_name="steps")
    after_day = models.PositiveSmallIntegerField()
    percent = models.DecimalField(max_digits=5, decimal_places=2)

    class Meta:
        ordering = ["after_day"]
        constraints = [
            models.UniqueConstraint(
                fields=["terms", "after_day"], name="one_step_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.percent} % after day {self.after_day}"


class DepositRate(Sealed):
    """The deposit of one crate type under these terms."""

    terms = models.ForeignKey(CrateTerms, models.PROTECT, related_name="rates")
    crate_type = models.ForeignKey(CrateType, models.PROTECT, related_name="rates")
    deposit_cents = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["terms", "crate_type"], name="one_rate_a_crate_type"
            )
        ]

    def __str__(self) -> str:
        return f"{self.crate_type}: {self.deposit_cents}"


class PartDeduction(Sealed):
    """What one missing or damaged piece of a part costs under these terms."""

    terms = models.ForeignKey(CrateTerms, models.PROTECT, related_name="deductions")
    part = models.ForeignKey(CratePart, models.PROTECT, related_name="deductions")
    missing_cents = models.PositiveBigIntegerField()
    damaged_cents = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["terms", "part"], name="one_price_a_part")
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.missing_cents}"
