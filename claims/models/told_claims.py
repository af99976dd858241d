"""What was told of a claim that was opened elsewhere, before this program was used."""

from django.conf import settings
from django.db import models

from claims.models.claims import Claim
from inventory.models.sealed import Sealed


class ToldClaim(Sealed):
    """What was told of a claim that was opened elsewhere. Append-only; the last counts.

    A day is proven where its proof is named; no other day enters a deadline.
    """

    claim = models.ForeignKey(Claim, models.PROTECT, related_name="told_rows")
    delivered_on = models.DateField(null=True, blank=True)
    delivered_proof = models.CharField(max_length=200, blank=True)
    filed_on = models.DateField()
    filed_proof = models.CharField(max_length=200, blank=True)
    declined_on = models.DateField(null=True, blank=True)
    declined_proof = models.CharField(max_length=200, blank=True)
    offered_on = models.DateField(null=True, blank=True)
    offered_cents = models.PositiveBigIntegerField(null=True, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    told_at = models.DateTimeField()
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["claim_id", "pk"]

    def __str__(self) -> str:
        return f"What was told of {self.claim}"
