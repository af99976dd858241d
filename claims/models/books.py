"""Claims in the books: the basis of each location and claim, figures, and entries."""

from typing import Any

from django.conf import settings
from django.db import models

from claims.models.claims import Claim
from claims.rules.books.basis import BASES
from claims.rules.books.figures import FIGURES
from inventory.models import Carrier, Entry, Location, Supplier
from inventory.models.ledger import ONE_PARTNER, only_partner
from inventory.models.sealed import Sealed


class BookingBasis(Sealed):
    """When a location books its claims, from now on; the last row counts.

    ``labor_rate_cents`` is what an hour of its own labor costs it: a repair is booked
    as a loss at cost, not at the shop's rate.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="booking_bases")
    basis = models.CharField(max_length=10, choices=tuple(BASES.items()))
    labor_rate_cents = models.PositiveBigIntegerField(default=0)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["location_id", "pk"]
        verbose_name_plural = "booking bases"

    def __str__(self) -> str:
        return f"{self.location}: {self.get_basis_display()}"


class ClaimBooking(Sealed):
    """How one claim is booked: fixed when it is filed, whatever is set later.

    ``baseline`` is what had happened before the books took the claim in, on
    ``opened_on``: it is set off, and never posted.
    """

    claim = models.OneToOneField(Claim, models.PROTECT, related_name="booking")
    carrier = models.ForeignKey(
        Carrier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    supplier = models.ForeignKey(
        Supplier, models.PROTECT, null=True, blank=True, related_name="+"
    )
    basis = models.CharField(max_length=10, choices=tuple(BASES.items()))
    labor_rate_cents = models.PositiveBigIntegerField(default=0)
    opened_on = models.DateField(null=True, blank=True)
    baseline: Any = models.JSONField(default=dict, blank=True)
    booked_at = models.DateTimeField()
    booked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["claim_id"]
        constraints = [
            models.CheckConstraint(condition=ONE_PARTNER, name="booking_one_partner")
        ]

    def __str__(self) -> str:
        return f"Booking of {self.claim}"

    @property
    def partner(self) -> Supplier | Carrier:
        """The supplier or the carrier who is to pay."""
        return only_partner(self.supplier, self.carrier)

    @property
    def baseline_slots(self) -> dict[str, dict[str, int]]:
        """Return what each fact had come to before the books took the claim in."""
        found: dict[str, dict[str, int]] = self.baseline.get("slots", {})
        return found

    @property
    def baseline_values(self) -> dict[str, int]:
        """Return what was shown as recovered by then."""
        found: dict[str, int] = self.baseline.get("values", {})
        return found


class ClaimPosting(Sealed):
    """One entry of the ledger that a claim posted, and the slot of its fact."""

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="postings")
    entry = models.OneToOneField(Entry, models.PROTECT, related_name="+")
    slot = models.CharField(max_length=24)

    class Meta:
        ordering = ["claim_id", "pk"]

    def __str__(self) -> str:
        return f"{self.slot} of {self.claim}"


class ClaimFigure(Sealed):
    """A figure that accounting stated for the books of one claim; the last counts."""

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="figures")
    what = models.CharField(max_length=8, choices=tuple(FIGURES.items()))
    cents = models.PositiveBigIntegerField()
    reason = models.TextField(max_length=1000)
    stated_at = models.DateTimeField()
    stated_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["claim_id", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(reason=""), name="figure_with_reason"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} of {self.claim}"
