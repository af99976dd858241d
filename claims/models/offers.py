"""What an offer is judged by: the cost of going on, and who else may have paid."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from claims.models.claims import Claim
from claims.rules.letters import overlap
from inventory.models import Location
from inventory.models.sealed import Sealed


class GoingOnCost(Sealed):
    """What going on after an offer costs, as a person entered it. Append-only.

    The last row of a location counts, and the last one of a claim before it. Empty means
    that nobody entered it. ``limit_cents`` is the small-claims limit, with its source as
    typed; ``yearly_percent`` is time value, never asked of a carrier; ``months`` is how
    long a decision takes.
    """

    location = models.ForeignKey(Location, models.PROTECT, related_name="going_on")
    claim = models.ForeignKey(
        Claim, models.PROTECT, null=True, blank=True, related_name="going_on"
    )
    currency = models.CharField(max_length=3)
    limit_cents = models.PositiveBigIntegerField(null=True, blank=True)
    limit_source = models.CharField(max_length=200, blank=True)
    filing_cents = models.PositiveBigIntegerField(null=True, blank=True)
    serving_cents = models.PositiveBigIntegerField(null=True, blank=True)
    lawyer_cents = models.PositiveBigIntegerField(null=True, blank=True)
    yearly_percent = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True
    )
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="court_limit_with_source",
                condition=Q(limit_cents=None) | ~Q(limit_source=""),
            )
        ]

    def __str__(self) -> str:
        return f"Cost of going on, {self.claim or self.location}"


class OverlapAnswer(Sealed):
    """Who else was notified of the claim's loss, or has paid for it. Append-only.

    ``holds_right`` means that the insurer is named as holding the right to what it paid.
    ``supplier_cents`` is what the supplier credited, free parts and labor included.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="overlap_answers")
    insurer = models.CharField(max_length=4, choices=tuple(overlap.INSURER.items()))
    insurer_name = models.CharField(max_length=120, blank=True)
    insurer_cents = models.PositiveBigIntegerField(default=0)
    holds_right = models.BooleanField(default=False)
    supplier_cents = models.PositiveBigIntegerField(default=0)
    note = models.TextField(max_length=1000, blank=True)
    answered_at = models.DateTimeField()
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="insurer_told_has_a_name",
                condition=Q(insurer="no") | ~Q(insurer_name=""),
            ),
            models.CheckConstraint(
                name="insurer_paid_an_amount",
                condition=~Q(insurer="paid") | Q(insurer_cents__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return f"Who else may have paid, {self.claim}"
