"""One check or transfer of a carrier or supplier that covers several claims."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.rules.core import vocabulary as words
from inventory.models import Carrier, Location, Supplier
from inventory.models.ledger import ONE_PARTNER
from inventory.models.versions import Versioned


class Remittance(Versioned):
    """Money that came as one; its parts are payments of the claims.

    What no part takes is owed to the payer. ``in_full`` and ``bills`` as on a payment.
    Only its reversal is written later: a trigger refuses any other change.
    """

    FIXED = (
        *(
            "location",
            "number",
            "carrier",
            "supplier",
            "currency",
            "received_on",
            "cents",
        ),
        *("method", "reference", "bills", "in_full", "reason"),
        *("recorded_at", "recorded_by"),
    )

    location = models.ForeignKey(Location, models.PROTECT, related_name="remittances")
    number = models.CharField(max_length=20, unique=True)
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    currency = models.CharField(max_length=3)
    received_on = models.DateField()
    cents = models.PositiveBigIntegerField()
    method = models.CharField(
        max_length=10, choices=tuple(words.PAYMENT_METHODS.items())
    )
    reference = models.CharField(max_length=80, blank=True)
    bills = models.CharField(max_length=300, blank=True)
    in_full = models.BooleanField(default=False)
    reason = models.TextField(max_length=1000, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    reversed_on = models.DateField(null=True, blank=True)
    reversal_reason = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["location_id", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=ONE_PARTNER, name="remittance_one_partner"
            ),
            models.CheckConstraint(
                condition=Q(cents__gt=0), name="remittance_above_nothing"
            ),
            models.CheckConstraint(
                condition=~Q(method="credit") | ~Q(bills=""),
                name="remittance_credit_names_bills",
            ),
            models.CheckConstraint(
                condition=Q(reversed_on=None, reversal_reason="")
                | (Q(reversed_on__isnull=False) & ~Q(reversal_reason="")),
                name="remittance_reversed_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"Remittance {self.number}"

    @property
    def payer(self) -> Supplier | Carrier:
        """The carrier or the supplier that paid."""
        payer = self.supplier or self.carrier
        if payer is None:
            raise LookupError("This remittance has no payer.")
        return payer
