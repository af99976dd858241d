"""Rates of exchange that people entered: for figures that are shown, never posted."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from inventory.models.people import Location, unnamed_currency
from inventory.models.sealed import Sealed

_CODE = RegexValidator(r"^[A-Z]{3}$", "Three capital letters.")


class ExchangeRate(Sealed):
    """What one unit of another currency is in the location's own, on a day.

    Of one day the row that was entered last counts; a wrong one is corrected by another.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="rates")
    currency = models.CharField(
        max_length=3, default=unnamed_currency, validators=[_CODE]
    )
    home = models.CharField(max_length=3, default=unnamed_currency, validators=[_CODE])
    rate = models.DecimalField(max_digits=14, decimal_places=8)
    rated_on = models.DateField()
    source = models.CharField(max_length=200)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-rated_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(rate__gt=0), name="rate_positive"),
            models.CheckConstraint(
                condition=~Q(currency=F("home")), name="rate_of_another_currency"
            ),
        ]

    def __str__(self) -> str:
        return f"1 {self.currency} = {self.rate.normalize():f} {self.home}"
